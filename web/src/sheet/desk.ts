/** What is on the desk: the word, what is picked, the tools, the layers. Nothing of it is part of the design. */

import type { Measurable } from "../base/measure";
import { Store } from "../base/store";
import type { Vec } from "../base/vec";
import { LAYERS, type Layer } from "../drawing/Drawing";
import type { Plane } from "../drawing/ground";
import type { Draft } from "../shop/reading";
import { after, merge, type ShopState } from "../shop/state";
import type { BuiltFrame, FindingText, PieceCard, ShopNews, View, Word } from "../wire";
import { Connection, socketAddress } from "../wire/live";
import type { Crush } from "./crush";
import type { Drive } from "./road";

export const WORDS: readonly Word[] = ["shape", "stance", "rollover", "strength", "cutting", "stock", "jigs", "build"];

export interface Named {
  kind: "point" | "tube";
  name: string;
}

/** What is done with a click in the drawing. */
export type Tool = "pick" | "measure" | "point" | "tube" | "split";

export type Axis = "x" | "y" | "z";
export const AXES: readonly Axis[] = ["x", "y", "z"];

export interface Cut {
  axis: Axis;
  /** m */
  at: number;
  /** Whether the greater side is taken away, or the lesser. */
  flip: boolean;
}

/** A tube or a stretch of one, as a load moves it. */
export interface MovedTube {
  name: string;
  line: Vec[];
  moved: Vec[];
  use: number[];
}

export interface Moved {
  load: string;
  scale: number;
  tubes: MovedTube[];
}

export interface Desk {
  word: Word;
  picked: Named | null;
  hovered: Named | null;
  /** Where the pointer is over something, m. */
  hoveredAt: Vec | null;
  /** Tubes that a finding or a row points at. */
  pointed: readonly string[];
  pointedAt: Vec | null;
  layers: Readonly<Record<Layer, boolean>>;
  /** Name of the stance whose ground is drawn; the first if it is none of them. */
  stance: string;
  /** A ground that a row has put under the frame. */
  turned: { down: Vec; plane: Plane } | null;
  /** How many tubes of the fitting order stand; null: all. */
  upTo: number | null;
  cut: Cut | null;
  tool: Tool;
  measured: readonly Measurable[];
  /** Points of the tube that is being added. */
  path: readonly string[];
  /** Where a point is being added. */
  newPoint: Vec | null;
  /** The line dragged out of the height rule: height over what it is measured from, m. */
  heightLine: number | null;
  heightFrom: "datum" | "ground";
  moved: Moved | null;
  drive: Drive | null;
  crush: Crush | null;
  /** The frame as built, and the number of its working out. */
  built: { laid: number; frame: BuiltFrame } | null;
  /** The reading that is being written into the measured sheet. */
  reading: Draft | null;
  /** The piece that is open on the cutting page. */
  piece: string | null;
  cards: readonly PieceCard[];
  news: ShopNews;
  done: ShopState;
  panel: "history" | "help" | "layers" | null;
  method: string | null;
}

/** The word that stands behind # in the address; the first if it is none of them. */
export function wordOfAddress(): Word {
  const word = location.hash.slice(1);
  return (WORDS as readonly string[]).includes(word) ? (word as Word) : "shape";
}

export const desk = new Store<Desk>({
  word: wordOfAddress(),
  picked: null,
  hovered: null,
  hoveredAt: null,
  pointed: [],
  pointedAt: null,
  layers: Object.fromEntries(LAYERS.map((l) => [l, l !== "skins"])) as Record<Layer, boolean>,
  stance: "",
  turned: null,
  upTo: null,
  cut: null,
  tool: "pick",
  measured: [],
  path: [],
  newPoint: null,
  heightLine: null,
  heightFrom: "datum",
  moved: null,
  drive: null,
  crush: null,
  built: null,
  reading: null,
  piece: null,
  cards: [],
  news: { number: 0, events: [], refused: [] },
  done: new Map(),
  panel: null,
  method: null,
});

export const live = new Connection(socketAddress());

export { pointOf, rulerOf, tubeOf } from "./lookup";

export function goToWord(word: Word): void {
  history.replaceState(null, "", `#${word}`);
  desk.set({ word, pointed: [], pointedAt: null, moved: null, drive: null, crush: null, piece: null });
}

export function pick(named: Named | null): void {
  live.letGo();
  live.forgetRefusal();
  desk.set({ picked: named });
}

/** Lets go of whatever is under way; true if there was something. */
export function letGo(): boolean {
  const { tool, picked, measured, path, newPoint, moved, turned, drive, crush } = desk.get();
  live.letGo();
  if (tool !== "pick" || measured.length > 0 || path.length > 0 || newPoint) {
    desk.set({ tool: "pick", measured: [], path: [], newPoint: null });
    return true;
  }
  if (picked || moved || turned || drive || crush) {
    desk.set({ picked: null, moved: null, turned: null, drive: null, crush: null });
    return true;
  }
  return false;
}

export function take(tool: Tool): void {
  live.letGo();
  live.forgetRefusal();
  desk.set({ tool, measured: [], path: [], newPoint: null, ...(tool === "tube" || tool === "point" ? { picked: null } : {}) });
}

export function hearShop(news: ShopNews): void {
  const { all, fresh } = merge(desk.get().news, news);
  if (fresh.length === 0 && all.number === desk.get().news.number) return;
  desk.set({ news: all, done: after(desk.get().done, fresh) });
}

export const datumWords = (view: View): string => (view.datum_words ? `the datum, ${view.datum_words}` : "the datum");

/** The plane that heights are measured from. */
export function heightPlane(view: View, d: Desk): { plane: Plane; words: string } {
  if (d.turned) return { plane: d.turned.plane, words: "the ground" };
  const ground = groundOf(view, d);
  if (d.heightFrom === "ground" && ground) {
    return { plane: { normal: ground.normal, height: ground.height }, words: `the ground, ${ground.stance}` };
  }
  return { plane: { normal: [0, 0, 1], height: view.datum }, words: datumWords(view) };
}

export function groundOf(view: View, d: Desk): View["grounds"][number] | null {
  return view.grounds.find((g) => g.stance === d.stance) ?? view.grounds[0] ?? null;
}

/** Tubes that an answer of the word finds over a limit. */
export function overOf(view: View, word: Word): Set<string> {
  const page = view.pages.find((p) => p.word === word);
  return new Set((page?.findings ?? []).filter((f) => f.level === "mend").flatMap((f) => f.tubes));
}

const RANK: Record<string, number> = { mend: 0, look: 1, "not-checked": 2, note: 3 };

export function worstFirst(findings: readonly FindingText[]): FindingText[] {
  return [...findings].sort((a, b) => (RANK[a.level] ?? 9) - (RANK[b.level] ?? 9));
}
