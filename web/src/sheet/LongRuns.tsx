import { Plain } from "../base/controls";
import { useStore } from "../base/store";
import type { Run, Word } from "../wire";
import { live } from "./desk";

const RUNS: Partial<Record<Word, { run: Run; start: string; what: string }>> = {
  rollover: { run: "tumbles", start: "throw it over many times", what: "Tumbles" },
  strength: { run: "collapse", start: "push the loads past yielding", what: "Collapse" },
};

/** What takes long is started, watched and stopped here. */
export function LongRuns({ word }: { word: Word }) {
  const running = useStore(live.store, (s) => s.running);
  const ended = useStore(live.store, (s) => s.ended);
  const of = RUNS[word];
  if (!of) return null;
  const part = running[of.run];
  const why = ended[of.run];
  return (
    <div className="run">
      {part === undefined ? (
        <Plain onPress={() => live.start(of.run)}>{of.start}</Plain>
      ) : (
        <>
          <label>
            {of.what}: <span className="number">{Math.round(part * 100)} %</span>
            <progress max={1} value={part} />
          </label>
          <Plain onPress={() => live.stop(of.run)}>stop</Plain>
        </>
      )}
      {why ? <p className="quiet">No result: {why}.</p> : null}
    </div>
  );
}
