import { describe, expect, it } from "vitest";
import { addTube, slide, splitTube } from "../src/sheet/edits";
import { roadLines, type Drive } from "../src/sheet/road";
import type { PointRow, TubeRow, View } from "../src/wire";

const point = (name: string, at: [number, number, number], more: Partial<PointRow> = {}): PointRow => ({
  name, at, placed: "at coordinates", free: true, on: null, along: null, tubes: [], twin: name.endsWith("~"), ...more,
});
const tube = (name: string, number: number, path: string[], line: [number, number, number][], more: Partial<TubeRow> = {}): TubeRow => ({
  name, number, section: "stay", path, bend_radius: [], state: "permanent", mirrored: false, twin: name.endsWith("~"), length: "", mass: "", line, ...more,
});

const view = {
  unit: "mm",
  unit_size: 0.001,
  step: 0.0005,
  points: [
    point("a", [0, 0.3, 0]), point("a~", [0, -0.3, 0]), point("b", [1, 0.3, 0]), point("b~", [1, -0.3, 0]), point("top", [1, 0.3, 1]), point("top~", [1, -0.3, 1]),
    point("on_x", [0.4, 0.3, 0], { on: "rail", along: "x", placed: "on rail, where x is 400 mm", free: false }),
    point("on_end", [0.4, 0.3, 0], { on: "rail", along: "end", placed: "on rail, 600 mm from its end", free: false }),
    point("on_part", [0.4, 0.3, 0], { on: "rail", along: "part", placed: "on rail, 40.0 % of the way along it", free: false }),
    point("beside", [0.4, 0.3, 0.1], { on: "rail", along: "x", placed: "on rail, where x is 400 mm", free: false }),
    point("on_y", [1, 0.3, 0.2], { on: "cross", along: "y", placed: "on cross, where y is 300 mm", free: false }),
    point("on_y~", [1, -0.3, 0.2], { on: "cross", along: "y", placed: "on cross, where y is 300 mm", free: false }),
  ],
  tubes: [
    tube("rail", 1, ["a", "b"], [[0, 0.3, 0], [1, 0.3, 0]], { mirrored: true }),
    tube("rail~", 2, ["a~", "b~"], [[0, -0.3, 0], [1, -0.3, 0]], { mirrored: true }),
    tube("hoop", 3, ["a", "b", "top", "top~"], [[0, 0.3, 0], [1, 0.3, 0], [1, 0.3, 1], [1, -0.3, 1]], { bend_radius: [0.1, 0.2] }),
    tube("cross", 4, ["b", "b~"], [[1, 0.5, 0.2], [1, -0.5, 0.2]]),
  ],
} as unknown as View;
const named = (name: string): PointRow => view.points.find((p) => p.name === name) as PointRow;

describe("sliding a point along its tube", () => {
  it.each([
    ["on_x", ["x"], 0.5205],
    ["on_end", ["at"], -0.4795],
    ["on_part", ["part"], 0.5204],
  ])("%s keeps how it is placed", (name, key, number) => {
    const edit = slide(view, named(name), [0.5204, 0.31, 0]);
    expect(edit).toMatchObject({ edit: "set_key", table: "point", name, key });
    expect((edit as { value: { number: number } }).value.number).toBeCloseTo(number, 9);
  });

  it("mirrors what is said of a twin back", () => {
    expect(slide(view, named("on_y~"), [1, -0.25, 0.2])).toMatchObject({ name: "on_y", key: ["y"], value: { number: 0.25 } });
  });

  it("is not done where the page is not told enough", () => {
    expect(slide(view, named("a"), [0.5, 0.3, 0])).toBeNull();
    expect(slide(view, named("beside"), [0.5, 0.3, 0.1])).toBeNull();
  });
});

