import { expect, test } from "vitest";
import { column } from "../src/sheet/fit";

test("a column's unit stands behind its numbers where a row is folded", () => {
  expect(column("margin in", "in")).toEqual({ words: "margin", unit: "in" });
  expect(column("people to hard ground mm", "mm")).toEqual({ words: "people to hard ground", unit: "mm" });
  expect(column("it is within", "in")).toEqual({ words: "it is within", unit: "" });
  expect(column("share", "mm")).toEqual({ words: "share", unit: "" });
  expect(column("in", "in")).toEqual({ words: "in", unit: "" });
});
