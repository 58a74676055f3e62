import { readable } from "../base/names";
import { Store, useStore } from "../base/store";
import { shop } from "./shop";
import { bySetup, TickedEnds, type Setup, type SetupEnd } from "./setups";

const kept = new TickedEnds(localStorage);
const ticked = new Store<{ keys: ReadonlySet<string> }>({ keys: kept.all() });

function turn(key: string): void {
  kept.turn(key);
  ticked.set({ keys: kept.all() });
}

/** Set-up after set-up: the tool is set once, then all its ends are cut. */
export function SetupList({ go }: { go: (piece: string) => void }) {
  const pieces = useStore(shop, (s) => s.pieces);
  const setups = bySetup(pieces);
  if (setups.length === 0) return <p className="quiet">No set-ups yet.</p>;
  return (
    <>
      <p className="quiet">
        Set the tool once, cut its ends, go on. Turn: the tube's short side, from the scribe line, clockwise looking from start to end. Back: how far the cut, or the hole saw's
        centre, passes the tube's axis back from the long point; negative is beyond it. Ticks here stay on this phone; a piece's own ticks go to everybody.
      </p>
      <ol className="setups">
        {setups.map((setup) => (
          <OneSetup key={setup.number} setup={setup} of={setups.length} go={go} />
        ))}
      </ol>
    </>
  );
}

function OneSetup({ setup, of, go }: { setup: Setup; of: number; go: (piece: string) => void }) {
  const keys = useStore(ticked, (s) => s.keys);
  const done = setup.ends.filter((e) => keys.has(e.key)).length;
  return (
    <li className={done === setup.ends.length ? "all" : undefined}>
      <h2>
        {setup.tool}
        {setup.set ? <span className="number">{setup.set}</span> : null}
        <span className="quiet">
          {setup.number} of {of}; {done} of {setup.ends.length} done
        </span>
      </h2>
      <ul>
        {setup.ends.map((end) => (
          <OneEnd key={end.key} end={end} is={keys.has(end.key)} go={go} />
        ))}
      </ul>
    </li>
  );
}

function OneEnd({ end: { piece, cut, key }, is, go }: { end: SetupEnd; is: boolean; go: (piece: string) => void }) {
  return (
    <li>
      <button type="button" role="checkbox" aria-checked={is} aria-label={`${readable(piece.name)} ${cut.end}`} onClick={() => turn(key)}>
        <span className="box" aria-hidden>
          {is ? "✓" : ""}
        </span>
      </button>
      <button type="button" className="what" onClick={() => go(piece.name)}>
        <span>
          <span className="quiet">{piece.number}</span> <strong>{readable(piece.name)}</strong> {cut.end}
        </span>
        <span className="number">{[cut.turn && `turn ${cut.turn}`, cut.back && `back ${cut.back}`].filter(Boolean).join(" · ")}</span>
      </button>
    </li>
  );
}
