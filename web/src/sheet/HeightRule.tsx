import { useRef, useSyncExternalStore } from "react";
import { lengthText, snap } from "../base/lengths";
import { useStore } from "../base/store";
import { dot } from "../base/vec";
import type { Drawing } from "../drawing/Drawing";
import { desk, heightPlane, live, rulerOf } from "./desk";
import { heightAt, marksFor, pixelOf, scaleOf } from "./heights";

const WIDE = 64;

/** Heights at the left edge, as a surface gauge on a shop floor; dragging out of it lays a line across the drawing. */
export function HeightRule({ drawing }: { drawing: Drawing }) {
  useSyncExternalStore(
    (hear) => drawing.onFrame(hear),
    () => drawing.drawn,
  );
  const view = useStore(live.store, (s) => s.view);
  const d = useStore(desk, (s) => s);
  const host = useRef<HTMLDivElement>(null);
  if (!view) return <div className="rule" />;
  const ruler = rulerOf(view);
  const { plane, words } = heightPlane(view, d);
  const scale = scaleOf(drawing, plane);
  const over = d.hoveredAt ? dot(d.hoveredAt, plane.normal) - plane.height : null;
  const top = drawing.canvas.getBoundingClientRect().top - (host.current?.getBoundingClientRect().top ?? 0);
  const set = (clientY: number, clientX: number): void => {
    if (!scale || !host.current) return;
    const r = host.current.getBoundingClientRect();
    // Let go inside the rule, the line goes back into it.
    if (clientX < r.right) desk.set({ heightLine: null });
    else desk.set({ heightLine: snap(heightAt(scale, clientY - r.top - top), ruler) });
  };
  const nudge = (by: number): void => desk.set({ heightLine: snap((d.heightLine ?? over ?? 0) + by * ruler.step, ruler) });
  const marks: { y: number; text: string | null }[] = [];
  if (scale) {
    const perUnit = scale.size * ruler.unitSize;
    const { small, big } = marksFor(perUnit, ruler.unit);
    const low = heightAt(scale, drawing.height) / ruler.unitSize;
    const high = heightAt(scale, 0) / ruler.unitSize;
    for (let k = Math.ceil(low / small); k * small <= high; k++) {
      const value = k * small;
      const whole = Math.abs(value / big - Math.round(value / big)) < 1e-9;
      marks.push({ y: pixelOf(scale, value * ruler.unitSize), text: whole ? lengthText(value * ruler.unitSize, { ...ruler, step: small < 1 ? ruler.step : ruler.unitSize }) : null });
    }
  }
  const y = (height: number): number => (scale ? pixelOf(scale, height) + top : 0);
  return (
    <div className="rule" ref={host}>
    <div
      className="rule-scale"
      role="slider"
      tabIndex={0}
      aria-label={`Height over ${words}; up and down move the line across the drawing, Delete takes it away`}
      aria-orientation="vertical"
      aria-valuenow={Math.round(((d.heightLine ?? 0) / ruler.unitSize) * 100) / 100}
      aria-valuetext={d.heightLine === null ? "no line" : `${lengthText(d.heightLine, ruler)} ${ruler.unit}`}
      onPointerDown={(e) => {
        e.currentTarget.setPointerCapture(e.pointerId);
      }}
      onPointerMove={(e) => e.currentTarget.hasPointerCapture(e.pointerId) && set(e.clientY, e.clientX)}
      onKeyDown={(e) => {
        const by = { ArrowUp: 1, ArrowDown: -1, PageUp: 20, PageDown: -20 }[e.key];
        if (by !== undefined) nudge(by * (e.shiftKey ? 10 : 1));
        else if (e.key === "Delete" || e.key === "Escape") desk.set({ heightLine: null });
        else return;
        e.preventDefault();
        e.stopPropagation();
      }}
    >
      {scale ? (
        <svg width={WIDE} height="100%" aria-hidden>
          <g transform={`translate(0 ${top})`}>
            {marks.map(({ y: at, text }) => (
              <g key={at}>
                <line x1={text === null ? WIDE - 24 : WIDE - 40} x2={WIDE - 14} y1={at} y2={at} className={text === null ? "small" : "big"} />
                {text !== null ? (
                  <text x={4} y={at - 3}>
                    {text}
                  </text>
                ) : null}
              </g>
            ))}
          </g>
          {d.heightLine !== null ? <line className="held" x1={0} x2={WIDE} y1={y(d.heightLine)} y2={y(d.heightLine)} /> : null}
          {over !== null ? (
            <g className="reading" transform={`translate(0 ${y(over)})`}>
              <line x1={WIDE - 14} x2={WIDE} y1={0} y2={0} />
              <rect x={2} y={-10} width={WIDE - 18} height={20} rx={2} />
              <text x={WIDE - 20} y={5}>
                {lengthText(over, ruler)}
              </text>
            </g>
          ) : null}
        </svg>
      ) : (
        <p className="quiet">heights are not seen from here</p>
      )}
      </div>
      <button
        type="button"
        className="from"
        disabled={d.turned !== null}
        title="Measure heights from the datum, or from the ground"
        onClick={() => desk.set({ heightFrom: d.heightFrom === "datum" ? "ground" : "datum", heightLine: null })}
      >
        {ruler.unit} over {d.turned ? "ground" : d.heightFrom}
      </button>
    </div>
  );
}
