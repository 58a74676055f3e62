import { useEffect, useMemo, useRef, useState } from "react";
import { useStore } from "../base/store";
import { theme } from "../base/theme";
import { Drawing, type Scene } from "../drawing/Drawing";
import { Mark } from "../drawing/ink";
import { PointMark } from "../drawing/points";
import { desk, groundOf, heightPlane, live, overOf, pointOf, tubeOf, type Desk } from "./desk";
import { watch } from "./gestures";
import { roadLines } from "./road";
import { builtLines, followBuilt, showsBuilt } from "./built";
import { crushLines } from "./crush";
import { TrialTrouble } from "./Banners";
import { CrushPanel } from "./CrushPanel";
import { DrivePanel } from "./DrivePanel";
import { HeightRule } from "./HeightRule";
import { Overlay } from "./Overlay";
import { PickedPanel } from "./PickedPanel";
import { rectangleAt } from "./heights";
import { printable } from "./printing";
import { stage } from "./stage";
import { LookTools, Tools } from "./Tools";
import type { View } from "../wire";
import type { Vec } from "../base/vec";

/** The one drawing that stays while the words change, with the height rule and what lies over it. */
export function DrawingPane() {
  const host = useRef<HTMLDivElement>(null);
  const [drawing, setDrawing] = useState<Drawing | null>(null);
  const [trouble, setTrouble] = useState<string | null>(null);
  useEffect(() => {
    if (!host.current) return;
    let made: Drawing;
    try {
      made = new Drawing(host.current);
    } catch {
      setTrouble("This browser has no WebGL, so the frame can’t be drawn. The answers stand beside it all the same.");
      return;
    }
    stage.drawing = made;
    setDrawing(made);
    const size = new ResizeObserver(() => made.size());
    size.observe(host.current);
    const offTheme = theme.hear(() => made.style());
    const dark = matchMedia("(prefers-color-scheme: dark)");
    const restyle = (): void => made.style();
    dark.addEventListener("change", restyle);
    const offGestures = watch(made);
    const offPrint = printable(made, host.current);
    return () => {
      offPrint();
      offGestures();
      offTheme();
      dark.removeEventListener("change", restyle);
      size.disconnect();
      made.end();
      stage.drawing = null;
    };
  }, []);
  useShown(drawing);
  useEffect(followBuilt, []);
  return (
    <div className="drawing-area">
      {drawing ? <HeightRule drawing={drawing} /> : <div className="rule" />}
      <section className="drawing" aria-label="Drawing">
        <Tools />
        <div className="canvas" ref={host}>
          {drawing ? <Overlay drawing={drawing} /> : null}
          <DrivePanel />
          <CrushPanel />
          <TrialTrouble />
          <LookTools />
          {trouble ? <p className="trouble">{trouble}</p> : null}
        </div>
        <PickedPanel />
      </section>
    </div>
  );
}

