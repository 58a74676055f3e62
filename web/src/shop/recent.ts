import type { MeasureSheet, Reading } from "../wire";
import { readSpot } from "./reading";

/** Places that were measured last, each once. */
export function recentOf(sheet: MeasureSheet, pending: readonly Reading[]): string[] {
  const all = [...[...pending].reverse().map((r) => r.places), ...sheet.readings.filter((r) => r.at != null).map((r) => r.places)];
  return [...new Set(all.flat().map((p) => readSpot(p).place))];
}
