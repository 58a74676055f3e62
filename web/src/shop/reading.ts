/** A reading that is being taken on the car: with what, where, what it should read. Lengths in m, angles in rad. */

import { parseLength, type Ruler } from "../base/lengths";
import { readable } from "../base/names";
import { add, cross, distance, dot, length, sub, type Vec } from "../base/vec";
import type { MeasurePlace, MeasureRow, MeasureSheet, MeasureTool, Reading } from "../wire";

export interface ToolWords {
  tool: MeasureTool;
  words: string;
  /** What it reads. */
  about: string;
  /** What its places are called. */
  slots: readonly string[];
  /** The words for more than nothing and for less, if it reads to two sides. */
  sides: readonly [string, string] | null;
  angle: boolean;
}

const BETWEEN = ["from", "to"] as const;

export const TOOLS: readonly ToolWords[] = [
  { tool: "tape", words: "tape", about: "straight from one place to the other", slots: BETWEEN, sides: null, angle: false },
  { tool: "level_tape", words: "level tape", about: "held level, between plumb lines", slots: BETWEEN, sides: null, angle: false },
  { tool: "height", words: "height", about: "over the plane of a level, a laser or a true floor", slots: ["of"], sides: ["over it", "under it"], angle: false },
  { tool: "rise", words: "rise", about: "how much higher the second place is: water level, straight edge", slots: BETWEEN, sides: ["it is higher", "it is lower"], angle: false },
  { tool: "plumb_x", words: "plumb, fore-aft", about: "between two plumb bobs, along the car", slots: BETWEEN, sides: ["it is in front", "it is behind"], angle: false },
  { tool: "plumb_y", words: "plumb, sideways", about: "between two plumb bobs, across the car", slots: BETWEEN, sides: ["it is to the left", "it is to the right"], angle: false },
  { tool: "string", words: "string", about: "level offset of a place from a string between two others", slots: ["of", "string from", "string to"], sides: ["left of that way", "right of that way"], angle: false },
  { tool: "finder", words: "angle finder", about: "slope over level, laid along from one place to the other", slots: BETWEEN, sides: ["it rises", "it falls"], angle: true },
  { tool: "bevel", words: "bevel gauge", about: "angle between the lines to two other places", slots: ["at", "one", "other"], sides: null, angle: true },
];

export const toolOf = (tool: MeasureTool): ToolWords => TOOLS.find((t) => t.tool === tool) ?? (TOOLS[0] as ToolWords);

/** What a tape is held to; the centre if it has no face. */
export interface Spot {
  place: string;
  face: string | null;
}

export const spotText = ({ place, face }: Spot): string => (face ? `${place} ${face}` : place);

/** A spot as the sheet says it. What names a tube as well keeps that behind its face. */
export function readSpot(text: string): Spot {
  const [place = "", ...face] = text.trim().split(/\s+/);
  return { place, face: face.length > 0 ? face.join(" ") : null };
}

export const spotWords = ({ place, face }: Spot): string => (face ? `${readable(place)}, ${face}` : readable(place));

export const placeOf = (sheet: MeasureSheet, name: string): MeasurePlace | undefined => sheet.places.find((p) => p.name === name);

/** Where a tape is held, as designed; nothing if the place or its face is not there. */
export function spotAt(sheet: MeasureSheet, spot: Spot): Vec | null {
  const place = placeOf(sheet, spot.place);
  if (!place) return null;
  if (spot.face === null) return place.at;
  const face = place.faces.find((f) => f.face === spot.face);
  return face ? add(place.at, face.arm) : null;
}

/** The set-up of heights that name none. */
export const LEVEL = "level";

