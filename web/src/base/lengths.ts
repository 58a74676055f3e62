/**
 * Lengths at the page's door: metres inside, the design's unit in every box and every word.
 */

/** What a design reads lengths in. */
export interface Ruler {
  /** `mm` or `in`. */
  unit: string;
  /** m in that unit. */
  unitSize: number;
  /** Steps to which lengths are read, m. */
  step: number;
}

const METRES: Record<string, number> = {
  mm: 0.001,
  cm: 0.01,
  m: 1,
  in: 0.0254,
  '"': 0.0254,
  ft: 0.3048,
  "'": 0.3048,
};

/** Finest fraction of an inch that is written as one. */
const FINEST = 128;

/** How many parts an inch is read in, if the step is 1/2, 1/4 ... of one; null if inches are decimal. */
function parts(ruler: Ruler): number | null {
  if (ruler.unit !== "in" || !(ruler.step > 0)) return null;
  const count = ruler.unitSize / ruler.step;
  const whole = Math.round(count);
  const power = whole > 0 && (whole & (whole - 1)) === 0;
  return power && whole <= FINEST && Math.abs(count - whole) < 1e-6 * count ? whole : null;
}

/** Decimals that a step needs. */
function decimals(step: number): number {
  for (let d = 0; d < 5; d++) {
    const at = step * 10 ** d;
    if (Math.abs(at - Math.round(at)) < 1e-6 * Math.max(1, at)) return d;
  }
  return 5;
}

const MINUS = "−";

/** A length as it is read, without its unit: `862.5`, `1 3/4`. */
export function lengthText(metres: number, ruler: Ruler): string {
  if (!Number.isFinite(metres)) return "–";
  const n = parts(ruler);
  if (n !== null) {
    const count = Math.round((Math.abs(metres) / ruler.unitSize) * n);
    const sign = metres < 0 && count > 0 ? MINUS : "";
    const whole = Math.floor(count / n);
    let top = count - whole * n;
    let under = n;
    while (top > 0 && top % 2 === 0) {
      top /= 2;
      under /= 2;
    }
    if (top === 0) return `${sign}${whole}`;
    return whole === 0 ? `${sign}${top}/${under}` : `${sign}${whole} ${top}/${under}`;
  }
  const step = ruler.step > 0 ? ruler.step / ruler.unitSize : 0.1;
  const value = Math.round(metres / ruler.unitSize / step) * step;
  const text = Math.abs(value).toFixed(decimals(step));
  const zero = Number(text) === 0;
  return (value < 0 && !zero ? MINUS : "") + text;
}

/** A length with its unit. */
export function lengthWords(metres: number, ruler: Ruler): string {
  return `${lengthText(metres, ruler)} ${ruler.unit}`;
}

/** A length to a tenth of the step, for what is measured and not set. */
export function fineText(metres: number, ruler: Ruler): string {
  if (parts(ruler) !== null) {
    const decimal = (Math.abs(metres) / ruler.unitSize).toFixed(3);
    return (metres < 0 && Number(decimal) !== 0 ? MINUS : "") + decimal;
  }
  const step = (ruler.step > 0 ? ruler.step : ruler.unitSize / 10) / 10;
  return lengthText(metres, { ...ruler, step });
}

/** So many decimals of a metre hold every length that is typed, and none of what floating point adds: 12 in is 0.3048 m. */
const DECIMALS = 13;
const clean = (metres: number): number => Number(metres.toFixed(DECIMALS));

/** To the nearest step. */
export function snap(metres: number, ruler: Ruler): number {
  return ruler.step > 0 ? clean(Math.round(metres / ruler.step) * ruler.step) : metres;
}

/** Without the endless decimals of another unit, or of arithmetic: to a fraction of a micrometre. */
export function tidy(metres: number, ruler: Ruler): number {
  const fine = ruler.unit === "in" ? 1e5 : 1e4;
  return clean((Math.round((metres / ruler.unitSize) * fine) / fine) * ruler.unitSize);
}

