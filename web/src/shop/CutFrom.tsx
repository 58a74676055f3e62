import { useState } from "react";
import { parseLength } from "../base/lengths";
import { useStore } from "../base/store";
import type { PieceCard } from "../wire";
import { queue, shop } from "./shop";
import { doneTo } from "./state";

const UNITS: Record<string, number> = { mm: 0.001, in: 0.0254 };

/** Which stick a cut piece came from and what is left of it, so that the rack's offcuts are known. */
export function CutFrom({ piece, unit }: { piece: PieceCard; unit: string }) {
  const who = useStore(shop, (s) => s.who);
  const designUnit = useStore(shop, (s) => s.unit) || unit;
  const pieces = useStore(shop, (s) => s.pieces);
  const used = useStore(shop, (s) => doneTo(s.done, piece.name).used);
  const [open, setOpen] = useState(false);
  const [stick, setStick] = useState(piece.mark);
  const [left, setLeft] = useState(piece.stick_left);
  const read = parseLength(left, { unit: designUnit, unitSize: UNITS[designUnit] ?? 0.001, step: 0.0001 });
  const wrong = stick.trim() === "" ? "which stick?" : !read.ok ? read.why : read.metres < 0 ? "no less than nothing can be left" : null;
  // Pieces of the section come off these.
  const marks = [...new Set(pieces.filter((p) => p.section === piece.section && p.mark !== "").map((p) => p.mark))];
  const keep = (mark: string, rest: string): void => {
    queue.used(piece.name, mark.trim(), rest.trim(), who);
    setOpen(false);
  };
  if (used && !open) {
    return (
      <p className="cut-from">
        cut from {used.stick}, {used.left} left{used.who ? ` · ${used.who}` : ""}{" "}
        <button type="button" className="button small" onClick={() => {
          setStick(used.stick);
          setLeft(used.left);
          setOpen(true);
        }}>
          not so
        </button>
      </p>
    );
  }
  if (!open) {
    return (
      <p className="cut-from">
        {piece.mark === "" ? (
          "From which stick?"
        ) : (
          <button type="button" className="button" onClick={() => keep(piece.mark, piece.stick_left)}>
            from {piece.mark}, {piece.stick_left} left
          </button>
        )}{" "}
        <button type="button" className="button" onClick={() => setOpen(true)}>
          from another
        </button>
      </p>
    );
  }
  return (
    <form
      className="cut-from"
      onSubmit={(e) => {
        e.preventDefault();
        if (wrong === null) keep(stick, left);
      }}
    >
      <label>
        cut from stick
        <input list={`sticks ${piece.name}`} value={stick} autoComplete="off" onChange={(e) => setStick(e.target.value)} />
      </label>
      <datalist id={`sticks ${piece.name}`}>{marks.map((m) => <option key={m} value={m} />)}</datalist>
      <label>
        left of it, {designUnit}
        <input className="number" inputMode={designUnit === "in" ? "text" : "decimal"} value={left} onChange={(e) => setLeft(e.target.value)} />
      </label>
      {wrong ? <span className="wrong" role="alert">{wrong}</span> : null}
      <button type="submit" className="button strong" disabled={wrong !== null}>
        keep it
      </button>{" "}
      {used ? (
        <button type="button" className="button" onClick={() => keep(used.stick, "")}>
          take it back
        </button>
      ) : (
        <button type="button" className="button" onClick={() => setOpen(false)}>
          leave it
        </button>
      )}
    </form>
  );
}
