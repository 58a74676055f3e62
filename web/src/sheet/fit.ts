import { useLayoutEffect, useState, type RefObject } from "react";

/** How a table is laid so that it needs no scrolling: as it is, closer, or each row folded into lines. */
export type Fit = "plain" | "close" | "folded";
const FITS: readonly Fit[] = ["plain", "close", "folded"];

/** A row that is taller than this is broken into too many lines, px. */
const TALL = 110;

const isTight = (box: HTMLElement): boolean =>
  box.scrollWidth > box.clientWidth + 1 || [...box.querySelectorAll("tr")].some((row) => row.getBoundingClientRect().height > TALL);

/**
 * Takes the next closer way for as long as what is in a box is wider than it or broken into many lines, and begins anew when
 * its width changes.
 */
export function useFit(box: RefObject<HTMLElement | null>): Fit {
  const [now, setNow] = useState({ width: 0, step: 0 });
  useLayoutEffect(() => {
    const at = box.current;
    if (!at) return;
    const size = new ResizeObserver(() => setNow((n) => (n.width === at.clientWidth ? n : { width: at.clientWidth, step: 0 })));
    size.observe(at);
    return () => size.disconnect();
  }, [box]);
  useLayoutEffect(() => {
    const at = box.current;
    if (at && at.clientWidth > 0 && now.step + 1 < FITS.length && isTight(at)) setNow({ width: at.clientWidth, step: now.step + 1 });
  });
  return FITS[now.step] as Fit;
}

/** A column's words and the unit in which its numbers are, apart: `margin in` is `margin` and `in`. */
export function column(words: string, unit: string): { words: string; unit: string } {
  const end = ` ${unit}`;
  return unit !== "" && words.endsWith(end) ? { words: words.slice(0, -end.length), unit } : { words, unit: "" };
}
