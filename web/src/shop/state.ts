/** What has been done to each piece, from the events in their order. */

import type { Measured, Operation, ShopEvent, ShopNews, Tick, Used } from "../wire";

export interface Done {
  /** The last tick of each operation. */
  ticks: Partial<Record<Operation, Tick>>;
  /** The last measured length of each kind. */
  measured: Record<string, Measured>;
  /** The stick that it was cut from. */
  used: Used | null;
}

export type ShopState = ReadonlyMap<string, Done>;

const NOTHING: Done = { ticks: {}, measured: {}, used: null };

export const doneTo = (state: ShopState, piece: string): Done => state.get(piece) ?? NOTHING;

/** The state after more events. */
export function after(state: ShopState, events: readonly ShopEvent[]): ShopState {
  if (events.length === 0) return state;
  const out = new Map(state);
  for (const event of events) {
    const old = out.get(event.piece) ?? NOTHING;
    if (event.event === "tick") {
      out.set(event.piece, { ...old, ticks: { ...old.ticks, [event.operation]: event } });
    } else if (event.event === "used") {
      out.set(event.piece, { ...old, used: event.left === "" ? null : event });
    } else {
      out.set(event.piece, { ...old, measured: { ...old.measured, [event.what]: event } });
    }
  }
  return out;
}

/** News on top of what is known: events that are known already are left out, whichever way they came. */
export function merge(known: ShopNews, news: ShopNews): { all: ShopNews; fresh: ShopEvent[] } {
  const ids = new Set(known.events.map((e) => e.id));
  const fresh = news.events.filter((e) => !ids.has(e.id));
  return { all: { number: Math.max(known.number, news.number), events: [...known.events, ...fresh], refused: [] }, fresh };
}
