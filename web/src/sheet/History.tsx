import { useState } from "react";
import { getJson } from "../base/api";
import { Plain, Sheet } from "../base/controls";
import { clock } from "../base/names";
import { Fetched } from "../base/Fetched";
import { useStore } from "../base/store";
import { desk, live } from "./desk";

interface State {
  state: number;
  at: number | string;
  who: string;
  what: string;
  current: boolean;
}

/** The number of a record's first state. */
const FIRST = 1;

/** Every state that the design has been in; any of them can be gone back to. */
export function History() {
  const open = useStore(desk, (d) => d.panel === "history");
  return (
    <Sheet title="History" open={open} onClose={() => desk.set({ panel: null })}>
      {open ? <States /> : null}
    </Sheet>
  );
}

function States() {
  const now = useStore(live.store, (s) => s.real?.state ?? 0);
  const [before, setBefore] = useState<number | null>(null);
  const path = before === null ? "/api/history" : `/api/history?before=${before}`;
  return (
    <Fetched of={`${now} ${path}`} ask={() => getJson<State[]>(path)} absent="There is no history yet.">
      {(states) => (
        <>
          <ol className="history">
            {states.map((s) => (
              <li key={s.state} aria-current={s.current ? "true" : undefined}>
                <time className="number">{when(s.at)}</time>
                <span>
                  {s.what}
                  {s.who ? <span className="quiet"> · {s.who}</span> : null}
                </span>
                {s.current ? <span className="quiet">shown</span> : <Plain className="small" onPress={() => void live.goTo(s.state)}>go there</Plain>}
              </li>
            ))}
          </ol>
          <p className="row">
            {before !== null ? <Plain onPress={() => setBefore(null)}>newest</Plain> : null}
            {(states.at(-1)?.state ?? FIRST) > FIRST ? <Plain onPress={() => setBefore(states.at(-1)?.state ?? null)}>older</Plain> : null}
          </p>
        </>
      )}
    </Fetched>
  );
}

function when(at: number | string): string {
  const date = new Date(at);
  if (Number.isNaN(date.getTime())) return String(at);
  const time = clock(date);
  return date.toDateString() === new Date().toDateString() ? time : `${date.toLocaleDateString()} ${time}`;
}
