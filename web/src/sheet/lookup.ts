/** Rows of a view by their names. */

import type { Ruler } from "../base/lengths";
import type { PointRow, TubeRow, View } from "../wire";

export const rulerOf = (view: View): Ruler => ({ unit: view.unit, unitSize: view.unit_size, step: view.step });

export const pointOf = (view: View, name: string): PointRow | undefined => view.points.find((p) => p.name === name);
export const tubeOf = (view: View, name: string): TubeRow | undefined => view.tubes.find((t) => t.name === name);
