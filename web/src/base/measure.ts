/** Measuring between points, tubes' centrelines and planes. Lengths in m, angles in rad. */

import { add, cross, distance, dot, length, mix, scale, sub, unit, type Vec } from "./vec";

/** What can be measured from and to. */
export type Measurable =
  | { is: "point"; name: string; at: Vec }
  | { is: "tube"; name: string; line: readonly Vec[] }
  /** Points p of a plane have p · normal = height. Its name is read as it stands: `the ground, laden`. */
  | { is: "plane"; name: string; normal: Vec; height: number };

/** What was measured. */
export interface Measurement {
  /** The places between which it is measured. */
  from: Vec;
  to: Vec;
  /** Least distance, m. */
  distance: number;
  /** Its parts along x, y and z, from the first to the second, m. */
  parts: Vec;
  /** Angle between them, rad, from 0 to a right angle, where both have a direction. */
  angle: number | null;
  /** What it is measured between. */
  words: string;
  /** Why the angle is missing or what it is of; may be empty. */
  note: string;
}

/** Nearest place of a stretch to a place, as a part of the stretch from 0 to 1. */
function partAlong(a: Vec, b: Vec, p: Vec): number {
  const d = sub(b, a);
  const l2 = dot(d, d);
  return l2 > 0 ? Math.min(1, Math.max(0, dot(sub(p, a), d) / l2)) : 0;
}

/** Nearest places of two stretches. */
export function nearestOfStretches(a: Vec, b: Vec, c: Vec, d: Vec): [Vec, Vec] {
  const u = sub(b, a);
  const v = sub(d, c);
  const w = sub(a, c);
  const uu = dot(u, u);
  const vv = dot(v, v);
  const uv = dot(u, v);
  const det = uu * vv - uv * uv;
  let s = 0;
  // Parallel within rounding: any place of the first will do, the clamps below put it right.
  if (det > 1e-14 * uu * vv) s = Math.min(1, Math.max(0, (uv * dot(v, w) - vv * dot(u, w)) / det));
  let q = mix(c, d, partAlong(c, d, mix(a, b, s)));
  let p = mix(a, b, partAlong(a, b, q));
  q = mix(c, d, partAlong(c, d, p));
  p = mix(a, b, partAlong(a, b, q));
  return [p, q];
}

/** Nearest place of a line of stretches to a place, and the number of its stretch. */
export function nearestOnLine(line: readonly Vec[], p: Vec): { at: Vec; stretch: number; along: number } {
  let best = { at: line[0] ?? p, stretch: 0, along: 0 };
  let least = Infinity;
  let before = 0;
  for (let i = 0; i + 1 < line.length; i++) {
    const a = line[i] as Vec;
    const b = line[i + 1] as Vec;
    const k = partAlong(a, b, p);
    const at = mix(a, b, k);
    const d = distance(at, p);
    const l = distance(a, b);
    if (d < least) {
      least = d;
      best = { at, stretch: i, along: before + l * k };
    }
    before += l;
  }
  return best;
}

/** The place of a line that is so far along it, m; its ends for what is beyond them. */
export function placeAlong(line: readonly Vec[], along: number): Vec {
  let left = along;
  for (let i = 0; i + 1 < line.length; i++) {
    const a = line[i] as Vec;
    const b = line[i + 1] as Vec;
    const l = distance(a, b);
    if (left <= l || i + 2 === line.length) return mix(a, b, l > 0 ? Math.min(1, Math.max(0, left / l)) : 0);
    left -= l;
  }
  return line[0] ?? [0, 0, 0];
}

function nearestOfLines(one: readonly Vec[], other: readonly Vec[]): [Vec, Vec, number, number] {
  let best: [Vec, Vec, number, number] = [one[0] ?? [0, 0, 0], other[0] ?? [0, 0, 0], 0, 0];
  let least = Infinity;
  for (let i = 0; i + 1 < one.length; i++) {
    for (let j = 0; j + 1 < other.length; j++) {
      const [p, q] = nearestOfStretches(one[i] as Vec, one[i + 1] as Vec, other[j] as Vec, other[j + 1] as Vec);
      const d = distance(p, q);
      if (d < least) {
        least = d;
        best = [p, q, i, j];
      }
    }
  }
  return best;
}

