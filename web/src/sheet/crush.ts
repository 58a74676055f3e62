/** A load pushed past yielding: the frame on its way down, step by step. */

import { getJson } from "../base/api";
import type { Vec } from "../base/vec";
import { desk, live } from "./desk";

type Flat = readonly [number, number];

export interface CrushStep {
  /** The way, the factor on the load and the work, as they are read. */
  words: [string, string, string];
  /** The way in m and the factor. */
  at: Flat;
  /** Both ends of every stretch, m. */
  bars: [Vec, Vec][];
}

export interface CrushAnswer {
  load: string;
  words: string[];
  tubes: string[];
  steps: CrushStep[];
  hinges: { tube: string; place: Vec; at: Flat }[];
}

export interface Crush {
  load: string;
  answer: CrushAnswer;
  step: number;
}

/** Shows a load pushed past yielding, at its largest, or puts it away if it is shown. */
export async function startCrush(load: string): Promise<void> {
  if (desk.get().crush?.load === load) {
    desk.set({ crush: null });
    return;
  }
  const got = await getJson<CrushAnswer>(`/api/collapse/${encodeURIComponent(load)}`);
  if (got.is === "there" && got.value.steps.length > 0) {
    const { steps } = got.value;
    const peak = steps.reduce((best, s, i) => (s.at[1] > (steps[best] as CrushStep).at[1] ? i : best), 0);
    desk.set({ crush: { load, answer: got.value, step: peak }, drive: null, moved: null, turned: null });
    return;
  }
  const why = got.is === "failed" ? `: ${got.why}` : " yet";
  live.store.set({ refused: [{ what: `${load} pushed past yielding can’t be shown${why}`, line: null, text: "", help: "push the loads past yielding first" }] });
}

/** Hinges that have come by a step, by the place in their list. */
export function hingesBy({ answer, step }: Crush): number[] {
  const way = answer.steps[step]?.at[0] ?? 0;
  return answer.hinges.flatMap((h, i) => (h.at[0] <= way + 1e-12 ? [i] : []));
}

/** The frame as it lies at the step; tubes with a hinge heavier. */
export function crushLines(crush: Crush | null): { line: readonly Vec[]; tone: "ink" | "warn"; width: number }[] {
  if (!crush) return [];
  const { answer, step } = crush;
  const hinged = new Set(hingesBy(crush).map((i) => answer.hinges[i]?.tube));
  return (answer.steps[step]?.bars ?? []).map((bar, i) => {
    const is = hinged.has(answer.tubes[i]);
    return { line: bar, tone: is ? "warn" : "ink", width: is ? 3 : 1.6 };
  });
}
