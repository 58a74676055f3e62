import { describe, expect, it } from "vitest";
import { parseDegrees } from "../src/base/AngleBox";
import { parseLength } from "../src/base/lengths";
import { pathEdits, placeFor, swapped, without, withPoint } from "../src/sheet/path";
import type { View } from "../src/wire";

const straight = { points: ["a", "b"], radii: [] };
const bent = { points: ["a", "b", "c", "d"], radii: [0.1, 0.2] };
const alike = { points: ["a", "b", "c", "d"], radii: [0.1] };

describe("the way of a tube", () => {
  it("lets two points change places and leaves the bends", () => {
    expect(swapped(bent, 1)).toEqual({ points: ["a", "c", "b", "d"], radii: [0.1, 0.2] });
    expect(swapped(straight, 0).points).toEqual(["b", "a"]);
    expect(swapped(straight, 1)).toBe(straight);
  });

  it("takes a bend out with its point", () => {
    expect(without(bent, 1)).toEqual({ points: ["a", "c", "d"], radii: [0.2] });
    expect(without(bent, 2)).toEqual({ points: ["a", "b", "d"], radii: [0.1] });
    expect(without(bent, 0)).toEqual({ points: ["b", "c", "d"], radii: [0.2] });
    expect(without(bent, 3)).toEqual({ points: ["a", "b", "c"], radii: [0.1] });
    expect(without(alike, 0)).toEqual({ points: ["b", "c", "d"], radii: [0.1] });
    expect(without({ points: ["a", "b", "c"], radii: [0.1] }, 1)).toEqual({ points: ["a", "c"], radii: [] });
  });

  it("takes a point in with a radius, or not at all", () => {
    expect(withPoint(straight, "m", 1, 0.15)).toEqual({ points: ["a", "m", "b"], radii: [0.15] });
    expect(withPoint(bent, "m", 2, 0.3)).toEqual({ points: ["a", "b", "m", "c", "d"], radii: [0.1, 0.3, 0.2] });
    expect(withPoint(bent, "m", 0, 0.3)).toEqual({ points: ["m", "a", "b", "c", "d"], radii: [0.3, 0.1, 0.2] });
    expect(withPoint(bent, "m", 4, 0.3)).toEqual({ points: ["a", "b", "c", "d", "m"], radii: [0.1, 0.2, 0.3] });
    expect(withPoint(straight, "m", 1, null)).toBeNull();
  });

  it("puts a new point where the way grows least", () => {
    const view = {
      points: [
        { name: "a", at: [0, 0, 0] }, { name: "b", at: [1, 0, 0] }, { name: "mid", at: [0.5, 0.1, 0] }, { name: "far", at: [2, 0, 0] }, { name: "back", at: [-1, 0, 0] },
      ],
    } as unknown as View;
    const tube = { path: ["a", "b"] } as View["tubes"][number];
    expect(placeFor(view, tube, "mid")).toBe(1);
    expect(placeFor(view, tube, "far")).toBe(2);
    expect(placeFor(view, tube, "back")).toBe(0);
  });

  it("changes the radii only where they change", () => {
    expect(pathEdits("t", bent, swapped(bent, 1))).toHaveLength(1);
    expect(pathEdits("t", { points: ["a", "b", "c"], radii: [0.1] }, { points: ["a", "c"], radii: [] })[1]).toEqual({ edit: "remove_key", table: "tube", name: "t", key: ["bend_radius"] });
    expect(pathEdits("t", bent, { points: ["a", "b", "d"], radii: [0.1] })[1]).toMatchObject({ value: { number: 0.1 } });
  });
});

describe("what is typed", () => {
  it("reads degrees", () => {
    expect(parseDegrees(" -7,5° ")).toBe(-7.5);
    expect(parseDegrees("−30")).toBe(-30);
    for (const wrong of ["", "x", "400", "1e999"]) expect(parseDegrees(wrong)).toBeNull();
  });

  it("keeps another unit's length to a fraction of a micrometre", () => {
    const inches = { unit: "in", unitSize: 0.0254, step: 0.0254 / 16 };
    const got = parseLength("366mm", inches);
    expect(got.ok && got.metres / 0.0254).toBeCloseTo(14.40945, 12);
    expect(parseLength("1 3/4", inches)).toEqual({ ok: true, metres: 0.04445 });
  });
});
