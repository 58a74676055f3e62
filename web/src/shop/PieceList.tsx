import { useState } from "react";
import { apart } from "../base/lengths";
import { readable } from "../base/names";
import { useStore } from "../base/store";
import type { MeasureSheet, PieceCard } from "../wire";
import { asBuiltWords } from "./AsBuilt";
import { ShopHeader } from "./Header";
import { SetupList } from "./SetupList";
import { waiting } from "./Measure";
import { setWho, shop } from "./shop";
import { doneTo } from "./state";

/** Which list was looked at last: one comes back to it from a piece. */
const kept: { way: "all" | "open" | "setups" } = { way: "all" };

/** All pieces in building order, with what is done to each. */
export function PieceList({ missing, go, onMeasure }: { missing: string | null; go: (piece: string) => void; onMeasure: () => void }) {
  const { pieces, done, name, who, loaded, measure, readings, refused } = useStore(shop, (s) => s);
  const asked = useStore(waiting.store, (s) => s.all);
  const [way, setWay] = useState<"all" | "open" | "setups">(kept.way);
  const turn = (to: typeof way): void => {
    kept.way = to;
    setWay(to);
  };
  const left = (card: PieceCard): number => card.operations.filter((o) => !doneTo(done, card.name).ticks[o]?.done).length;
  const toDo = pieces.filter((card) => left(card) > 0);
  const shown = way === "open" ? toDo : pieces;
  return (
    <div className="shop">
      <ShopHeader left={name || "Pieces"} />
      <label className="who">
        who
        <input value={who} onChange={(e) => setWho(e.target.value)} placeholder="your name, once" autoComplete="name" />
      </label>
      <button type="button" className="to-measure" onClick={onMeasure}>
        <strong>measure on the car</strong>
        <span className="quiet">{measuredWords(measure, readings.length + refused.length)}</span>
      </button>
      {missing ? <p className="banner" role="alert">There is no piece {readable(missing)} any more: the design has changed.</p> : null}
      {pieces.length === 0 ? (
        <p className="quiet">{loaded ? "There are no pieces yet." : "The pieces are being fetched."}</p>
      ) : (
        <>
          <div className="pick" role="group" aria-label="Which pieces">
            <button type="button" aria-pressed={way === "all"} onClick={() => turn("all")}>
              all {pieces.length}
            </button>
            <button type="button" aria-pressed={way === "open"} onClick={() => turn("open")}>
              to do {toDo.length}
            </button>
            <button type="button" aria-pressed={way === "setups"} onClick={() => turn("setups")}>
              by set-up
            </button>
          </div>
          {way === "setups" ? <SetupList go={go} /> : null}
          <ol className="pieces" hidden={way === "setups"}>
            {way === "setups" ? null : shown.map((card) => (
              <li key={card.name}>
                <button type="button" onClick={() => go(card.name)}>
                  <span className="number count">{card.number}</span>
                  <span className="what">
                    <strong>{readable(card.name)}</strong>
                    <span className="quiet">{[card.side, card.section.split(",")[0], card.stick].filter(Boolean).join(" · ")}</span>
                    {card.built ? <span className="as-built-mark">{asBuiltWords(card)}</span> : null}
                    {asked[card.name] === undefined ? null : <span className="asked">measured {asked[card.name]}: keep it or mend it</span>}
                  </span>
                  <span className="long">
                    <span className="number">{short(card.length)}</span>
                    <Dots card={card} />
                  </span>
                </button>
              </li>
            ))}
          </ol>
          <p className="quiet">
            Cut one piece, hold it against the car, then cut the rest. Cutting, grinding and welding tube can blind, burn and kill: wear what your trade wears, and mind galvanised
            and oily tube. The numbers are arithmetic on what the file says; an inspector, local rules and a licensed engineer prevail.
          </p>
        </>
      )}
    </div>
  );
}

/** What was read so far, in a line. */
function measuredWords(measure: MeasureSheet | null, here: number): string {
  const kept = here > 0 ? `${here} only on this phone` : "";
  const read = measure?.readings.length ?? 0;
  const wrong = measure?.readings.filter((r) => r.fate === "wrong" || r.fate === "contradicts").length ?? 0;
  const taken = read === 0 ? "nothing read yet" : `${read} ${read === 1 ? "reading" : "readings"}`;
  return [taken, wrong > 0 ? `${wrong} wrong or doubtful` : "", kept].filter(Boolean).join(" · ");
}

/** A length without its finer reading: that stands on the piece's own page. */
function short(length: string): string {
  const { figure, unit } = apart(length);
  return [figure, unit].filter(Boolean).join(" ");
}

function Dots({ card }: { card: PieceCard }) {
  const done = useStore(shop, (s) => s.done);
  const { ticks } = doneTo(done, card.name);
  const count = card.operations.filter((o) => ticks[o]?.done).length;
  return (
    <span className="dots" role="img" aria-label={`${count} of ${card.operations.length} done`}>
      {card.operations.map((o) => (
        <span key={o} className={ticks[o]?.done ? "dot full" : "dot"} />
      ))}
    </span>
  );
}
