/** A curve of the design, thin and dashed, with the legs and bends that follow it and where both are farthest apart. */

import type { CurveRow } from "../wire";
import type { Lines } from "./lines";

/** Steps of the curve to a dash, and to the gap behind it. */
const DASH = 2;

export function drawCurve(lines: Lines, curve: CurveRow): void {
  for (let i = 0; i + 1 < curve.line.length; i += 2 * DASH) {
    lines.through(curve.line.slice(i, i + DASH + 1), "ink", 1.1);
  }
  lines.through(curve.chain, "accent", 1.6);
  if (curve.worst) lines.through(curve.worst, curve.over ? "warn" : "accent", 3);
}
