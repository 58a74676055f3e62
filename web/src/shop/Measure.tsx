import { useEffect, useId, useRef, useState } from "react";
import { parseLength } from "../base/lengths";
import { useStore } from "../base/store";
import type { PieceCard } from "../wire";
import { Waiting } from "./asked";
import { isFar } from "./far";
import { queue, shop } from "./shop";
import { doneTo } from "./state";

const UNITS: Record<string, number> = { mm: 0.001, in: 0.0254 };

export const waiting = new Waiting(localStorage);

/** What was measured on the piece. The server keeps it in the design's unit; what is far from what is wanted is asked about first. */
export function Measure({ piece, unit }: { piece: PieceCard; unit: string }) {
  const who = useStore(shop, (s) => s.who);
  const designUnit = useStore(shop, (s) => s.unit) || unit;
  // The finished piece is measured, not the blank.
  const lengths = piece.built?.lengths ?? piece.lengths;
  const [what, wanted] = lengths[0] ?? [piece.length_words, piece.built?.length ?? piece.length];
  const known = useStore(shop, (s) => doneTo(s.done, piece.name).measured[what]?.text ?? "");
  const asked = useStore(waiting.store, (s) => s.all[piece.name]);
  const [text, setText] = useState(asked ?? known);
  const [typing, setTyping] = useState(false);
  const box = useRef<HTMLInputElement>(null);
  const id = useId();
  useEffect(() => {
    if (!typing) setText(asked ?? known);
  }, [asked, known, typing]);
  const ruler = { unit: designUnit, unitSize: UNITS[designUnit] ?? 0.001, step: 0.0001 };
  const read = text.trim() === "" ? null : parseLength(text, ruler);
  const wrong = read && !read.ok ? read.why : null;
  const keep = (): void => {
    waiting.answered(piece.name);
    if (text.trim() !== known) queue.measured(piece.name, what, text.trim(), who);
  };
  const left = (): void => {
    // What is no length stays in the box, with the reason under it, until it is mended.
    if (wrong !== null) return;
    setTyping(false);
    if (text.trim() === known) waiting.answered(piece.name);
    else if (isFar(text, wanted, ruler)) waiting.ask(piece.name, text.trim());
    else keep();
  };
  return (
    <div className="measured">
      <label htmlFor={id}>
        measured
        <span className="quiet">
          {what}, {wanted} wanted{piece.built ? ", as built" : ""}
        </span>
      </label>
      <input
        id={id}
        ref={box}
        className="number"
        inputMode={designUnit === "in" ? "text" : "decimal"}
        enterKeyHint="done"
        autoComplete="off"
        value={text}
        aria-invalid={wrong !== null || asked !== undefined}
        onFocus={() => setTyping(true)}
        onChange={(e) => setText(e.target.value)}
        onBlur={left}
        onKeyDown={(e) => e.key === "Enter" && e.currentTarget.blur()}
      />
      {wrong ? (
        <span className="wrong" role="alert">
          {wrong}
        </span>
      ) : null}
      {asked !== undefined && !typing ? (
        <div className="far" role="alert">
          <p>
            {asked} is far from {wanted}. Is it this piece?
          </p>
          <button type="button" onClick={keep}>
            keep it
          </button>
          <button type="button" onClick={() => box.current?.select()}>
            mend it
          </button>
        </div>
      ) : null}
    </div>
  );
}
