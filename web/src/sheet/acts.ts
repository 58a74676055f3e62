/** What rows of an answer offer. */

import { getJson } from "../base/api";
import { scale, type Vec } from "../base/vec";
import type { Act } from "../wire";
import { desk, live, type Moved, type MovedTube } from "./desk";
import { startCrush } from "./crush";
import { startDrive } from "./drive";
import { stage } from "./stage";

export function actWords(act: Act): string {
  switch (act.act) {
    case "edit":
    case "turn":
    case "moved":
    case "drive":
    case "crushed":
      return act.words;
    case "piece":
      return "open";
    case "reading":
      return act.used ? "leave out" : "use it";
  }
}

/** A stretch of a tube's centreline, how far each place of it moves, m, and its use of the yield strength. */
interface MovedAnswer {
  scale: number;
  tubes: { name: string; line: Vec[]; moved: Vec[]; used?: number | number[]; use?: number | number[] }[];
}

function movedOf(load: string, { scale, tubes }: MovedAnswer): Moved {
  const each = tubes.map(({ name, line, moved, used, use }): MovedTube => {
    const of = used ?? use ?? 0;
    return { name, line, moved, use: typeof of === "number" ? line.map(() => of) : of };
  });
  return { load, scale, tubes: each };
}

/** The way that one load moves the frame, or nothing if it is shown already. */
async function showMoved(load: string): Promise<void> {
  if (desk.get().moved?.load === load) {
    desk.set({ moved: null });
    return;
  }
  const got = await getJson<MovedAnswer>(`/api/moved/${encodeURIComponent(load)}`);
  if (got.is === "there") desk.set({ moved: movedOf(load, got.value), drive: null, crush: null });
  else {
    const what = got.is === "absent" ? `How ${load} moves the frame can’t be shown yet` : `not shown: ${got.why}`;
    live.store.set({ refused: [{ what, line: null, text: "", help: null }] });
  }
}

export function act(act: Act): void {
  switch (act.act) {
    case "edit":
      void live.make(act.what, act.edits);
      break;
    case "turn": {
      const up = scale(act.down, -1);
      desk.set({ turned: { down: act.down, plane: { normal: up, height: -act.ground } } });
      // The way holds the normals of the sides on which it lies in between.
      stage.drawing?.turnDown(act.down, act.way.slice(0, -1));
      break;
    }
    case "moved":
      void showMoved(act.load);
      break;
    case "piece":
      desk.set({ piece: act.piece, picked: { kind: "tube", name: act.piece } });
      break;
    case "reading":
      void live.changeReading(act.table, act.name, act.used ? "leave_out" : "use");
      break;
    case "drive":
      void startDrive(act.stance, act.over);
      break;
    case "crushed":
      void startCrush(act.load);
      break;
  }
}

/** Puts the frame back on its wheels. */
export function standUp(): void {
  desk.set({ turned: null });
  stage.drawing?.turnDown([0, 0, -1]);
}
