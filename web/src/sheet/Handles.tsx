import { useEffect, useRef, useState } from "react";
import { lengthText, snap } from "../base/lengths";
import { readable } from "../base/names";
import { add, scale, unit, sub, type Vec } from "../base/vec";
import { nearestOnLine } from "../base/measure";
import type { Drawing } from "../drawing/Drawing";
import type { Edit, PointRow, View } from "../wire";
import { live, rulerOf, AXES } from "./desk";
import { movedWords, setPoint, slide, tubeUnder } from "./edits";
import { Note } from "./Overlay";

const LONG = 62;

interface Drag {
  way: Vec;
  from: Vec;
  x: number;
  y: number;
  at: Vec;
  axis: number | null;
}

/** Arrows along the axes at a picked point; dragging one tries the point there, letting go sets it. */
export function Handles({ drawing, point, view }: { drawing: Drawing; point: PointRow; view: View }) {
  const ruler = rulerOf(view);
  const [drag, setDrag] = useState<Drag | null>(null);
  const held = useRef<Drag | null>(null);
  held.current = drag;
  useEffect(() => {
    const escape = (e: KeyboardEvent): void => {
      if (e.key !== "Escape" || !held.current) return;
      e.preventDefault();
      e.stopPropagation();
      setDrag(null);
      live.letGo();
    };
    window.addEventListener("keydown", escape, true);
    return () => window.removeEventListener("keydown", escape, true);
  }, []);
  const at = drag?.at ?? point.at;
  const [x, y] = drawing.project(at);
  const ways: { key: string; way: Vec; axis: number | null }[] = AXES.map((key, i) => ({
    key,
    way: [i === 0 ? 1 : 0, i === 1 ? 1 : 0, i === 2 ? 1 : 0],
    axis: i,
  }));
  const along = alongTube(view, point);
  if (along) ways.push({ key: "along", way: along, axis: null });
  const move = (e: React.PointerEvent): void => {
    if (!drag) return;
    const [dx, dy] = drawing.direction(drag.way);
    const by = ((e.clientX - drag.x) * dx + (e.clientY - drag.y) * dy) / (dx * dx + dy * dy);
    let next = add(drag.from, scale(drag.way, snap(by, ruler)));
    const under = drag.axis === null ? tubeUnder(view, point) : undefined;
    // Round a bend as well: what is dragged is the place on the tube.
    if (under) next = nearestOnLine(under.line, next).at;
    if (drag.axis !== null) {
      // The coordinate itself stands on a step, wherever it came from.
      const c = [...drag.from] as [number, number, number];
      c[drag.axis] = snap((drag.from[drag.axis] as number) + by * (drag.way[drag.axis] as number), ruler);
      next = c;
    }
    if (next.every((v, i) => v === drag.at[i])) return;
    setDrag({ ...drag, at: next });
    live.attempt([editFor(drag, next)]);
  };
  const editFor = (d: Drag, to: Vec): Edit => (d.axis === null ? slide(view, point, to) : null) ?? setPoint(point.name, to);
  const release = (): void => {
    if (!drag) return;
    setDrag(null);
    if (drag.at === drag.from) return;
    void live.make(movedWords(point.name, drag.at, ruler), [editFor(drag, drag.at)]).then((done) => {
      if (!done) live.letGo();
    });
  };
  return (
    <g className="handles" transform={`translate(${x} ${y})`}>
      {ways.map(({ key, way, axis }) => {
        const [dx, dy] = drawing.direction(way);
        const l = Math.hypot(dx, dy);
        // An axis that points at the eye can't be dragged along.
        if (l * drawing.metresPerPixel < 0.18) return null;
        const [ux, uy] = [dx / l, dy / l];
        const [ex, ey] = [ux * LONG, uy * LONG];
        return (
          <g
            key={key}
            className={`handle ${key}`}
            onPointerDown={(e) => {
              if (e.button !== 0) return;
              e.stopPropagation();
              e.currentTarget.setPointerCapture(e.pointerId);
              setDrag({ way, from: point.at, x: e.clientX, y: e.clientY, at: point.at, axis });
            }}
            onPointerMove={move}
            onPointerUp={release}
            onPointerCancel={() => {
              setDrag(null);
              live.letGo();
            }}
          >
            <line className="grip" x1={ux * 12} y1={uy * 12} x2={ex + ux * 10} y2={ey + uy * 10} />
            <line className="stem" x1={ux * 9} y1={uy * 9} x2={ex} y2={ey} />
            <path className="head" d={`M${ex + ux * 9} ${ey + uy * 9}L${ex - uy * 5} ${ey + ux * 5}L${ex + uy * 5} ${ey - ux * 5}Z`} />
            <Note x={ex + ux * 20} y={ey + uy * 20 + 4} anchor="middle">
              {key === "along" ? `along ${readable(point.on ?? "")}` : key}
            </Note>
          </g>
        );
      })}
      {drag && drag.axis !== null ? (
        <Note x={14} y={-14}>
          {`${AXES[drag.axis]} ${lengthText(drag.at[drag.axis] as number, ruler)} ${ruler.unit}`}
        </Note>
      ) : null}
    </g>
  );
}

/** Direction of the tube that a point is on, there. */
function alongTube(view: View, point: PointRow): Vec | null {
  const tube = tubeUnder(view, point);
  if (!tube || !slide(view, point, point.at)) return null;
  const near = nearestOnLine(tube.line, point.at);
  const a = tube.line[near.stretch];
  const b = tube.line[near.stretch + 1];
  return a && b ? unit(sub(b, a)) : null;
}