/** What a reading should be as the frame is designed and stands level; nothing if its places or its level's plane are not known. */
export function designed(sheet: MeasureSheet, tool: MeasureTool, spots: readonly (Spot | null)[], over: string): number | null {
  const at = spots.map((s) => (s ? spotAt(sheet, s) : null));
  if (at.length < toolOf(tool).slots.length || at.some((p) => p === null)) return null;
  const [a, b, c] = at as Vec[];
  if (!a) return null;
  if (tool === "height") {
    const plane = sheet.levels.find((l) => l.name === (over || LEVEL))?.plane;
    return plane == null ? null : a[2] - plane;
  }
  if (!b) return null;
  const d = sub(b, a);
  switch (tool) {
    case "tape":
      return length(d);
    case "level_tape":
      return Math.hypot(d[0], d[1]);
    case "rise":
      return d[2];
    case "plumb_x":
      return d[0];
    case "plumb_y":
      return d[1];
    case "finder":
      return Math.atan2(d[2], Math.hypot(d[0], d[1]));
    case "string": {
      if (!c) return null;
      const way = sub(c, b);
      const long = Math.hypot(way[0], way[1]);
      const off = sub(a, b);
      return long > 0 ? (way[0] * off[1] - way[1] * off[0]) / long : null;
    }
    case "bevel": {
      if (!c) return null;
      const e = sub(c, a);
      return Math.atan2(length(cross(d, e)), dot(d, e));
    }
  }
}

/** A tacked frame is off by less, part of a length and m; so is a slip of the reading by more. Common practice, no source. */
const FAR = { part: 0.01, more: 0.01 };
/** What is taken against gravity reads otherwise where the frame leans: by so much for each metre, and so many rad. */
const LEAN = 0.05;
/** An angle is off by less, rad: three degrees. */
const FAR_ANGLE = (3 * Math.PI) / 180;

const levelled: readonly MeasureTool[] = ["level_tape", "height", "rise", "plumb_x", "plumb_y", "string", "finder"];

/** Whether a reading is so far from the designed that it is asked about: it may be of other places, or a slip. */
export function isFarOff(sheet: MeasureSheet, tool: MeasureTool, spots: readonly (Spot | null)[], over: string, reads: number): "far" | "turned" | null {
  const wanted = designed(sheet, tool, spots, over);
  if (wanted === null) return null;
  const leans = levelled.includes(tool);
  let room: number;
  if (toolOf(tool).angle) room = FAR_ANGLE + (leans ? LEAN : 0);
  else {
    const places = spots.flatMap((s) => {
      const at = s && spotAt(sheet, s);
      return at ? [at] : [];
    });
    // How far apart the places are, as far as that is known: that is what a lean works on.
    const [a, b] = places;
    const span = a && b ? distance(a, b) : Math.abs(wanted) + 1;
    room = FAR.more + FAR.part * Math.abs(wanted) + (leans ? LEAN * span : 0);
  }
  if (Math.abs(reads - wanted) <= room) return null;
  return toolOf(tool).sides !== null && Math.abs(reads + wanted) <= room ? "turned" : "far";
}

export type ReadNumber = { ok: true; value: number } | { ok: false; why: string };

/** Most degrees that an angle can have. */
const MOST: Partial<Record<MeasureTool, number>> = { finder: 90, bevel: 180 };

/** What was typed, as a number of m or rad; the side that was chosen says its sign, unless it is typed. */
export function readNumber(tool: MeasureTool, text: string, less: boolean, ruler: Ruler): ReadNumber {
  const typed = text.trim();
  if (typed === "") return { ok: false, why: "" };
  const { angle, sides } = toolOf(tool);
  let value: number;
  if (angle) {
    const found = /^([+\-−]?)\s*(\d+(?:[.,]\d+)?)\s*°?$/.exec(typed);
    if (!found) return { ok: false, why: `“${typed}” is not an angle in degrees` };
    const degrees = Number((found[2] as string).replace(",", "."));
    const most = MOST[tool] ?? 180;
    if (degrees > most) return { ok: false, why: `at most ${most}°` };
    value = ((found[1] === "-" || found[1] === "−" ? -1 : 1) * degrees * Math.PI) / 180;
  } else {
    const read = parseLength(typed, ruler);
    if (!read.ok) return { ok: false, why: read.why };
    value = read.metres;
  }
  if (sides === null && (value < 0 || (!angle && value === 0))) return { ok: false, why: "it must be more than nothing" };
  return { ok: true, value: sides !== null && less && value > 0 ? -value : value };
}