/** Hands the state to the drawing whenever something of it changes. */
function useShown(drawing: Drawing | null): void {
  const begun = useRef(false);
  const view = useStore(live.store, (s) => s.view);
  const meshes = useStore(live.store, (s) => s.meshes);
  const d = useStore(desk, (s) => s);
  const over = useMemo(() => (view ? overOf(view, d.word) : new Set<string>()), [view, d.word]);
  const numbers = useMemo(() => new Map(view?.tubes.map((t) => [t.name, t] as const)), [view]);
  useEffect(() => {
    if (!drawing || !view) return;
    const pointed = new Set(d.pointed);
    const highlighted = d.hovered?.kind === "tube" ? d.hovered.name : null;
    const pickedTube = d.picked?.kind === "tube" ? d.picked.name : null;
    const measured = new Set(d.measured.flatMap((m) => (m.is === "plane" ? [] : [m.name])));
    const measuredPoints = new Set(showsBuilt(d) ? d.built?.frame.places.map((p) => p.name) : []);
    const scene: Scene = {
      view,
      meshes,
      layers: d.layers,
      ground: d.drive ? null : d.turned ? d.turned.plane : groundOf(view, d),
      cut: d.cut ? cutPlane(d.cut) : null,
      every: view.unit === "in" ? 0.3048 : 0.25,
      mark: (name) => {
        let mark = 0;
        const tube = numbers.get(name);
        if (tube && d.upTo !== null && tube.number > d.upTo) mark |= Mark.hidden;
        if (name === pickedTube || measured.has(name)) mark |= Mark.picked;
        if (pointed.has(name) || name === highlighted) mark |= Mark.pointed;
        if (over.has(name)) mark |= Mark.over;
        if (tube?.state === "provisional") mark |= Mark.dashed;
        if (tube?.state === "temporary" || d.moved !== null || d.crush !== null || (d.piece !== null && name !== d.piece)) mark |= Mark.dim;
        return mark;
      },
      pointShown: (name) => d.word === "shape" || measuredPoints.has(name) || d.tool !== "pick" || (d.picked?.kind === "point" && d.picked.name === name) || (d.hovered?.kind === "point" && d.hovered.name === name),
      pointMark: (name) => {
        if (d.picked?.kind === "point" && d.picked.name === name) return PointMark.picked;
        if (d.path.includes(name) || measured.has(name)) return PointMark.picked;
        return d.hovered?.kind === "point" && d.hovered.name === name ? PointMark.pointed : PointMark.plain;
      },
      over: [...(d.drive ? roadLines(d.drive).map((line, i) => ({ line, tone: i < 2 ? ("ink" as const) : ("faint" as const), width: i < 2 ? 2.2 : 1 })) : []), ...movedLines(d), ...crushLines(d.crush), ...builtLines(d), ...heightLines(view, d, drawing), ...pathLines(view, d)],
    };
    if (begun.current) {
      drawing.show(scene);
      return;
    }
    // The first drawing waits until the words are on the screen: where the processor draws, it takes a while.
    let frame = 0;
    const wait = requestAnimationFrame(() => {
      frame = window.setTimeout(() => {
        begun.current = true;
        drawing.show(scene);
      });
    });
    return () => {
      cancelAnimationFrame(wait);
      window.clearTimeout(frame);
    };
  }, [drawing, view, meshes, d, over, numbers]);
}

function cutPlane(cut: NonNullable<Desk["cut"]>): { normal: Vec; height: number } {
  const sign = cut.flip ? -1 : 1;
  const normal: Vec = [cut.axis === "x" ? sign : 0, cut.axis === "y" ? sign : 0, cut.axis === "z" ? sign : 0];
  return { normal, height: sign * cut.at };
}

function movedLines({ moved }: Desk): Scene["over"] {
  if (!moved) return [];
  return moved.tubes.flatMap(({ line, moved: by, use }) =>
    line.slice(1).map((_, i) => {
      const place = (k: number): Vec => {
        const [a, b] = [line[k] as Vec, by[k] ?? [0, 0, 0]];
        return [a[0] + b[0] * moved.scale, a[1] + b[1] * moved.scale, a[2] + b[2] * moved.scale];
      };
      const used = Math.max(use[i] ?? 0, use[i + 1] ?? 0);
      return { line: [place(i), place(i + 1)], tone: used > 1 ? ("warn" as const) : ("ink" as const), width: 1.2 + 4.5 * Math.min(1.2, used) };
    }),
  );
}

function heightLines(view: View, d: Desk, drawing: Drawing): Scene["over"] {
  if (d.heightLine === null) return [];
  const { plane } = heightPlane(view, d);
  return [{ line: rectangleAt(drawing.extent, plane, plane.height + d.heightLine), tone: "accent", width: 1.2 }];
}

function pathLines(view: View, d: Desk): Scene["over"] {
  const places = d.path.flatMap((name) => pointOf(view, name)?.at ?? []);
  const line: Vec[] = [];
  for (let i = 0; i + 2 < places.length; i += 3) line.push([places[i] as number, places[i + 1] as number, places[i + 2] as number]);
  const out: { line: readonly Vec[]; tone: "accent"; width: number }[] = line.length > 1 ? [{ line, tone: "accent", width: 2.4 }] : [];
  const picked = d.picked?.kind === "tube" ? tubeOf(view, d.picked.name) : undefined;
  if (picked) out.push({ line: picked.line, tone: "accent", width: 1 });
  return out;
}
