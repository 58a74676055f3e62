import { useEffect, useRef } from "react";

const KEPT = new Set([
  "svg", "g", "path", "line", "polyline", "polygon", "rect", "circle", "ellipse", "text", "tspan", "defs", "pattern",
  "clipPath", "title", "desc", "marker", "use", "symbol",
]);

/** Takes everything out of a picture that is not a plain drawing. */
function clean(node: Element): void {
  for (const child of [...node.children]) {
    if (KEPT.has(child.localName)) clean(child);
    else child.remove();
  }
  for (const { name, value } of [...node.attributes]) {
    const link = name === "href" || name.endsWith(":href");
    if (name.startsWith("on") || (link && !value.startsWith("#"))) node.removeAttribute(name);
  }
}

/** A picture that the server drew, within the page so that it takes its ink. */
export function Svg({ text, label, onPiece }: { text: string; label: string; onPiece?: (piece: string) => void }) {
  const host = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const drawn = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
    if (drawn.localName !== "svg" || !host.current) return host.current?.replaceChildren();
    clean(drawn);
    drawn.setAttribute("role", "img");
    drawn.setAttribute("aria-label", label);
    host.current.replaceChildren(document.importNode(drawn, true));
  }, [text, label]);
  return (
    <div
      className="svg"
      ref={host}
      onClick={(e) => {
        const piece = (e.target as Element).closest("[data-piece]")?.getAttribute("data-piece");
        if (piece) onPiece?.(piece);
      }}
    />
  );
}
