/** Mouse, trackpad, touch and keys on the drawing. */

import { nearestOfStretches, nearestOnLine } from "../base/measure";
import { add, scale, type Vec } from "../base/vec";
import { snap } from "../base/lengths";
import type { Drawing, Under } from "../drawing/Drawing";
import { VIEWS } from "../drawing/pose";
import { desk, letGo, live, pick, rulerOf, tubeOf, type Named } from "./desk";
import { standUp } from "./acts";

const POINT_REACH = 9;
const TOUCH_REACH = 20;
const CLICK = 5;
const TURN = 0.008;

/** The point or tube under a pixel. */
export function under(drawing: Drawing, x: number, y: number, touch = false): Under | null {
  const view = live.store.get().view;
  if (!view) return null;
  const { layers, cut, upTo } = desk.get();
  if (layers.points) {
    let best: Under | null = null;
    let least = (touch ? TOUCH_REACH : POINT_REACH) ** 2;
    let depth = -Infinity;
    for (const point of view.points) {
      const [px, py, pz] = drawing.project(point.at);
      const off = (px - x) ** 2 + (py - y) ** 2;
      if (off > least + 4 || (off > least - 4 && pz < depth)) continue;
      if (cut && (cut.flip ? -1 : 1) * ((point.at["xyz".indexOf(cut.axis)] as number) - cut.at) > 1e-6) continue;
      least = Math.min(least, off);
      depth = pz;
      best = { kind: "point", name: point.name, at: point.at };
    }
    if (best) return best;
  }
  const name = drawing.bodyAt(x, y);
  const tube = name === null ? undefined : tubeOf(view, name);
  if (!tube || (upTo !== null && tube.number > upTo)) return null;
  const at = placeOn(drawing, tube.line, x, y);
  return { kind: "tube", name: tube.name, at };
}

/** The place of a line that is nearest to a pixel. */
export function placeOn(drawing: Drawing, line: readonly Vec[], x: number, y: number): Vec {
  const from = drawing.unproject(x, y, line[0] ?? [0, 0, 0]);
  const way = drawing.lookingAlong;
  const a = add(from, scale(way, -50));
  const b = add(from, scale(way, 50));
  let best: Vec = line[0] ?? [0, 0, 0];
  let least = Infinity;
  for (let i = 0; i + 1 < line.length; i++) {
    const [p, q] = nearestOfStretches(line[i] as Vec, line[i + 1] as Vec, a, b);
    const d = (p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 + (p[2] - q[2]) ** 2;
    if (d < least) {
      least = d;
      best = p;
    }
  }
  return best;
}

/** What a click does, with the tool that is in the hand. */
function click(drawing: Drawing, x: number, y: number, touch: boolean): void {
  const view = live.store.get().view;
  if (!view) return;
  const found = under(drawing, x, y, touch);
  const { tool, measured, path } = desk.get();
  const ruler = rulerOf(view);
  switch (tool) {
    case "pick":
      pick(found ? { kind: found.kind, name: found.name } : null);
      break;
    case "measure": {
      if (!found) break;
      const tube = found.kind === "tube" ? tubeOf(view, found.name) : undefined;
      const thing = tube ? ({ is: "tube", name: tube.name, line: tube.line } as const) : ({ is: "point", name: found.name, at: found.at } as const);
      desk.set({ measured: measured.length === 1 ? [...measured, thing] : [thing] });
      break;
    }
    case "point": {
      const at = found ? found.at : drawing.unproject(x, y, drawing.pose.target.toArray() as unknown as Vec);
      desk.set({ newPoint: [snap(at[0], ruler), snap(at[1], ruler), snap(at[2], ruler)] });
      break;
    }
    case "tube":
      if (found?.kind === "point" && path.at(-1) !== found.name) desk.set({ path: [...path, found.name] });
      break;
    case "split":
      if (found?.kind === "tube") desk.set({ picked: { kind: "tube", name: found.name }, newPoint: snapAlong(view, found) });
      break;
  }
}

/** The place of a tube that is a whole number of steps from its start. */
function snapAlong(view: NonNullable<ReturnType<typeof live.store.get>["view"]>, found: Under): Vec {
  const tube = tubeOf(view, found.name);
  if (!tube) return found.at;
  const near = nearestOnLine(tube.line, found.at);
  const a = tube.line[near.stretch] as Vec;
  const b = tube.line[near.stretch + 1] as Vec;
  const long = Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]);
  if (!(long > 0)) return near.at;
  const off = snap(near.along, rulerOf(view)) - near.along;
  const at = add(near.at, scale([b[0] - a[0], b[1] - a[1], b[2] - a[2]], off / long));
  return nearestOnLine([a, b], at).at;
}

