import { useEffect, useState } from "react";
import { parseLength } from "../base/lengths";
import { clock, readable, some } from "../base/names";
import { useStore } from "../base/store";
import { Svg } from "../base/Svg";
import type { Operation, PieceCard, ShopEnd } from "../wire";
import { CutFrom } from "./CutFrom";
import { ShopHeader } from "./Header";
import { queue, shop } from "./shop";
import { doneTo } from "./state";

/** A measured length that is off by more than this part is asked about. */
const FAR = 0.1;

const UNITS: Record<string, number> = { mm: 0.001, in: 0.0254 };

/** One piece, for gloved hands. */
export function PieceView(props: { piece: PieceCard; next: PieceCard | null; before: PieceCard | null; of: number; go: (piece: string | null) => void }) {
  const { piece, next, before, go } = props;
  const name = useStore(shop, (s) => s.name);
  const who = useStore(shop, (s) => s.who);
  const done = useStore(shop, (s) => s.done);
  const { ticks, used } = doneTo(done, piece.name);
  const [figure, unit] = apart(piece.length);
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
      <p className="figure">
        <span className={figure.length > 5 ? "number long" : "number"}>{figure}</span>
        <span className="words">
          {unit}
          <br />
          {piece.length_words}
        </span>
      </p>
      <div className="ends">
        {piece.ends.map((end, i) => (
          <End key={i} end={end} />
        ))}
      </div>
      {headings && bends.length > 0 ? (
        <section className="bends">
          {piece.bend_from ? <p>{piece.bend_from}</p> : null}
          <div className="wide">
            <table>
              <thead>
                <tr>{headings.map((h, i) => <th key={i}>{h}</th>)}</tr>
              </thead>
              <tbody>
                {bends.map((bend, i) => (
                  <tr key={i}>{bend.map((cell, k) => <td key={k} className="number">{cell}</td>)}</tr>
                ))}
              </tbody>
            </table>
          </div>
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
      {end.batch ? <p className="quiet">{end.batch}</p> : null}
      {end.shared.length > 0 ? <p className="quiet">also {some(end.shared)}</p> : null}
    </section>
  );
}

/** What was measured on the piece. It is kept as it was typed. */
function Measure({ piece, unit }: { piece: PieceCard; unit: string }) {
  const who = useStore(shop, (s) => s.who);
  const designUnit = useStore(shop, (s) => s.unit) || unit;
  // The finished piece is measured, not the blank.
  const [what, wanted] = piece.lengths[0] ?? [piece.length_words, piece.length];
  const known = useStore(shop, (s) => doneTo(s.done, piece.name).measured[what]?.text ?? "");
  const [text, setText] = useState(known);
  const [typing, setTyping] = useState(false);
  useEffect(() => {
    if (!typing) setText(known);
  }, [known, typing]);
  const ruler = { unit: designUnit, unitSize: UNITS[designUnit] ?? 0.001, step: 0.0001 };
  const read = text.trim() === "" ? null : parseLength(text, ruler);
  const is = parseLength(wanted, ruler);
  const far = read?.ok && is.ok && Math.abs(read.metres - is.metres) > FAR * is.metres;
  const wrong = read && !read.ok ? read.why : far ? `far from ${wanted}: is it this piece?` : null;
  const keepIt = (): void => {
    // What is no length stays in the box, with the reason under it, until it is mended.
    if (read && !read.ok) return;
    setTyping(false);
    if (text.trim() === known) return;
    queue.measured(piece.name, what, text.trim(), who);
  };
  return (
    <label className="measured">
      <span>
        measured
        <span className="quiet">{what}, {wanted} wanted</span>
      </span>
      <input
        className="number"
        inputMode={designUnit === "in" ? "text" : "decimal"}
        enterKeyHint="done"
        value={text}
        aria-invalid={wrong !== null}
        onFocus={() => setTyping(true)}
        onChange={(e) => setText(e.target.value)}
        onBlur={keepIt}
        onKeyDown={(e) => e.key === "Enter" && e.currentTarget.blur()}
      />
      {wrong ? <span className="wrong" role="alert">{wrong}</span> : null}
    </label>
  );
}

/** A length and its unit apart: `862.5 mm`. */
function apart(text: string): [string, string] {
  const found = /^(.*\d)\s*([^\d\s]+)$/.exec(text.trim());
  return found ? [found[1] as string, found[2] as string] : [text, ""];
}
