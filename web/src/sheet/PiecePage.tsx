import { getJson } from "../base/api";
import { Fetched } from "../base/Fetched";
import { apart } from "../base/lengths";
import { readable, some } from "../base/names";
import { useStore } from "../base/store";
import { Svg } from "../base/Svg";
import { Plain } from "../base/controls";
import { AsBuilt } from "../shop/AsBuilt";
import { roomy } from "../shop/ends";
import type { PieceCard } from "../wire";
import { desk, live } from "./desk";

/** One piece on the cutting page. */
export function PiecePage({ name }: { name: string }) {
  const state = useStore(live.store, (s) => `${s.real?.state} ${s.real?.settled} ${s.real?.sheet.is} ${s.real?.sheet.laid}`);
  return (
    <section className="answer" aria-label="Piece">
      <p>
        <Plain onPress={() => desk.set({ piece: null })}>‹ all pieces</Plain>
      </p>
      <h2>{readable(name)}</h2>
      <Fetched
        of={`${name} ${state}`}
        ask={() => getJson<PieceAnswer>(`/api/piece/${encodeURIComponent(name)}`)}
        absent={`${readable(name)} is not a piece that is cut: it is provisional, or not there yet.`}
      >
        {({ card, unrolled }) => <Piece card={card} unrolled={unrolled} />}
      </Fetched>
    </section>
  );
}

interface PieceAnswer {
  card: PieceCard;
  /** The end cuts unrolled, as SVG. */
  unrolled: string | string[];
}

function Piece({ card, unrolled }: PieceAnswer) {
  const cuts = [unrolled].flat().filter(Boolean);
  const [headings, ...bends] = card.bends;
  const { figure, fine, unit } = apart(card.length);
  return (
    <>
      <p className="lead">{[`number ${card.number}`, card.side, card.section, card.stick].filter(Boolean).join(" · ")}</p>
      <AsBuilt piece={card} />
      <p className="big">
        <span className="number">
          {figure} {unit}
        </span>{" "}
        <span className="words">{[fine && `or ${fine}`, card.length_words].filter(Boolean).join(", ")}</span>
      </p>
      <div className="wide" tabIndex={0} role="group" aria-label="Table">
        <table>
          <tbody>
            {card.lengths.map(([what, much], i) => (
              <tr key={i}>
                <td>{what}</td>
                <td className="right number">{much}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {card.picture ? <Svg text={card.picture} label={`${card.name} from the side`} /> : null}
      <div className={roomy(card.ends) ? "ends roomy" : "ends"}>
        {card.ends.map((end, i) => (
          <section key={i}>
            <h3>{end.words}</h3>
            <p className="angle number">{end.angle}</p>
            {end.setups.map((line, k) => (
              <p key={k}>{line}</p>
            ))}
            {end.simplest ? <p className="note">{end.simplest}</p> : null}
            {end.batch ? <p className="note">{end.batch}{end.shared.length > 0 ? `, with ${some(end.shared)}` : ""}</p> : null}
          </section>
        ))}
      </div>
      {headings && bends.length > 0 ? (
        <section className="table">
          <h3>Bends</h3>
          {card.bend_from ? <p className="note">{card.bend_from}</p> : null}
          <div className="wide" tabIndex={0} role="group" aria-label="Table">
            <table>
              <thead>
                <tr>{headings.map((h, i) => <th key={i} className="right">{h}</th>)}</tr>
              </thead>
              <tbody>
                {bends.map((bend, i) => (
                  <tr key={i}>{bend.map((cell, k) => <td key={k} className="right number">{cell}</td>)}</tr>
                ))}
              </tbody>
            </table>
          </div>
        </section>
      ) : null}
      {cuts.length > 0 ? (
        <section className="table">
          <h3>Wrap templates</h3>
          <p className="note">To see the shape of the ends. Print the packet to have them at full size.</p>
          {cuts.map((cut, i) => (
            <Svg key={i} text={cut} label={`End cut of ${card.name}, unrolled`} />
          ))}
        </section>
      ) : null}
      {card.note ? <p>{card.note}</p> : null}
    </>
  );
}
