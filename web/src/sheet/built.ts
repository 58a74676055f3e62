/** The frame as built: fetched when it was worked out anew, and what is drawn of it over the design. */

import { getJson } from "../base/api";
import { add, scale, sub, type Vec } from "../base/vec";
import type { Scene } from "../drawing/Drawing";
import type { BuiltFrame, BuiltPlace } from "../wire";
import { desk, live, type Desk } from "./desk";

/** Whether it is on the drawing: on its own page, as a layer among the others. */
export const showsBuilt = (d: Desk): boolean => d.word === "build" && d.layers.built && d.built !== null;

/** The measured place of a name. */
export const builtPlace = (d: Desk, name: string): BuiltPlace | undefined => (showsBuilt(d) ? d.built?.frame.places.find((p) => p.name === name) : undefined);

let asked = 0;

/** Fetches it, if the page shows it and it has changed. Follows the live line and the desk from here on. */
export function followBuilt(): () => void {
  const look = (): void => {
    const { word, layers, built } = desk.get();
    const head = live.store.get().real?.sheet;
    if (!head || word !== "build" || !layers.built) return;
    if (head.is === "none" || head.is === "unreadable") {
      if (built) desk.set({ built: null });
      return;
    }
    if (head.is !== "laid" || built?.laid === head.laid || asked === head.laid) return;
    const { laid } = head;
    asked = laid;
    void getJson<BuiltFrame>("/api/built").then((got) => {
      if (asked === laid) asked = 0;
      // A program that was started anew counts from one again.
      if (live.store.get().real?.sheet.laid === laid) desk.set({ built: got.is === "there" ? { laid, frame: got.value } : null });
      else look();
    });
  };
  const off = [desk.hear(look), live.store.hear(look)];
  look();
  return () => off.forEach((f) => f());
}

/** Centrelines as they are, and the way of each measured point, drawn so many times as far as it went. */
export function builtLines(d: Desk): Scene["over"] {
  if (!showsBuilt(d) || !d.built) return [];
  const { frame } = d.built;
  const lines: Scene["over"][number][] = frame.tubes.map((t) => ({ line: t.line, tone: "accent", width: t.stands ? 3.2 : 0.8 }));
  for (const p of frame.places) {
    const from: Vec = p.designed;
    const way = scale(sub(p.at, from), frame.scale);
    lines.push({ line: [from, add(from, way)], tone: p.known ? "warn" : "faint", width: 3 });
  }
  return lines;
}

/** The place that is farthest off. */
export function farthest(frame: BuiltFrame): BuiltPlace | undefined {
  const off = (p: BuiltPlace): number => Math.hypot(...sub(p.at, p.designed));
  return frame.places.reduce<BuiltPlace | undefined>((most, p) => (most && off(most) >= off(p) ? most : p), undefined);
}
