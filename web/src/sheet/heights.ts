/** Heights over a plane, as the rule reads them. */

import type { Box3 } from "three";
import type { Drawing } from "../drawing/Drawing";
import type { Plane } from "../drawing/ground";
import { cross, dot, scale, sub, unit, add, type Vec } from "../base/vec";

/** How heights lie on the screen. */
export interface Scale {
  /** Pixel of height 0 on the rule. */
  zero: number;
  /** Pixels upward for a metre. */
  size: number;
  /** Whether the drawing is looked at level, so that every pixel has one height. */
  level: boolean;
}

/** The rule stands where the middle of the drawing is. Null if heights are seen from above. */
export function scaleOf(drawing: Drawing, plane: Plane): Scale | null {
  const [dx, dy] = drawing.direction(plane.normal);
  const full = 1 / drawing.metresPerPixel;
  if (-dy < 0.12 * full) return null;
  const target = drawing.pose.target;
  const middle = dot([target.x, target.y, target.z], plane.normal) - plane.height;
  const level = Math.abs(dot(drawing.lookingAlong, plane.normal)) < 2e-2 && Math.abs(dx) < 2e-2 * full;
  return { zero: drawing.height / 2 - middle * dy, size: -dy, level };
}

export const heightAt = (s: Scale, y: number): number => (s.zero - y) / s.size;
export const pixelOf = (s: Scale, height: number): number => s.zero - height * s.size;

/** Marks of a rule: distance of the small ones and of those with numbers, in the unit. */
export function marksFor(pixelsPerUnit: number, unitName: string): { small: number; big: number } {
  const steps = unitName === "in" ? [0.125, 0.25, 0.5, 1, 2, 3, 6, 12, 24, 60, 120] : [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
  const big = steps.find((s) => s * pixelsPerUnit >= 46) ?? (steps.at(-1) as number);
  const small = steps.find((s) => s * pixelsPerUnit >= 6 && isMultiple(big, s)) ?? big;
  return { small, big };
}

const isMultiple = (a: number, b: number): boolean => Math.abs(a / b - Math.round(a / b)) < 1e-9;

/** The level rectangle round a box at a height along a plane's normal: a closed line. */
export function rectangleAt(box: Box3, plane: Plane, height: number): Vec[] {
  const n = unit(plane.normal) ?? [0, 0, 1];
  const forward: Vec = Math.abs(n[0]) < 0.9 ? [1, 0, 0] : [0, 0, 1];
  const e = unit(sub(forward, scale(n, dot(forward, n)))) ?? [1, 0, 0];
  const f = cross(n, e);
  let [a0, a1, b0, b1] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < 8; i++) {
    const p: Vec = [i & 1 ? box.max.x : box.min.x, i & 2 ? box.max.y : box.min.y, i & 4 ? box.max.z : box.min.z];
    [a0, a1] = [Math.min(a0, dot(p, e)), Math.max(a1, dot(p, e))];
    [b0, b1] = [Math.min(b0, dot(p, f)), Math.max(b1, dot(p, f))];
  }
  const at = (a: number, b: number): Vec => add(scale(n, height), add(scale(e, a), scale(f, b)));
  return [at(a0, b0), at(a1, b0), at(a1, b1), at(a0, b1), at(a0, b0)];
}