/** Direction of a line's stretch. */
function along(line: readonly Vec[], stretch: number): Vec | null {
  const a = line[stretch];
  const b = line[stretch + 1];
  return a && b ? unit(sub(b, a)) : null;
}

function angleOf(a: Vec, b: Vec): number {
  return Math.atan2(length(cross(a, b)), Math.abs(dot(a, b)));
}

/** The place of a line that is nearest to a plane: on it, if the line crosses it. */
function nearestToPlane(line: readonly Vec[], normal: Vec, height: number): { at: Vec; stretch: number } {
  let best = { at: line[0] ?? ([0, 0, 0] as Vec), stretch: 0 };
  let least = Infinity;
  for (let i = 0; i + 1 < line.length; i++) {
    const a = line[i] as Vec;
    const b = line[i + 1] as Vec;
    const ha = dot(a, normal) - height;
    const hb = dot(b, normal) - height;
    if (ha * hb < 0) return { at: mix(a, b, ha / (ha - hb)), stretch: i };
    for (const [at, h] of [[a, ha], [b, hb]] as const) {
      if (Math.abs(h) < least) {
        least = Math.abs(h);
        best = { at, stretch: i };
      }
    }
  }
  return best;
}

function named(thing: Measurable): string {
  if (thing.is === "point") return `the point ${thing.name}`;
  if (thing.is === "tube") return `the centreline of ${thing.name}`;
  return thing.name;
}

/** Measures between two things. */
export function measure(a: Measurable, b: Measurable): Measurement {
  const words = `between ${named(a)} and ${named(b)}`;
  const done = (from: Vec, to: Vec, angle: number | null, note: string): Measurement => {
    const parts = sub(to, from);
    return { from, to, distance: length(parts), parts, angle, words, note };
  };
  if (a.is === "plane" && b.is === "plane") {
    const angle = angleOf(a.normal, b.normal);
    if (angle > 1e-9) return { ...done([0, 0, 0], [0, 0, 0], angle, "The planes cross, so there is no distance between them."), distance: NaN };
    const from = scale(a.normal, a.height);
    const to = add(from, scale(b.normal, b.height - dot(from, b.normal)));
    return done(from, to, 0, "");
  }
  if (a.is === "plane") {
    const back = measure(b, a);
    return { ...back, from: back.to, to: back.from, parts: scale(back.parts, -1), words };
  }
  if (b.is === "plane") {
    const onto = (p: Vec): Vec => add(p, scale(b.normal, b.height - dot(p, b.normal)));
    if (a.is === "point") return done(a.at, onto(a.at), null, "");
    const near = nearestToPlane(a.line, b.normal, b.height);
    const way = along(a.line, near.stretch);
    const angle = way ? Math.asin(Math.min(1, Math.abs(dot(way, b.normal)))) : null;
    return done(near.at, onto(near.at), angle, "The angle is that of the tube to the plane, at the place nearest to it.");
  }
  if (a.is === "point" && b.is === "point") return done(a.at, b.at, null, "");
  if (a.is === "point") return done(a.at, nearestOnLine((b as { line: readonly Vec[] }).line, a.at).at, null, "");
  if (b.is === "point") return done(nearestOnLine(a.line, b.at).at, b.at, null, "");
  const [from, to, i, j] = nearestOfLines(a.line, b.line);
  const u = along(a.line, i);
  const v = along(b.line, j);
  return done(from, to, u && v ? angleOf(u, v) : null, "The angle is that of the two legs where they are nearest.");
}

/** Where a line crosses the plane p · normal = height. */
export function crossings(line: readonly Vec[], normal: Vec, height: number): Vec[] {
  const out: Vec[] = [];
  for (let i = 0; i + 1 < line.length; i++) {
    const a = line[i] as Vec;
    const b = line[i + 1] as Vec;
    const ha = dot(a, normal) - height;
    const hb = dot(b, normal) - height;
    if ((ha < 0 && hb >= 0) || (ha >= 0 && hb < 0)) out.push(mix(a, b, ha / (ha - hb)));
  }
  return out;
}
