import { getJson } from "../base/api";
import { desk, live } from "./desk";
import type { DriveAnswer } from "./road";

/** Shows the way of a stance over an obstacle, or puts it away if it is shown. */
export async function startDrive(stance: string, over: string): Promise<void> {
  const now = desk.get().drive;
  if (now?.stance === stance && now.over === over) {
    desk.set({ drive: null });
    return;
  }
  const got = await getJson<DriveAnswer>(`/api/drive/${encodeURIComponent(stance)}/${encodeURIComponent(over)}`);
  if (got.is === "there" && got.value.steps.length > 0) {
    desk.set({ drive: { stance, over, way: got.value, step: got.value.told ?? 0 }, turned: null, moved: null, crush: null });
    return;
  }
  const why = got.is === "failed" ? `: ${got.why}` : " yet";
  live.store.set({ refused: [{ what: `Driving over ${over} can’t be shown${why}`, line: null, text: "", help: "the table says how it goes" }] });
}
