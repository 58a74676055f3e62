import { expect, test } from "vitest";
import { Waiting } from "../src/shop/asked";
import { isFar } from "../src/shop/far";

const MM = { unit: "mm", unitSize: 0.001, step: 0.0001 };
const INCH = { unit: "in", unitSize: 0.0254, step: 0.0001 };

class Memory {
  kept = new Map<string, string>();
  getItem(key: string): string | null {
    return this.kept.get(key) ?? null;
  }
  setItem(key: string, text: string): void {
    this.kept.set(key, text);
  }
}

test("a length is far from more than a tenth away, in whatever unit it is typed", () => {
  expect(isFar("1374.5", "1375 mm", MM)).toBe(false);
  expect(isFar("137.45", "1375 mm", MM)).toBe(true);
  expect(isFar("15 7/8", "15 15/16 in", INCH)).toBe(false);
  expect(isFar("51 7/8", "15 15/16 (15.969) in", INCH)).toBe(true);
  expect(isFar("16", "15 15/16 (15.969) in", INCH)).toBe(false);
  expect(isFar("405 mm", "15 15/16 in", INCH)).toBe(false);
  expect(isFar("51 7/8", "15 15/16 in", INCH)).toBe(true);
  expect(isFar("no length", "15 15/16 in", INCH)).toBe(false);
});

test("what waits for an answer outlives a reload, and is gone once it is answered", () => {
  const memory = new Memory();
  const first = new Waiting(memory);
  first.ask("rail", "13.7");
  first.ask("brace", "9");
  first.ask("rail", "14");
  const again = new Waiting(memory);
  expect(again.of("rail")).toBe("14");
  again.answered("rail");
  expect(again.of("rail")).toBeUndefined();
  expect(new Waiting(memory).of("brace")).toBe("9");
  expect(new Waiting(memory).of("rail")).toBeUndefined();
});

test("a store that holds something else, or nothing, is no harm", () => {
  for (const text of ["", "[1]", "null", "{\"rail\": 3}", "{"]) {
    const memory = new Memory();
    memory.setItem("tubewright.shop.asked", text);
    expect(new Waiting(memory).of("rail")).toBeUndefined();
  }
});
