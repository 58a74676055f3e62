import { BendTable } from "./BendTable";
import { useState } from "react";
import { apart } from "../base/lengths";
import { clock, readable } from "../base/names";
import { useStore } from "../base/store";
import { Svg } from "../base/Svg";
import type { Operation, PieceCard, ShopEnd } from "../wire";
import { AsBuilt } from "./AsBuilt";
import { CutFrom } from "./CutFrom";
import { ShopHeader } from "./Header";
import { Measure } from "./Measure";
import { queue, shop } from "./shop";
import { roomy } from "./ends";
import { doneTo } from "./state";

/** So many other ends are named at once. */
const NAMED = 3;

/** One piece, for gloved hands. */
export function PieceView(props: { piece: PieceCard; next: PieceCard | null; before: PieceCard | null; of: number; go: (piece: string | null) => void }) {
  const { piece, next, before, go } = props;
  const name = useStore(shop, (s) => s.name);
  const who = useStore(shop, (s) => s.who);
  const done = useStore(shop, (s) => s.done);
  const { ticks, used } = doneTo(done, piece.name);
  const { figure, fine, unit } = apart(piece.length);
  const tick = (operation: Operation, now: boolean): void => {
    queue.tick(piece.name, operation, now, who);
    // What is not cut after all came from no stick.
    if (operation === "cut" && !now && used) queue.used(piece.name, used.stick, "", who);
  };
  const [headings, ...bends] = piece.bends;
  return (
    <div className="shop">
      <ShopHeader left={`${name ? `${name} · ` : ""}${piece.number} of ${props.of}`} onLeft={() => go(null)} />
      <h1>{readable(piece.name)}</h1>
      <p className="quiet">{[piece.side, piece.stick, piece.section].filter(Boolean).join(" · ")}</p>
      <AsBuilt piece={piece} />
      <p className={piece.built ? "figure designed" : "figure"}>
        <span className={figure.length > 5 ? "number long" : "number"}>{figure}</span>
        <span className="words">
          {unit}
          {fine ? <span className="quiet"> or {fine}</span> : null}
          <br />
          {piece.built ? "as designed: " : ""}
          {piece.length_words}
        </span>
      </p>
      <div className={roomy(piece.ends) ? "ends roomy" : "ends"}>
        {piece.ends.map((end, i) => (
          <End key={i} end={end} />
        ))}
      </div>
      {headings && bends.length > 0 ? (
        <section className="bends">
          {piece.bend_from ? <p>{piece.bend_from}</p> : null}
          <BendTable headings={headings} bends={bends} />
        </section>
      ) : null}
      {piece.picture ? <Svg text={piece.picture} label={`${readable(piece.name)} from the side`} /> : null}
      {piece.lengths.length > 0 ? (
        <dl className="lengths">
          {piece.lengths.map(([what, much], i) => (
            <div key={i}>
              <dt>{what}</dt>
              <dd className="number">{much}</dd>
            </div>
          ))}
        </dl>
      ) : null}
      {piece.note ? <p className="on-it">{piece.note}</p> : null}
      <ul className="ticks">
        {piece.operations.map((operation) => {
          const last = ticks[operation];
          const is = last?.done === true;
          return (
            <li key={operation}>
              <button type="button" role="checkbox" aria-checked={is} onClick={() => tick(operation, !is)}>
                <span className="box" aria-hidden>
                  {is ? "✓" : ""}
                </span>
                <span className="operation">{operation}</span>
                {is && last ? <span className="when">{[last.who, clock(last.at)].filter(Boolean).join(" · ")}</span> : null}
              </button>
            </li>
          );
        })}
      </ul>
      {ticks.cut?.done ? <CutFrom key={`cut ${piece.name}`} piece={piece} unit={unit} /> : null}
      <Measure key={piece.name} piece={piece} unit={unit} />
      <nav className="next" aria-label="Pieces">
        {before ? (
          <button type="button" className="back" aria-label={`piece before: ${readable(before.name)}`} onClick={() => go(before.name)}>
            ‹
          </button>
        ) : null}
        <button type="button" className="on" onClick={() => go(next?.name ?? null)}>
          {next ? `next piece: ${readable(next.name)}` : "the last piece: all pieces"}
        </button>
      </nav>
    </div>
  );
}

function End({ end }: { end: ShopEnd }) {
  const [which, where] = end.words.split(/,\s*(.*)/s);
  return (
    <section>
      <h2>
        {which}
        {where ? <span className="quiet"> {where}</span> : null}
      </h2>
      <p className="number angle">{end.angle}</p>
      {end.setups.map((line, i) => (
        <p key={i} className="setup">
          {line}
        </p>
      ))}
      {end.simplest ? <p className="quiet">{end.simplest}</p> : null}
      {end.batch ? <p className="quiet">{end.batch}</p> : null}
      {end.shared.length > 0 ? <Also names={end.shared} /> : null}
    </section>
  );
}

/** Other ends of the same set-up: the first few, and the rest behind a tap. */
function Also({ names }: { names: readonly string[] }) {
  const [all, setAll] = useState(false);
  const more = names.length - NAMED;
  const shown = all ? names : names.slice(0, NAMED);
  return (
    <p className="quiet also">
      also {shown.map(readable).join(", ")}{" "}
      {more > 0 ? (
        <button type="button" aria-expanded={all} onClick={() => setAll(!all)}>
          {all ? "fewer" : `and ${more} more`}
        </button>
      ) : null}
    </p>
  );
}
