import { getText } from "../base/api";
import { Fetched } from "../base/Fetched";
import { useStore } from "../base/store";
import { Svg } from "../base/Svg";
import { live, pick } from "./desk";

export function StockPicture() {
  const state = useStore(live.store, (s) => `${s.real?.state} ${s.real?.settled}`);
  return (
    <section className="table">
      <h3>The sticks</h3>
      <Fetched of={`stock ${state}`} ask={() => getText("/api/stock.svg")} absent="There is no picture of the sticks yet.">
        {(svg) => (
          <div className="wide sticks-wide" tabIndex={0} role="group" aria-label="Sticks">
            <Svg text={svg} label="The sticks, and what is cut from them" onPiece={(name) => pick({ kind: "tube", name })} />
          </div>
        )}
      </Fetched>
    </section>
  );
}
