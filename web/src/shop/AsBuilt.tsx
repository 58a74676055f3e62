import { BendTable } from "./BendTable";
import { apart } from "../base/lengths";
import type { PieceCard } from "../wire";

/** How much longer a piece is than designed; as many signs as the server has figures. */
const longerWords = (longer: string): string => (longer ? ` (${longer.replace(/ \S+$/, "")})` : "");

/** What the frame that stands asks of a piece, before what was designed. */
export function AsBuilt({ piece }: { piece: PieceCard }) {
  const { built } = piece;
  if (!built) return null;
  const { figure, fine, unit } = apart(built.length);
  const [headings, ...bends] = built.bends;
  const bent = built.changes.some((c) => c.what.startsWith("bend"));
  return (
    <section className="as-built" aria-label="As built">
      <h2>{built.cut ? "As built: it is cut already, as designed" : built.doubt ? "As built, if its readings hold" : "As built: cut it so"}</h2>
      {built.doubt ? (
        <p>
          <span className="level look" aria-hidden /> <strong>{built.doubt}</strong>
        </p>
      ) : null}
      <p className="figure">
        <span className={figure.length > 5 ? "number long" : "number"}>{figure}</span>
        <span className="words">
          {unit}
          {longerWords(built.longer)}
          {fine ? <span className="quiet"> or {fine}</span> : null}
          <br />
          {piece.length_words}
        </span>
      </p>
      {built.changes.length > 0 ? (
        <ul>
          {built.changes.map((c) => (
            <li key={c.what}>
              <strong>{c.what}</strong>
              <br />
              <span className="quiet">was {c.was}</span>
              <br />
              now {c.now}
            </li>
          ))}
        </ul>
      ) : null}
      {bent && headings ? (
        <BendTable headings={headings} bends={bends} />
      ) : null}
      <p className="quiet">What follows is as designed.</p>
    </section>
  );
}

/** In a line of a list: the length to cut now. */
export function asBuiltWords(piece: PieceCard): string | null {
  if (!piece.built) return null;
  const { figure, unit } = apart(piece.built.length);
  return `as built: ${figure} ${unit}${longerWords(piece.built.longer)}${piece.built.cut ? ", cut already" : piece.built.doubt ? ", in doubt" : ""}`;
}
