import type { MeasureSheet, Reading } from "../wire";
import { readSpot } from "./reading";

/** Places that were measured last, each once. */
export function recentOf(sheet: MeasureSheet, pending: readonly Reading[]): string[] {
  const all = [...[...pending].reverse().map((r) => r.places), ...sheet.readings.filter((r) => r.at != null).map((r) => r.places)];
  return [...new Set(all.flat().map((p) => readSpot(p).place))];
}

/** A sheet of which the frame as built is still being worked out: what is known of it stays for the moment. */
export function meanwhile(old: MeasureSheet | null, next: MeasureSheet): MeasureSheet {
  if (next.head.is !== "laying" || !old) return next;
  return { ...next, unit: old.unit, unit_size: old.unit_size, levels: old.levels, readings: old.readings, next: old.next };
}
