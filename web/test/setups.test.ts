import { expect, test } from "vitest";
import { bySetup, TickedEnds } from "../src/shop/setups";
import type { PieceCard, ShopCut } from "../src/wire";

const cut = (setup: number, end: string): ShopCut => ({ setup, tool: "saw", set: `${setup}°`, end, turn: "90°", back: "5 mm" });
const card = (name: string, start: ShopCut[], end: ShopCut[]): PieceCard =>
  ({ name, ends: [{ cuts: start }, { cuts: end }] }) as unknown as PieceCard;

test("ends are gathered by set-up, in the order of the set-ups", () => {
  const list = bySetup([card("rail", [cut(2, "start")], [cut(1, "end")]), card("rail~", [cut(2, "start, cut 1/2"), cut(3, "start, cut 2/2")], [])]);
  expect(list.map((s) => [s.number, s.ends.map((e) => `${e.piece.name} ${e.cut.end}`)])).toEqual([
    [1, ["rail end"]],
    [2, ["rail start", "rail~ start, cut 1/2"]],
    [3, ["rail~ start, cut 2/2"]],
  ]);
  // What an older program left on the phone says nothing of set-ups.
  expect(bySetup([{ name: "old", ends: [{}, {}] } as unknown as PieceCard])).toEqual([]);
});

test("a ticked end stays so over a reload, and is asked for anew when its setting changes", () => {
  const kept = new Map<string, string>();
  const shelf = { getItem: (k: string) => kept.get(k) ?? null, setItem: (k: string, v: string) => void kept.set(k, v) };
  const key = (turn: string): string => bySetup([card("rail", [{ ...cut(2, "start"), turn }], [])])[0]?.ends[0]?.key ?? "";
  const first = new TickedEnds(shelf);
  first.turn(key("90°"));
  expect(new TickedEnds(shelf).all().has(key("90°"))).toBe(true);
  expect(new TickedEnds(shelf).all().has(key("270°"))).toBe(false);
  first.turn(key("90°"));
  expect(new TickedEnds(shelf).all().size).toBe(0);
  kept.set("tubewright.shop.ends", "{broken");
  expect(new TickedEnds(shelf).all().size).toBe(0);
});
