import { describe, expect, it } from "vitest";
import { afterSending, againOf, designed, doubled, found, FRESH, isFarOff, isLess, newLevel, readingOf, readNumber, readSpot, spotText, TOOLS, withSpot, withTool, type Draft } from "../src/shop/reading";
import type { MeasurePlace, MeasureSheet } from "../src/wire";

const mm = { unit: "mm", unitSize: 0.001, step: 0.0005 };
const inches = { unit: "in", unitSize: 0.0254, step: 0.0254 / 16 };

const place = (name: string, at: [number, number, number], tubes: string[] = []): MeasurePlace => ({
  name,
  mark: false,
  at,
  tubes,
  faces: [
    { face: "top", arm: [0, 0, 0.02] },
    { face: "outside", arm: [0, at[1] > 0 ? 0.03 : -0.03, 0] },
  ],
});

const sheet: MeasureSheet = {
  head: { file: "car.measured.toml", is: "laid", laid: 1, problems: [] },
  unit: "mm",
  unit_size: 0.001,
  places: [
    place("rail_front", [1, 0.3, 0], ["rail"]),
    place("rail_front~", [1, -0.3, 0], ["rail~"]),
    place("hoop_top", [-0.2, 0.2, 1.1], ["main_hoop"]),
    place("middle", [0, 0, 0.5]),
  ],
  levels: [{ name: "level", plane: -0.4 }, { name: "laser", plane: null }],
  readings: [],
  next: [],
};

const spots = (...names: string[]) => names.map(readSpot);
const should = (tool: Draft["tool"], ...names: string[]) => designed(sheet, tool, spots(...names), "");

describe("what a reading should be", () => {
  it("is worked out for every tool", () => {
    expect(should("tape", "rail_front", "rail_front~")).toBeCloseTo(0.6, 12);
    expect(should("tape", "rail_front outside", "rail_front~ outside")).toBeCloseTo(0.66, 12);
    expect(should("level_tape", "rail_front", "hoop_top")).toBeCloseTo(Math.hypot(1.2, 0.1), 12);
    expect(should("height", "hoop_top top")).toBeCloseTo(1.52, 12);
    expect(should("rise", "rail_front", "hoop_top")).toBeCloseTo(1.1, 12);
    expect(should("plumb_x", "rail_front", "hoop_top")).toBeCloseTo(-1.2, 12);
    expect(should("plumb_y", "rail_front", "hoop_top")).toBeCloseTo(-0.1, 12);
    // Along the string from front to rear on the left side, what is farther in is to the left of that way.
    expect(should("string", "hoop_top", "rail_front~", "rail_front")).toBeCloseTo(1.2, 12);
    expect(should("string", "hoop_top", "rail_front", "rail_front~")).toBeCloseTo(-1.2, 12);
    expect(should("finder", "rail_front", "middle")).toBeCloseTo(Math.atan2(0.5, Math.hypot(1, 0.3)), 12);
    expect(should("bevel", "middle", "rail_front", "rail_front~")).toBeCloseTo(2 * Math.asin(0.3 / Math.hypot(1, 0.3, 0.5)), 12);
  });

  it("is not known where a place, a face or a plane is not", () => {
    expect(should("tape", "rail_front", "gone")).toBeNull();
    expect(should("tape", "rail_front", "middle inside")).toBeNull();
    expect(designed(sheet, "tape", [readSpot("rail_front"), null], "")).toBeNull();
    expect(designed(sheet, "height", spots("hoop_top"), "laser")).toBeNull();
    expect(designed(sheet, "string", spots("middle", "hoop_top", "hoop_top"), "")).toBeNull();
  });
});

describe("what is far off", () => {
  const far = (tool: Draft["tool"], reads: number, ...names: string[]) => isFarOff(sheet, tool, spots(...names), "", reads);

  it("is asked about, and a tacked frame's error is not", () => {
    expect(far("tape", 0.612, "rail_front", "rail_front~")).toBeNull();
    expect(far("tape", 0.662, "rail_front", "rail_front~")).toBe("far");
    expect(far("bevel", should("bevel", "middle", "rail_front", "rail_front~")! + 0.1, "middle", "rail_front", "rail_front~")).toBe("far");
    expect(far("tape", 5, "rail_front", "gone")).toBeNull();
  });

  it("leaves room for a frame that leans, and knows a reading the other way round", () => {
    expect(far("plumb_x", -1.25, "rail_front", "hoop_top")).toBeNull();
    expect(far("plumb_x", 1.21, "rail_front", "hoop_top")).toBe("turned");
    expect(far("plumb_x", 0.4, "rail_front", "hoop_top")).toBe("far");
  });
});