/** What is being taken. */
export interface Draft {
  tool: MeasureTool;
  spots: readonly (Spot | null)[];
  over: string;
  text: string;
  /** Whether it reads to the lesser side; null: as designed. */
  less: boolean | null;
  /** The entry that it takes the place of. */
  again: string | null;
}

export const FRESH: Draft = { tool: "tape", spots: [null, null], over: "", text: "", less: null, again: null };

/** The draft with another tool: places that it has as well stay. */
export function withTool(draft: Draft, tool: MeasureTool): Draft {
  const spots = toolOf(tool).slots.map((_, i) => draft.spots[i] ?? null);
  return { ...draft, tool, spots, text: "", less: null, again: null };
}

export const withSpot = (draft: Draft, slot: number, spot: Spot | null): Draft => ({
  ...draft,
  spots: draft.spots.map((s, i) => (i === slot ? spot : s)),
  less: null,
});

/** The draft after it was sent: a tape stays hooked where it was. */
export function afterSending(draft: Draft): Draft {
  const last = draft.spots.length - 1;
  const spots = draft.tool === "string" ? draft.spots.map((s, i) => (i === 0 ? null : s)) : draft.spots.map((s, i) => (i === last ? null : s));
  return { ...draft, spots, text: "", less: null, again: null };
}

/** A draft that takes a reading again. */
export const againOf = (row: MeasureRow): Draft => ({
  tool: row.tool,
  spots: row.places.map(readSpot),
  over: row.over,
  text: "",
  less: null,
  again: row.name,
});

export const nextOf = (between: readonly string[]): Draft => ({ ...FRESH, spots: between.map(readSpot) });

/** Whether the reading is to the lesser side: as chosen, or else as designed. */
export const isLess = (sheet: MeasureSheet, { tool, spots, over, less }: Draft): boolean => less ?? (designed(sheet, tool, spots, over) ?? 0) < 0;

/** Whether two of its places are one. */
export const doubled = (draft: Draft): boolean => {
  const names = draft.spots.flatMap((s) => (s ? [s.place] : []));
  return new Set(names).size < names.length;
};

/** The reading, without its id, its time and who took it; null as long as something is missing. */
export function readingOf(sheet: MeasureSheet, draft: Draft, ruler: Ruler): Pick<Reading, "tool" | "places" | "over" | "reads" | "again"> | null {
  const { tool, spots, over, text, again } = draft;
  if (spots.some((s) => s === null) || doubled(draft)) return null;
  const read = readNumber(tool, text, isLess(sheet, draft), ruler);
  if (!read.ok) return null;
  return { tool, places: spots.map((s) => spotText(s as Spot)), over: tool === "height" ? over : "", reads: read.value, again };
}

/** Places whose names have all the words that were typed, marks last, those that begin with them first. */
export function found(places: readonly MeasurePlace[], typed: string): MeasurePlace[] {
  const words = typed.toLowerCase().replaceAll("_", " ").split(/\s+/).filter(Boolean);
  const name = (p: MeasurePlace): string => readable(p.name).toLowerCase();
  const hits = places.filter((p) => words.every((w) => name(p).includes(w) || p.tubes.some((t) => readable(t).toLowerCase().includes(w))));
  const first = words[0];
  if (first === undefined) return hits;
  const rank = (p: MeasurePlace): number => (name(p).startsWith(first) ? 0 : words.every((w) => name(p).includes(w)) ? 1 : 2);
  return hits.map((p, i) => ({ p, i })).sort((a, b) => rank(a.p) - rank(b.p) || a.i - b.i).map(({ p }) => p);
}

/** Nearer to the centre plane than this it is on neither side, m. */
const MIDDLE = 0.001;

/** `left`, `right` or nothing: what a person at the car sees at once. */
export const sideOf = (p: MeasurePlace): string => (p.at[1] > MIDDLE ? "left" : p.at[1] < -MIDDLE ? "right" : "");

/** A name for a new set-up of the level. */
export function newLevel(sheet: MeasureSheet, now: string): string {
  const taken = new Set([LEVEL, now || LEVEL, ...sheet.levels.map((l) => l.name)]);
  for (let k = 2; ; k++) if (!taken.has(`level_${k}`)) return `level_${k}`;
}