/** What is nearer to a step than this is on it, m: what arithmetic and the file's decimals leave. */
const ON_STEP = 1e-6;

/** A length as it stands in a box: to the step if it is on one, and finer if not, so that no box says what is not so. */
export function boxText(metres: number, ruler: Ruler): string {
  return Math.abs(snap(metres, ruler) - metres) < ON_STEP ? lengthText(metres, ruler) : fineText(metres, ruler);
}

export type Parsed = { ok: true; metres: number } | { ok: false; why: string };

const NUMBER = String.raw`\d+(?:[.,]\d+)?|[.,]\d+`;
const ONE = new RegExp(
  String.raw`^(?:(?:(\d+)[ -]+)?(\d+)\s*/\s*(\d+)|(${NUMBER}))\s*(mm|cm|m|in|ft|"|')?\s*`,
);

/**
 * Reads a length as a person types it: `862.5`, `1 3/4`, `-2 1/2`, `45 mm`, `5 ft 10 in`. A plain number is in the
 * ruler's unit.
 */
export function parseLength(text: string, ruler: Ruler): Parsed {
  let rest = text.trim().toLowerCase();
  if (rest === "") return { ok: false, why: "type a length" };
  let sign = 1;
  const front = /^([+\-−])\s*/.exec(rest);
  if (front) {
    if (front[1] !== "+") sign = -1;
    rest = rest.slice(front[0].length);
  }
  let metres = 0;
  let first = true;
  let last = Infinity;
  let foreign = false;
  while (rest !== "") {
    const found = ONE.exec(rest);
    if (!found) return { ok: false, why: `“${text.trim()}” is not a length` };
    const [all, whole, top, under, plain, named] = found;
    let value: number;
    if (top !== undefined && under !== undefined) {
      if (Number(under) === 0) return { ok: false, why: "a fraction can’t be over 0" };
      value = Number(whole ?? 0) + Number(top) / Number(under);
    } else {
      value = Number((plain ?? "").replace(",", "."));
    }
    rest = rest.slice(all.length);
    // Behind feet a plain number is inches: 1' 8 3/8.
    const inches = !first && named === undefined && last === METRES["ft"];
    const size = inches ? METRES["in"] : named === undefined ? ruler.unitSize : METRES[named];
    if (size === undefined) return { ok: false, why: `“${named}” is not a unit of length` };
    // Only feet and then inches go together; anything else of two parts is a slip.
    if (!first && ((named === undefined && !inches) || size >= last)) return { ok: false, why: `“${text.trim()}” is not one length` };
    if (first && rest !== "" && named !== "ft" && named !== "'") {
      return { ok: false, why: `“${text.trim()}” is not one length` };
    }
    metres += value * size;
    foreign ||= size !== ruler.unitSize;
    last = size;
    first = false;
  }
  if (!Number.isFinite(metres)) return { ok: false, why: `“${text.trim()}” is not a length` };
  if (metres > 1000) return { ok: false, why: "that is over a kilometre" };
  // What is typed in another unit is kept to a fraction of a micrometre, so that a file in inches does not fill with
  // endless decimals.
  if (foreign) metres = tidy(metres, ruler);
  return { ok: true, metres: clean(sign * metres) };
}

/** A length as the server words it, apart: `15 15/16 (15.969) in` is the figure, the finer reading behind it, and the unit. */
export function apart(text: string): { figure: string; fine: string; unit: string } {
  const found = /^(.*\d)\s*(?:\(([^)]*)\)\s*)?([^\d\s()]+)$/.exec(text.trim());
  return found ? { figure: found[1] as string, fine: found[2] ?? "", unit: found[3] as string } : { figure: text, fine: "", unit: "" };
}

/** An angle in rad as degrees. */
export function angleText(radians: number): string {
  const text = ((radians * 180) / Math.PI).toFixed(1);
  // Nothing is not less than nothing.
  return `${Number(text) === 0 ? text.replace("-", "") : text.replace("-", MINUS)}°`;
}