describe("what is typed", () => {
  const value = (tool: Draft["tool"], text: string, less = false, ruler = mm) => {
    const read = readNumber(tool, text, less, ruler);
    return read.ok ? read.value : read.why;
  };

  it("is a length in the sheet's unit, with fractions, or an angle in degrees", () => {
    expect(value("tape", "2282,5")).toBeCloseTo(2.2825, 12);
    expect(value("tape", "33 15/16", false, inches)).toBeCloseTo(33.9375 * 0.0254, 12);
    expect(value("rise", "12", true)).toBeCloseTo(-0.012, 12);
    expect(value("rise", "-12", true)).toBeCloseTo(-0.012, 12);
    expect(value("finder", "10.5°", true)).toBeCloseTo((-10.5 * Math.PI) / 180, 12);
    expect(value("bevel", "90")).toBeCloseTo(Math.PI / 2, 12);
  });

  it("is told if it is none", () => {
    expect(value("tape", "abc")).toMatch(/not a length/);
    expect(value("tape", "0")).toMatch(/more than nothing/);
    expect(value("tape", "-3")).toMatch(/more than nothing/);
    expect(value("finder", "95")).toBe("at most 90°");
    expect(value("bevel", "1 1/2")).toMatch(/not an angle/);
    expect(value("tape", " ")).toBe("");
  });
});

describe("a reading that is being taken", () => {
  it("goes from tool to places to number", () => {
    let draft = withTool(FRESH, "plumb_x");
    expect(readingOf(sheet, draft, mm)).toBeNull();
    draft = withSpot(withSpot(draft, 0, readSpot("rail_front outside")), 1, readSpot("hoop_top"));
    expect(isLess(sheet, draft)).toBe(true);
    draft = { ...draft, text: "1203" };
    expect(readingOf(sheet, draft, mm)).toEqual({ tool: "plumb_x", places: ["rail_front outside", "hoop_top"], over: "", reads: -1.203, again: null });
    expect(readingOf(sheet, { ...draft, less: false }, mm)?.reads).toBe(1.203);
    // The bob stays at the first place.
    expect(afterSending(draft)).toMatchObject({ tool: "plumb_x", spots: [{ place: "rail_front", face: "outside" }, null], text: "" });
    const string = { ...withTool(FRESH, "string"), spots: spots("middle", "rail_front", "hoop_top") };
    expect(afterSending(string).spots.map((s) => s?.place)).toEqual([undefined, "rail_front", "hoop_top"]);
  });

  it("can't be from a place to itself", () => {
    const draft = { ...FRESH, spots: spots("middle", "middle top"), text: "30" };
    expect(doubled(draft)).toBe(true);
    expect(readingOf(sheet, draft, mm)).toBeNull();
  });

  it("takes the place of one that was taken before", () => {
    const row = { table: "tape", name: "t4", tool: "tape", places: ["rail_front", "hoop_top outside"], over: "", reads: 1, designed: 1, fits: 1, fate: "wrong", who: "", at: null } as const;
    expect(againOf({ ...row, places: [...row.places] })).toMatchObject({ again: "t4", tool: "tape", spots: spots("rail_front", "hoop_top outside") });
  });

  it("keeps the words of a spot, a tube among them", () => {
    for (const text of ["foot", "foot~ outside", "foot top main_hoop"]) expect(spotText(readSpot(text))).toBe(text);
  });

  it("has as many places as its tool asks for", () => {
    for (const t of TOOLS) expect(withTool(FRESH, t.tool).spots).toHaveLength(t.slots.length);
  });
});

describe("places", () => {
  it("are found by parts of their names and their tubes", () => {
    const names = (typed: string) => found(sheet.places, typed).map((p) => p.name);
    expect(names("")).toHaveLength(4);
    expect(names("front rail")).toEqual(["rail_front", "rail_front~"]);
    expect(names("hoop")).toEqual(["hoop_top"]);
    expect(names("main")).toEqual(["hoop_top"]);
    expect(names("zzz")).toEqual([]);
  });

  it("have a set-up of the level of their own", () => {
    expect(newLevel(sheet, "")).toBe("level_2");
    expect(newLevel(sheet, "level_2")).toBe("level_3");
  });
});
