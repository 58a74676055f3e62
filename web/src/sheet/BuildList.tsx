import { readable } from "../base/names";
import { useStore } from "../base/store";
import { doneTo, type ShopState } from "../shop/state";
import type { Operation, PieceCard } from "../wire";
import { desk, live, pick } from "./desk";

const ALL: readonly Operation[] = ["cut", "bent", "notched", "tacked", "welded"];

/** What is done to each piece, as it comes in from the phones. */
export function BuildList({ folded = false }: { folded?: boolean }) {
  const cards = useStore(desk, (d) => d.cards);
  const done = useStore(desk, (d) => d.done);
  const unit = useStore(live.store, (s) => s.view?.unit ?? "");
  if (cards.length === 0) return <p className="quiet">There are no pieces to tick yet.</p>;
  return (
    <section className="table build">
      <details open={!folded}>
        <summary>
          <h3>Pieces</h3> <span className="quiet">{standingWords(cards, done)}</span>
        </summary>
        <p className="note">
          Ticked on a phone at <a href="/shop">/shop</a>, in the order in which they are fitted.
        </p>
        <div className="wide" tabIndex={0} role="group" aria-label="Table">
          <table>
            <thead>
              <tr>
                <th scope="col">piece</th>
                {ALL.map((o) => (
                  <th scope="col" key={o}>
                    {o}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {cards.map((card) => {
                const { ticks, measured } = doneTo(done, card.name);
                const lengths = Object.values(measured).filter((m) => m.text !== "");
                return (
                  <tr key={card.name} className="can" onClick={() => pick({ kind: "tube", name: card.name })}>
                    <td>
                      <button type="button" className="link">
                        {readable(card.name)}
                      </button>
                      {lengths.length > 0 ? <span className="measured">{lengths.map((m) => `${m.text} ${unit}`).join(", ")} measured</span> : null}
                    </td>
                    {ALL.map((o) => {
                      const tick = ticks[o];
                      return (
                        <td key={o} className="done" title={tick?.done ? [tick.who, new Date(tick.at).toLocaleString()].filter(Boolean).join(", ") : undefined}>
                          {!card.operations.includes(o) ? "–" : tick?.done ? <span role="img" aria-label="done">✓</span> : <span className="open" role="img" aria-label="open">·</span>}
                        </td>
                      );
                    })}
                  </tr>
                );
              })}
            </tbody>
          </table>
        </div>
      </details>
    </section>
  );
}

/** How far the pieces are, in a line. */
function standingWords(cards: readonly PieceCard[], done: ShopState): string {
  const count = (...all: Operation[]): number => cards.filter((c) => all.some((o) => doneTo(done, c.name).ticks[o]?.done)).length;
  return `${cards.length} in all, ${count("cut")} cut, ${count("tacked", "welded")} tacked or welded`;
}
