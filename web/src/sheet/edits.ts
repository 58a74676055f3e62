/** What the page's wishes are as changes of the document. */

import { fineText, snap, tidy, type Ruler } from "../base/lengths";
import { nearestOnLine } from "../base/measure";
import { freeName } from "../base/names";
import { distance, type Vec } from "../base/vec";
import type { Edit, PointRow, TubeRow, View } from "../wire";
import { pointOf, rulerOf } from "./lookup";

const vec = (v: Vec): [number, number, number] => [v[0], v[1], v[2]];

export const setPoint = (point: string, at: Vec): Edit => ({ edit: "set_point", point, at: vec(at) });
export const addPoint = (point: string, at: Vec): Edit => ({ edit: "add_point", point, at: vec(at) });

export const setTube = (tube: string, key: string, value: Extract<Edit, { edit: "set_key" }>["value"]): Edit => ({
  edit: "set_key",
  table: "tube",
  name: tube,
  key: [key],
  value,
});

/** One radius for all bends, or one for each. */
export const radii = (values: readonly number[]): Extract<Edit, { edit: "set_key" }>["value"] =>
  values.length === 1 ? { number: values[0] as number } : { numbers: [...values] };

export interface NewTube {
  name: string;
  section: string;
  path: readonly string[];
  /** m; needed if there are inner points. */
  radius: number | null;
  mirror: boolean;
  before: string | null;
}

export function addTube({ name, section, path, radius, mirror, before }: NewTube): Edit[] {
  const edits: Edit[] = [{ edit: "add_tube", tube: name, section, path: [...path], before }];
  if (radius !== null && path.length > 2) edits.push(setTube(name, "bend_radius", { number: radius }));
  if (mirror) edits.push(setTube(name, "mirror", { flag: true }));
  return edits;
}

/** What goes into the history when a point is moved: `moved nose to 1475, 300, 0`. */
export function movedWords(name: string, to: Vec, ruler: Ruler): string {
  return `moved ${name} to ${to.map((c) => fineText(c, ruler)).join(", ")}`;
}

/** The tube that a point is on. */
export function tubeUnder(view: View, point: PointRow): TubeRow | undefined {
  return view.tubes.find((t) => t.name === point.on);
}

/** Puts a point on a tube, at the place of its centreline that is nearest to where it is now. */
export function attach(view: View, point: PointRow, tube: TubeRow): Edit {
  return { edit: "place_on_tube", point: point.name, tube: tube.name, length: snap(nearestOnLine(tube.line, point.at).along, rulerOf(view)) };
}

/** Tubes that a point could be put on, the nearest first: those that do not run through it. */
export function attachable(view: View, point: PointRow): TubeRow[] {
  const off = (t: TubeRow): number => distance(nearestOnLine(t.line, point.at).at, point.at);
  return view.tubes
    .filter((t) => !point.tubes.includes(t.name) && t.name !== point.on)
    .map((t) => [off(t), t] as const)
    .sort((a, b) => a[0] - b[0])
    .slice(0, 6)
    .map(([, t]) => t);
}

/** A point that is farther than this from the tube's centreline stands beside it by an offset, m. */
const BESIDE = 0.001;

/**
 * Moves a point along the tube that it is on, keeping how it is placed there: by a length from an end, a part of the
 * length, or a plane. Null if the page is not told enough for that.
 */
export function slide(view: View, point: PointRow, to: Vec): Edit | null {
  const tube = tubeUnder(view, point);
  if (!tube || distance(nearestOnLine(tube.line, point.at).at, point.at) > BESIDE) return null;
  const ruler = rulerOf(view);
  const near = nearestOnLine(tube.line, to);
  const whole = tube.line.slice(1).reduce((sum, p, i) => sum + distance(p, tube.line[i] as Vec), 0);
  const set = (key: string, number: number): Edit => ({
    edit: "set_key",
    table: "point",
    name: point.name.replace(/~$/, ""),
    key: [key],
    value: { number },
  });
  switch (point.along) {
    case "x":
    case "y":
    case "z": {
      const value = snap(near.at["xyz".indexOf(point.along)] as number, ruler);
      return set(point.along, point.along === "y" && point.twin ? -value : value);
    }
    case "start":
      return set("at", snap(near.along, ruler));
    case "end":
      return set("at", snap(near.along - whole, ruler));
    case "part":
      return set("part", near.along / whole);
    default:
      return null;
  }
}

