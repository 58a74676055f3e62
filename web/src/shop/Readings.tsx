import { fineText, type Ruler } from "../base/lengths";
import { readable } from "../base/names";
import type { MeasureRow, MeasureSheet, MeasureTool, Reading, ReadingFate } from "../wire";
import { readSpot, spotWords, toolOf } from "./reading";

/** Half a millimetre or a sixteenth of an inch: what a tape is read to. */
export const sheetRuler = (sheet: MeasureSheet): Ruler => ({ unit: sheet.unit, unitSize: sheet.unit_size, step: sheet.unit === "in" ? 0.0254 / 16 : 0.0005 });

/** So many to be taken next are shown, and so many that were taken, until all are asked for. */
const NEXT = 3;

type Taken1 = { tool: MeasureTool; places: readonly string[]; over?: string };

/** `tape: rail front to main foot ~, outside`. */
export function titleOf({ tool, places, over }: Taken1): string {
  const [a = "", b = "", c = ""] = places.map((p) => spotWords(readSpot(p)));
  const words = toolOf(tool).words;
  switch (tool) {
    case "height":
      return `${words}: ${a}${over ? `, ${readable(over)}` : ""}`;
    case "string":
      return `${words}: ${a} from ${b} to ${c}`;
    case "bevel":
      return `${words}: at ${a}, ${b} to ${c}`;
    default:
      return `${words}: ${a} to ${b}`;
  }
}

const degrees = (rad: number): string => `${((rad * 180) / Math.PI).toFixed(2).replace(/\.?0+$/, "").replace(/^-(?!0$)/, "−").replace("-", "")}°`;

/** What was read, with its unit. */
export const valueOf = ({ tool, reads }: { tool: MeasureTool; reads: number }, ruler: Ruler): string =>
  toolOf(tool).angle ? degrees(reads) : `${fineText(reads, ruler)} ${ruler.unit}`;

const FATES: Record<ReadingFate, { words: string; level: string }> = {
  agrees: { words: "agrees with the others", level: "" },
  unchecked: { words: "nothing checks it yet", level: "not-checked" },
  wrong: { words: "wrong: left out", level: "mend" },
  contradicts: { words: "contradicts others", level: "look" },
  left_out: { words: "left out by you", level: "note" },
  unusable: { words: "can’t be used", level: "look" },
};

/** What became of a reading, in words; what is doubtful says by how much. */
export function fateWords(row: MeasureRow, ruler: Ruler): string {
  const { words } = FATES[row.fate];
  if ((row.fate === "wrong" || row.fate === "contradicts") && row.fits != null) return `${words}, the others say ${valueOf({ tool: row.tool, reads: row.fits }, ruler)}`;
  return words;
}

/** What to measure next. */
export function Next({ sheet, ruler, onTake }: { sheet: MeasureSheet; ruler: Ruler; onTake: (between: readonly string[]) => void }) {
  if (sheet.next.length === 0) return null;
  return (
    <section className="next-readings">
      <h2>Tells most next</h2>
      <ul>
        {sheet.next.slice(0, NEXT).map((n) => (
          <li key={n.between.join(" ")}>
            <button type="button" onClick={() => onTake(n.between)}>
              <strong>{n.between.map(readable).join(" to ")}</strong>
              <span className="designed">
                <span className="quiet">as designed</span> <span className="number">{`${fineText(n.length, ruler)} ${ruler.unit}`}</span>
              </span>
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}

/** What was taken, with what became of it; on top what is only kept here. */
export function Taken(props: {
  sheet: MeasureSheet;
  ruler: Ruler;
  pending: readonly Reading[];
  held: ReadonlyMap<string, string>;
  onAgain: (row: MeasureRow) => void;
  onDrop: (id: string) => void;
}) {
  const { sheet, ruler, pending, held } = props;
  const count = sheet.readings.length + pending.length;
  return (
    <section className="taken">
      <h2>{count === 0 ? "Nothing read yet" : `Taken: ${count}`}</h2>
      <ul>
        {[...pending].reverse().map((r) => (
          <li key={r.id} className="kept">
            <span className="what">
              <strong>{titleOf(r)}</strong>
              <span className="quiet">{held.get(r.id) ?? "kept on this phone, not sent yet"}</span>
            </span>
            <span className="figures">
              <span className="number">{valueOf(r, ruler)}</span>
              <button type="button" onClick={() => props.onDrop(r.id)}>
                forget it
              </button>
            </span>
          </li>
        ))}
        {sheet.readings.map((row) => (
          <li key={`${row.table} ${row.name}`} className={row.fate}>
            <span className="what">
              <strong>{titleOf(row)}</strong>
              <span className="fate">
                {FATES[row.fate].level ? <span className={`level ${FATES[row.fate].level}`} aria-hidden /> : null}
                {fateWords(row, ruler)}
                {row.who ? <span className="quiet"> · {row.who}</span> : null}
              </span>
            </span>
            <span className="figures">
              <span className="number">{valueOf(row, ruler)}</span>
              <button type="button" aria-label={`again: ${titleOf(row)}`} onClick={() => props.onAgain(row)}>
                again
              </button>
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}
