import { useSyncExternalStore } from "react";
import { angleText, fineText, lengthText } from "../base/lengths";
import { crossings, measure } from "../base/measure";
import { readable } from "../base/names";
import { useStore } from "../base/store";
import type { Vec } from "../base/vec";
import type { Drawing } from "../drawing/Drawing";
import type { View } from "../wire";
import { builtPlace, farthest, showsBuilt } from "./built";
import { desk, heightPlane, live, pointOf, rulerOf, tubeOf, type Desk } from "./desk";
import { Handles } from "./Handles";
import { pixelOf, scaleOf } from "./heights";

/** What is written over the drawing: names, dimensions, handles, the height line. */
export function Overlay({ drawing }: { drawing: Drawing }) {
  useSyncExternalStore(
    (hear) => drawing.onFrame(hear),
    () => drawing.drawn,
  );
  const view = useStore(live.store, (s) => s.view);
  const d = useStore(desk, (s) => s);
  if (!view) return null;
  const picked = d.picked?.kind === "point" ? pointOf(view, d.picked.name) : undefined;
  return (
    <>
      <svg className="overlay" width={drawing.width} height={drawing.height} aria-hidden>
        <HeightMarks drawing={drawing} view={view} d={d} />
        <Dimension drawing={drawing} view={view} d={d} />
        <Target drawing={drawing} at={d.pointedAt ?? d.newPoint} />
        {picked && d.tool === "pick" ? <Handles key={picked.name} drawing={drawing} point={picked} view={view} /> : null}
        <HoverName drawing={drawing} view={view} d={d} />
      </svg>
      <MovedLegend d={d} />
      <BuiltLegend d={d} />
    </>
  );
}

/** Text with a border of paper, so that it can be read over lines. */
export function Note(props: { x: number; y: number; children: string; className?: string; anchor?: "start" | "middle" | "end" }) {
  return (
    <text x={props.x} y={props.y} textAnchor={props.anchor ?? "start"} className={`note ${props.className ?? ""}`}>
      {props.children}
    </text>
  );
}

function HoverName({ drawing, view, d }: { drawing: Drawing; view: View; d: Desk }) {
  if (!d.hovered || !d.hoveredAt) return null;
  const [x, y] = drawing.project(d.hoveredAt);
  const tube = d.hovered.kind === "tube" ? tubeOf(view, d.hovered.name) : undefined;
  const used = d.moved?.tubes.flatMap((t) => (t.name === d.hovered?.name ? t.use : [])) ?? [];
  const built = d.hovered.kind === "point" ? builtPlace(d, d.hovered.name) : undefined;
  const more = built ? `${built.off} off: ${built.words}` : tube ? (used.length > 0 ? `${Math.max(...used).toFixed(2)} of yielding` : `${tube.section}, ${tube.length}`) : "";
  const right = x > drawing.width - (built ? drawing.width / 2 : 220);
  return (
    <g className="hover">
      <Note x={x + (right ? -12 : 12)} y={y - 12} anchor={right ? "end" : "start"}>
        {readable(d.hovered.name) + (more ? ` · ${more}` : "")}
      </Note>
    </g>
  );
}

function Target({ drawing, at }: { drawing: Drawing; at: Vec | null }) {
  if (!at) return null;
  const [x, y] = drawing.project(at);
  return (
    <g className="target" transform={`translate(${x} ${y})`}>
      <circle r={11} />
      <path d="M-17 0H-6M6 0H17M0-17V-6M0 6V17" />
    </g>
  );
}

function HeightMarks({ drawing, view, d }: { drawing: Drawing; view: View; d: Desk }) {
  if (d.heightLine === null) return null;
  const { plane, words } = heightPlane(view, d);
  const scale = scaleOf(drawing, plane);
  const ruler = rulerOf(view);
  const height = plane.height + d.heightLine;
  const shown = view.tubes.filter((t) => d.upTo === null || t.number <= d.upTo);
  const marks = d.layers.tubes ? shown.flatMap((t) => crossings(t.line, plane.normal, height)) : [];
  const y = scale ? pixelOf(scale, d.heightLine) : null;
  return (
    <g className="height">
      {scale?.level && y !== null ? <line x1={0} x2={drawing.width} y1={y} y2={y} /> : null}
      {marks.map((p, i) => {
        const [px, py] = drawing.project(p);
        return <path key={i} d={`M${px - 4} ${py - 4}l8 8m0-8l-8 8`} />;
      })}
      {y !== null ? (
        <Note x={10} y={y - 7}>
          {`${lengthText(d.heightLine, ruler)} ${ruler.unit} over ${words}`}
        </Note>
      ) : null}
    </g>
  );
}

function Dimension({ drawing, view, d }: { drawing: Drawing; view: View; d: Desk }) {
  const [a, b] = d.measured;
  if (!a || !b) return null;
  const m = measure(a, b);
  if (!Number.isFinite(m.distance)) return null;
  const [x0, y0] = drawing.project(m.from);
  const [x1, y1] = drawing.project(m.to);
  const ruler = rulerOf(view);
  const label = `${fineText(m.distance, ruler)} ${ruler.unit}${m.angle !== null ? `, ${angleText(m.angle)}` : ""}`;
  return (
    <g className="dimension">
      <line x1={x0} y1={y0} x2={x1} y2={y1} />
      <circle cx={x0} cy={y0} r={3.5} />
      <circle cx={x1} cy={y1} r={3.5} />
      <Note x={(x0 + x1) / 2 + 8} y={(y0 + y1) / 2 - 6}>
        {label}
      </Note>
    </g>
  );
}

function MovedLegend({ d }: { d: Desk }) {
  if (!d.moved) return null;
  const most = Math.max(0, ...d.moved.tubes.flatMap((t) => t.use));
  return (
    <p className="legend-moved">
      <strong>{readable(d.moved.load)}</strong>: drawn <span className="number">{d.moved.scale}</span> times as far as it moves. A heavier line is nearer
      to yielding; the most is <span className="number">{Math.round(100 * most)} %</span> of it.
    </p>
  );
}

function BuiltLegend({ d }: { d: Desk }) {
  if (!showsBuilt(d) || !d.built || d.moved || d.crush || d.drive) return null;
  const { frame } = d.built;
  const most = farthest(frame);
  if (!most) return null;
  return (
    <p className="legend-moved">
      <strong>as built</strong>: centrelines as they stand, what is still to come thinner; each measured point drawn <span className="number">{frame.scale}</span>{" "}
      {frame.scale === 1 ? "time" : "times"} as far off as it is. Farthest: {readable(most.name)}, <span className="number">{most.off}</span>.
    </p>
  );
}
