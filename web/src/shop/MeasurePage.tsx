import { useState } from "react";
import { readable } from "../base/names";
import { useStore } from "../base/store";
import type { MeasureSheet, Reading } from "../wire";
import { againOf, FRESH, nextOf, readSpot, type Draft } from "./reading";
import { ReadingForm } from "./ReadingForm";
import { Next, sheetRuler, Taken, titleOf, valueOf } from "./Readings";
import { recentOf } from "./recent";
import { ShopHeader } from "./Header";
import { forgetRefused, queue, setWho, shop } from "./shop";

const NOTHING: MeasureSheet = { head: { file: "", is: "none", laid: 0, problems: [] }, unit: "", unit_size: 0.001, places: [], levels: [], readings: [], next: [] };

const DRAFT = "tubewright.shop.reading";

function storedDraft(): Draft {
  try {
    const read: unknown = JSON.parse(localStorage.getItem(DRAFT) ?? "null");
    if (read && typeof read === "object" && "tool" in read && "spots" in read) return { ...FRESH, ...(read as Draft) };
  } catch {
    // What can't be read is begun anew.
  }
  return FRESH;
}

/** Measuring on the car, with gloves on and with or without a line. */
export function MeasurePage({ onLeft }: { onLeft: () => void }) {
  const { measure, readings, held, refused, who, name, unit } = useStore(shop, (s) => s);
  const [draft, setDraftState] = useState(storedDraft);
  const [told, setTold] = useState<{ wrong: boolean; words: string } | null>(null);
  const sheet = measure ?? { ...NOTHING, unit: unit || "mm" };
  const ruler = sheetRuler(sheet);
  const setDraft = (next: Draft): void => {
    setDraftState(next);
    try {
      localStorage.setItem(DRAFT, JSON.stringify(next));
    } catch {
      // It is there until the page is closed.
    }
  };
  const take = (next: Draft): void => {
    setDraft(next);
    window.scrollTo(0, 0);
  };
  return (
    <div className="shop measure">
      <ShopHeader left={name || "Pieces"} onLeft={onLeft} />
      <h1>Measure on the car</h1>
      <label className="who">
        who
        <input value={who} onChange={(e) => setWho(e.target.value)} placeholder="your name, once" autoComplete="name" />
      </label>
      {sheet.head.is === "unreadable" ? <Unread sheet={sheet} /> : null}
      <ReadingForm sheet={sheet} ruler={ruler} draft={draft} recent={recentOf(sheet, readings)} onDraft={setDraft} told={told} onSend={(read) => {
        queue.reading(read, who);
        setTold({ wrong: false, words: `Kept: ${titleOf(read)}, ${valueOf(read, ruler)}.` });
      }} />
      {refused.map(({ reading, why }) => (
        <Refused key={reading.id} reading={reading} why={why} sheet={sheet} onTake={take} />
      ))}
      <Next sheet={sheet} ruler={ruler} onTake={(between) => take(nextOf(between))} />
      <Taken sheet={sheet} ruler={ruler} pending={readings} held={held} onAgain={(row) => take(againOf(row))} onDrop={(id) => queue.drop(id)} />
      <p className="quiet">
        Measure from an edge to the same edge of the other tube, or say at which face the tape was held. What is written down here stands in {sheet.head.file || "the measured sheet"}; the build page says what follows from it.
      </p>
    </div>
  );
}

function Unread({ sheet }: { sheet: MeasureSheet }) {
  const first = sheet.head.problems[0];
  return (
    <p className="banner" role="alert">
      {sheet.head.file}
      {first?.line != null ? `, line ${first.line}` : ""} can’t be read{first ? `: ${first.what}` : ""}. What you measure is kept on this phone until it is mended.
    </p>
  );
}

/** A reading that was not taken in: the design or the sheet has changed meanwhile. */
function Refused({ reading, why, sheet, onTake }: { reading: Reading; why: string; sheet: MeasureSheet; onTake: (draft: Draft) => void }) {
  return (
    <div className="banner refused" role="alert">
      <p>
        <strong>Not written down:</strong> {titleOf(reading)}, {valueOf(reading, sheetRuler(sheet))}. {readable(why)}.
      </p>
      <p className="row">
        <button
          type="button"
          onClick={() => {
            const draft: Draft = { tool: reading.tool, spots: reading.places.map(readSpot), over: reading.over, text: "", less: null, again: reading.again ?? null };
            forgetRefused(reading.id);
            onTake({ ...draft, text: typedOf(reading, sheet), less: reading.reads < 0 });
          }}
        >
          mend it
        </button>
        <button type="button" onClick={() => forgetRefused(reading.id)}>
          forget it
        </button>
      </p>
    </div>
  );
}

/** A reading as it could have been typed. */
function typedOf(reading: Reading, sheet: MeasureSheet): string {
  const words = valueOf({ ...reading, reads: Math.abs(reading.reads) }, sheetRuler(sheet));
  return words.replace(/[^\d.,/ ]/g, "").trim();
}
