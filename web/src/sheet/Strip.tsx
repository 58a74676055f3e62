import { useMemo } from "react";
import { readable } from "../base/names";
import { useStore } from "../base/store";
import { doneTo } from "../shop/state";
import type { PieceCard, TubeRow } from "../wire";
import { desk, live, overOf, pick } from "./desk";
import { nextTube } from "./gestures";

const LOW = 8;
const HIGH = 32;
/** So many marks leave room for the name of a stick under each. */
const ROOM = 48;

/** The fitting order: one mark for each piece, the same on every page. */
export function Strip() {
  const view = useStore(live.store, (s) => s.view);
  const word = useStore(desk, (d) => d.word);
  const picked = useStore(desk, (d) => d.picked);
  const hovered = useStore(desk, (d) => d.hovered);
  const upTo = useStore(desk, (d) => d.upTo);
  const cards = useStore(desk, (d) => d.cards);
  const done = useStore(desk, (d) => d.done);
  const over = useMemo(() => (view ? overOf(view, word) : new Set<string>()), [view, word]);
  const byName = useMemo(() => new Map(cards.map((c) => [c.name, c] as const)), [cards]);
  const longest = useMemo(() => Math.max(1e-9, ...(view?.tubes ?? []).map(span)), [view]);
  if (!view) return null;
  const tubes = view.tubes;
  const shown = tubes.find((t) => t.name === (hovered?.kind === "tube" ? hovered.name : picked?.kind === "tube" ? picked.name : "")) ?? tubes[(upTo ?? 0) - 1];
  return (
    <footer className="strip">
      <p className="name">
        fitting
        <br />
        order
      </p>
      <div className="marks">
        <div
          className="row"
          role="listbox"
          aria-label="Pieces in fitting order"
          aria-orientation="horizontal"
          tabIndex={0}
          aria-activedescendant={picked?.kind === "tube" ? `mark-${picked.name}` : undefined}
          onKeyDown={(e) => {
            if (e.key === "ArrowRight") nextTube(1);
            else if (e.key === "ArrowLeft") nextTube(-1);
            else return;
            e.preventDefault();
          }}
        >
          {tubes.map((tube) => {
            const card = byName.get(tube.name);
            const part = word === "build" ? doneIn(card, done) : null;
            const isPicked = picked?.kind === "tube" && picked.name === tube.name;
            const tall = LOW + (HIGH - LOW) * (span(tube) / longest);
            const stands = upTo === null || tube.number <= upTo;
            return (
              <div
                key={tube.name}
                id={`mark-${tube.name}`}
                role="option"
                aria-selected={isPicked}
                aria-label={words(tube, word === "stock" ? card?.stick : undefined, part)}
                className={["mark", tube.state, over.has(tube.name) ? "over" : "", isPicked ? "picked" : "", stands ? "" : "gone"].join(" ")}
                onClick={() => pick({ kind: "tube", name: tube.name })}
                onPointerEnter={() => desk.set({ hovered: { kind: "tube", name: tube.name }, hoveredAt: null })}
                onPointerLeave={() => desk.set({ hovered: null })}
              >
                <span className="bar" style={{ height: tall }}>
                  {part !== null && part > 0 ? <span className="part" style={{ height: `${part * 100}%` }} /> : null}
                </span>
                {word === "stock" && tubes.length <= ROOM && card?.mark ? <span className="stick">{card.mark}</span> : null}
              </div>
            );
          })}
        </div>
        <input
          type="range"
          aria-label="How far the frame is built"
          aria-valuetext={upTo === null ? "all of it" : `${upTo} of ${tubes.length} tubes`}
          min={0}
          max={tubes.length}
          step={1}
          value={upTo ?? tubes.length}
          onChange={(e) => desk.set({ upTo: Number(e.target.value) >= tubes.length ? null : Number(e.target.value) })}
        />
      </div>
      <p className="shown">
        {shown ? (
          <>
            <span className="number">{shown.number}</span> {readable(shown.name)}
            <br />
            <span className="quiet">{after(shown, byName.get(shown.name), word)}</span>
          </>
        ) : (
          <>
            {tubes.length} tubes
            <br />
            <span className="quiet">{upTo === null ? "all of them drawn" : `${upTo} drawn`}</span>
          </>
        )}
      </p>
    </footer>
  );
}

function span(tube: TubeRow): number {
  let long = 0;
  for (let i = 0; i + 1 < tube.line.length; i++) {
    const [a, b] = [tube.line[i] as readonly number[], tube.line[i + 1] as readonly number[]];
    long += Math.hypot((a[0] as number) - (b[0] as number), (a[1] as number) - (b[1] as number), (a[2] as number) - (b[2] as number));
  }
  return long;
}

/** How much of a piece is done, from 0 to 1. */
function doneIn(card: PieceCard | undefined, done: Parameters<typeof doneTo>[0]): number {
  if (!card || card.operations.length === 0) return 0;
  const { ticks } = doneTo(done, card.name);
  return card.operations.filter((o) => ticks[o]?.done).length / card.operations.length;
}

function words(tube: TubeRow, stick: string | undefined, part: number | null): string {
  const more = [stick, part === null ? "" : `${Math.round(part * 100)} % done`, tube.state === "permanent" ? "" : tube.state].filter(Boolean);
  return [`${tube.number} ${readable(tube.name)}`, ...more].join(", ");
}

function after(tube: TubeRow, card: PieceCard | undefined, word: string): string {
  if (tube.state === "provisional") return "provisional: not cut";
  if (word === "stock" && card?.stick) return `from ${card.stick}`;
  if (word === "cutting" || word === "stock") return tube.length;
  return tube.number === 1 ? "the first to be fitted" : `fits after ${tube.number - 1}`;
}
