/** The way of a tube through its points, with the radius of each bend. */

import { distance } from "../base/vec";
import type { Edit, TubeRow, View } from "../wire";
import { radii, same, setTube } from "./edits";
import { pointOf } from "./lookup";

export interface Path {
  readonly points: readonly string[];
  /** m: none, one for all, or one for each inner point. */
  readonly radii: readonly number[];
}

/** One radius for each inner point. */
function each(path: Path): number[] {
  const inner = Math.max(0, path.points.length - 2);
  return Array.from({ length: inner }, (_, i) => (path.radii.length > 1 ? path.radii[i] : path.radii[0]) as number);
}

/** A point and the next one change places; bends keep their places along the tube. */
export function swapped(path: Path, at: number): Path {
  const points = [...path.points];
  const [a, b] = [points[at], points[at + 1]];
  if (a === undefined || b === undefined) return path;
  points[at] = b;
  points[at + 1] = a;
  return { points, radii: path.radii };
}

/** Without one of its points; with an inner point its bend goes, with an end the bend that comes to stand there. */
export function without(path: Path, at: number): Path {
  const points = path.points.filter((_, i) => i !== at);
  const bends = each(path);
  bends.splice(Math.min(Math.max(at - 1, 0), Math.max(bends.length - 1, 0)), 1);
  return { points, radii: points.length > 2 ? same(bends) : [] };
}

/** With another point at a place of its list; null if a bend would have no radius. */
export function withPoint(path: Path, name: string, at: number, radius: number | null): Path | null {
  const points = [...path.points.slice(0, at), name, ...path.points.slice(at)];
  if (radius === null || !(radius > 0)) return null;
  const bends = each(path);
  bends.splice(Math.min(Math.max(at - 1, 0), bends.length), 0, radius);
  return { points, radii: same(bends) };
}

/** Where a point lengthens the way least. */
export function placeFor(view: View, tube: TubeRow, name: string): number {
  const at = pointOf(view, name)?.at;
  const path = tube.path.map((p) => pointOf(view, p)?.at);
  if (!at) return path.length;
  let best = path.length;
  let least = Infinity;
  for (let i = 0; i <= path.length; i++) {
    const before = path[i - 1];
    const after = path[i];
    const more = (before ? distance(before, at) : 0) + (after ? distance(at, after) : 0) - (before && after ? distance(before, after) : 0);
    if (more < least) {
      least = more;
      best = i;
    }
  }
  return best;
}

/** What a new way is as changes of the document. */
export function pathEdits(tube: string, now: Path, next: Path): Edit[] {
  const edits: Edit[] = [setTube(tube, "path", { names: [...next.points] })];
  const differ = next.radii.length !== now.radii.length || next.radii.some((r, i) => r !== now.radii[i]);
  if (!differ) return edits;
  if (next.radii.length > 0) edits.push(setTube(tube, "bend_radius", radii(next.radii)));
  else edits.push({ edit: "remove_key", table: "tube", name: tube, key: ["bend_radius"] });
  return edits;
}