/** Follows the pointer and the keys until it is called off. */
export function watch(drawing: Drawing): () => void {
  const canvas = drawing.canvas;
  canvas.tabIndex = 0;
  canvas.setAttribute("role", "application");
  canvas.setAttribute("aria-label", "Drawing of the frame. Arrow keys turn it, plus and minus bring it nearer, N and P pick tubes, ? says all keys.");
  const fingers = new Map<number, { x: number; y: number }>();
  let moved = 0;
  let multi = false;
  let button = 0;
  let hover = 0;
  const place = (e: PointerEvent | WheelEvent): { x: number; y: number } => {
    const r = canvas.getBoundingClientRect();
    return { x: e.clientX - r.left, y: e.clientY - r.top };
  };
  const setHover = (named: Named | null, at: Vec | null): void => {
    const was = desk.get().hovered;
    if (was?.kind === named?.kind && was?.name === named?.name && named?.kind !== "tube") return;
    desk.set({ hovered: named && was && was.kind === named.kind && was.name === named.name ? was : named, hoveredAt: at });
  };
  const down = (e: PointerEvent): void => {
    canvas.focus({ preventScroll: true });
    canvas.setPointerCapture(e.pointerId);
    fingers.set(e.pointerId, place(e));
    if (fingers.size === 1) {
      moved = 0;
      multi = false;
      button = e.button;
    } else multi = true;
  };
  const move = (e: PointerEvent): void => {
    const here = place(e);
    const was = fingers.get(e.pointerId);
    if (!was) {
      if (e.pointerType === "touch") return;
      cancelAnimationFrame(hover);
      hover = requestAnimationFrame(() => {
        const found = under(drawing, here.x, here.y);
        setHover(found ? { kind: found.kind, name: found.name } : null, found?.at ?? null);
        canvas.style.cursor = found ? "pointer" : "";
      });
      return;
    }
    const dx = here.x - was.x;
    const dy = here.y - was.y;
    moved += Math.abs(dx) + Math.abs(dy);
    if (moved < CLICK) return;
    if (fingers.size === 1 && !multi) {
      if (e.shiftKey || button === 2 || button === 1) drawing.pan(dx, dy);
      else drawing.orbit(dx * TURN, dy * TURN);
    } else if (fingers.size === 2) {
      const other = [...fingers].find(([id]) => id !== e.pointerId)?.[1];
      if (other) {
        drawing.pan(dx / 2, dy / 2);
        const before = Math.hypot(was.x - other.x, was.y - other.y);
        const now = Math.hypot(here.x - other.x, here.y - other.y);
        if (before > 10 && now > 10) drawing.zoom(now / before, (here.x + other.x) / 2, (here.y + other.y) / 2);
      }
    }
    fingers.set(e.pointerId, here);
  };
  const up = (e: PointerEvent): void => {
    const was = fingers.get(e.pointerId);
    fingers.delete(e.pointerId);
    if (was && !multi && moved < CLICK && e.type === "pointerup" && e.button === 0) click(drawing, was.x, was.y, e.pointerType === "touch");
  };
  const leave = (): void => {
    cancelAnimationFrame(hover);
    setHover(null, null);
  };
  const wheel = (e: WheelEvent): void => {
    e.preventDefault();
    const { x, y } = place(e);
    const unit = e.deltaMode === 1 ? 30 : 1;
    if (e.shiftKey) drawing.pan(-e.deltaX - e.deltaY, 0);
    else drawing.zoom(Math.exp(-e.deltaY * unit * (e.ctrlKey ? 0.01 : 0.0015)), x, y);
  };
  const still = (e: Event): void => e.preventDefault();
  const key = (e: KeyboardEvent): void => {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const arrows: Record<string, [number, number]> = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const arrow = arrows[e.key];
    const five = (5 * Math.PI) / 180;
    if (arrow) {
      if (e.shiftKey) drawing.pan(-arrow[0] * 40, -arrow[1] * 40);
      else drawing.orbit(arrow[0] * five, arrow[1] * five);
    } else if (e.key === "+" || e.key === "=") drawing.zoom(1.25);
    else if (e.key === "-" || e.key === "−") drawing.zoom(0.8);
    else if (e.key === "0") drawing.fit();
    else if (e.key >= "1" && e.key <= "7") drawing.look(VIEWS[Number(e.key) - 1] as (typeof VIEWS)[number]);
    else if (e.key === "n" || e.key === "p") nextTube(e.key === "n" ? 1 : -1);
    else if (e.key === "Escape") {
      if (desk.get().turned) standUp();
      else letGo();
    } else return;
    e.preventDefault();
    e.stopPropagation();
  };
  canvas.addEventListener("pointerdown", down);
  canvas.addEventListener("pointermove", move);
  canvas.addEventListener("pointerup", up);
  canvas.addEventListener("pointercancel", up);
  canvas.addEventListener("pointerleave", leave);
  canvas.addEventListener("wheel", wheel, { passive: false });
  canvas.addEventListener("contextmenu", still);
  canvas.addEventListener("keydown", key);
  return () => {
    cancelAnimationFrame(hover);
  };
}

/** Picks the next tube of the fitting order. */
export function nextTube(by: 1 | -1): void {
  const view = live.store.get().view;
  if (!view || view.tubes.length === 0) return;
  const { picked } = desk.get();
  const at = picked?.kind === "tube" ? view.tubes.findIndex((t) => t.name === picked.name) : by > 0 ? -1 : 0;
  const next = view.tubes[(at + by + view.tubes.length) % view.tubes.length];
  if (next) pick({ kind: "tube", name: next.name });
}