describe("splitting a tube", () => {
  it("makes two, fitted one after the other, both mirrored", () => {
    const made = splitTube(view, view.tubes[0] as TubeRow, [0.4, 0.3, 0]);
    expect(made.edits).toEqual([
      { edit: "add_point", point: "rail_split_1", at: [0.4, 0.3, 0] },
      { edit: "add_tube", tube: "rail_1", section: "stay", path: ["rail_split_1", "b"], before: "hoop" },
      { edit: "set_key", table: "tube", name: "rail", key: ["path"], value: { names: ["a", "rail_split_1"] } },
      { edit: "set_key", table: "tube", name: "rail_1", key: ["mirror"], value: { flag: true } },
    ]);
  });

  it("splits the original where its twin was picked", () => {
    expect(splitTube(view, view.tubes[1] as TubeRow, [0.4, -0.3, 0]).edits).toEqual(splitTube(view, view.tubes[0] as TubeRow, [0.4, 0.3, 0]).edits);
  });

  it("writes no endless decimals, and turns the second part of a box as the first", () => {
    const rolled = { ...view, tubes: view.tubes.map((t) => (t.name === "rail" ? { ...t, roll: 0.5 } : t)) } as View;
    const { edits } = splitTube(rolled, rolled.tubes[0] as TubeRow, [0.4000000000000001, 0.29999999999999993, 1e-17]);
    expect(edits[0]).toEqual({ edit: "add_point", point: "rail_split_1", at: [0.4, 0.3, 0] });
    expect(edits).toContainEqual({ edit: "set_key", table: "tube", name: "rail_1", key: ["roll"], value: { number: 0.5 } });
  });

  it("shares out the radii of the bends", () => {
    const { edits } = splitTube(view, view.tubes[2] as TubeRow, [1, 0.3, 0.5]);
    expect(edits).toContainEqual({ edit: "set_key", table: "tube", name: "hoop", key: ["bend_radius"], value: { number: 0.1 } });
    expect(edits).toContainEqual({ edit: "set_key", table: "tube", name: "hoop_1", key: ["bend_radius"], value: { number: 0.2 } });
    const first = splitTube(view, view.tubes[2] as TubeRow, [0.5, 0.3, 0]).edits;
    expect(first).toContainEqual({ edit: "remove_key", table: "tube", name: "hoop", key: ["bend_radius"] });
    expect(first).toContainEqual({ edit: "set_key", table: "tube", name: "hoop_1", key: ["bend_radius"], value: { numbers: [0.1, 0.2] } });
  });
});

describe("adding a tube", () => {
  it("says the radius only of a bent one", () => {
    const straight = { name: "t", section: "stay", path: ["a", "b"], radius: 0.1, mirror: false, before: null };
    expect(addTube(straight)).toHaveLength(1);
    expect(addTube({ ...straight, path: ["a", "b", "top"], mirror: true })).toHaveLength(3);
  });
});

describe("the road under a car", () => {
  const drive = (hubs: [[number, number], [number, number]]): Drive => ({
    stance: "laden",
    over: "ramp",
    step: 0,
    way: {
      road: [[0, 0], [2, 0.2], [9, 0.2]],
      hubs: [[1, 0.3], [-1, 0.3]],
      forward: [1, 0, 0],
      up: [0, 0, 1],
      ground: -0.2,
      steps: [{ hubs, clearance: "90 mm", over: false, of: "rail" }],
      told: null,
    },
  });

  it("lies level under it before the obstacle", () => {
    const edge = roadLines(drive([[-1, 0.3], [-3, 0.3]]))[0] ?? [];
    expect(edge.length).toBeGreaterThan(1);
    const level = edge.filter((p) => p[0] < 1.9);
    for (const p of level) expect(p[2]).toBeCloseTo(-0.2, 12);
  });

  it("keeps its distance to both hubs when it turns with them", () => {
    // Both axles on the slope of 1 in 10, hubs square to it.
    const l = Math.hypot(10, 1);
    const hub = (x: number): [number, number] => [x - 0.3 / l, x / 10 + 3 / l];
    const rear = 0.05;
    const front = rear + 20 / l;
    const edge = roadLines(drive([hub(front), hub(rear)]))[0] ?? [];
    // The slope lies level under the car as drawn, a tyre's radius under the line through the hubs.
    const slope = edge.filter((p) => Math.abs(p[2] + 0.2) < 1e-9);
    expect(slope.length).toBe(2);
  });
});