/** The leg of a tube's path that a place of its centreline is on, as the number of its first point. */
export function legAt(view: View, tube: TubeRow, at: Vec): number {
  let best = 0;
  let least = Infinity;
  for (let i = 0; i + 1 < tube.path.length; i++) {
    const a = pointOf(view, tube.path[i] as string)?.at;
    const b = pointOf(view, tube.path[i + 1] as string)?.at;
    if (!a || !b) continue;
    const d = distance(nearestOnLine([a, b], at).at, at);
    if (d < least) {
      least = d;
      best = i;
    }
  }
  return best;
}

/**
 * Makes two tubes of one at a place: a new point there, the tube's path up to it, a new tube behind it in the path and
 * in the fitting order. How the old end was to be cut stays with the first tube: the page is not told of it.
 */
export function splitTube(view: View, tube: TubeRow, at: Vec): { edits: Edit[]; point: string; tube: string } {
  const names = new Set([...view.points.map((p) => p.name), ...view.tubes.map((t) => t.name)]);
  const taken = (name: string): boolean => names.has(name);
  const point = freeName(`${tube.name.replace(/~$/, "")}_split`, taken);
  const second = freeName(tube.name.replace(/~$/, ""), taken);
  const leg = legAt(view, tube, at);
  // A twin's split is its original's: coordinates of twins are mirrored back by the server.
  const ruler = rulerOf(view);
  const here: Vec = [tidy(at[0], ruler), tidy(tube.twin ? -at[1] : at[1], ruler), tidy(at[2], ruler)];
  const back = (name: string): string => (tube.twin ? (name.endsWith("~") ? name.slice(0, -1) : mirrored(view, name)) : name);
  const first = [...tube.path.slice(0, leg + 1).map(back), point];
  const rest = [point, ...tube.path.slice(leg + 1).map(back)];
  const own = tube.name.replace(/~$/, "");
  const order = view.tubes.filter((t) => !t.twin);
  const next = order[order.findIndex((t) => t.name === own) + 1]?.name ?? null;
  const edits: Edit[] = [
    addPoint(point, here),
    { edit: "add_tube", tube: second, section: tube.section, path: rest, before: next },
    setTube(own, "path", { names: first }),
  ];
  const r = tube.bend_radius;
  const each = r.length > 1 ? r : tube.path.slice(1, -1).map(() => r[0] as number);
  if (r.length > 0) {
    const before = each.slice(0, leg);
    const behind = each.slice(leg);
    if (before.length > 0) edits.push(setTube(own, "bend_radius", radii(same(before))));
    else edits.push({ edit: "remove_key", table: "tube", name: own, key: ["bend_radius"] });
    if (behind.length > 0) edits.push(setTube(second, "bend_radius", radii(same(behind))));
  }
  const roll = view.tubes.find((t) => t.name === own)?.roll;
  if (roll) edits.push(setTube(second, "roll", { number: roll }));
  if (tube.mirrored) edits.push(setTube(second, "mirror", { flag: true }));
  if (tube.state === "provisional") edits.push({ edit: "set_provisional", tube: second, provisional: true });
  return { edits, point, tube: second };
}

function mirrored(view: View, name: string): string {
  const twin = `${name}~`;
  return view.points.some((p) => p.name === twin) ? twin : name;
}

/** One value where all are the same. */
export function same(values: readonly number[]): readonly number[] {
  return values.every((v) => v === values[0]) ? values.slice(0, 1) : values;
}
