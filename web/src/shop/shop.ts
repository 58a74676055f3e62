/** What the phone knows: the pieces, what was done to them, what is kept here. */

import type { Got } from "../base/api";
import { Store } from "../base/store";
import type { MeasureSheet, PieceCard, Reading, ShopNews } from "../wire";
import { Connection, socketAddress } from "../wire/live";
import { Queue, type Refused } from "./queue";
import { meanwhile } from "./recent";
import { send } from "./send";
import { after, merge, type ShopState } from "./state";

export interface Shop {
  pieces: readonly PieceCard[];
  /** Name of the design. */
  name: string;
  unit: string;
  news: ShopNews;
  /** What was done, with what is only kept here so far. */
  done: ShopState;
  /** What is needed to measure on the car; null until it was fetched once. */
  measure: MeasureSheet | null;
  /** Readings that are only kept here so far. */
  readings: readonly Reading[];
  /** Why some of them could not be written down yet. */
  held: ReadonlyMap<string, string>;
  /** Readings that were not taken in: they wait to be mended. */
  refused: readonly Refused[];
  kept: number;
  trouble: string | null;
  online: boolean;
  loaded: boolean;
  who: string;
}

/** How often the news is asked for beside the socket, ms. */
const ASK_EVERY = 15000;

const STORE = "tubewright.shop.";

function stored<T>(key: string, none: T): T {
  try {
    const text = localStorage.getItem(STORE + key);
    return text === null ? none : (JSON.parse(text) as T);
  } catch {
    return none;
  }
}

function keep(key: string, value: unknown): void {
  try {
    localStorage.setItem(STORE + key, JSON.stringify(value));
  } catch {
    // What is kept here beside the queue only saves asking again.
  }
}

const first: ShopNews = stored("news", { number: 0, events: [], refused: [] });

export const shop = new Store<Shop>({
  pieces: stored("pieces", []),
  name: stored("name", ""),
  unit: stored("unit", ""),
  news: first,
  done: after(new Map(), first.events),
  measure: stored("measure", null),
  readings: [],
  held: new Map(),
  refused: stored("refused", []),
  kept: 0,
  trouble: null,
  online: false,
  loaded: false,
  who: stored("who", ""),
});

export const queue = new Queue(localStorage, send, (news) => hear(news, false), undefined, (more) => setRefused([...more, ...shop.get().refused]));

function setRefused(refused: readonly Refused[]): void {
  shop.set({ refused });
  keep("refused", refused);
}

/** A reading that was not taken in is mended, or given up. */
export function forgetRefused(id: string): void {
  setRefused(shop.get().refused.filter((r) => r.reading.id !== id));
}

function refresh(): void {
  const { news } = shop.get();
  if (queue.failing) shop.set({ online: false });
  shop.set({
    kept: queue.kept,
    readings: queue.readings(),
    held: queue.held,
    trouble: queue.trouble,
    done: after(after(new Map(), news.events), queue.pending()),
  });
}
queue.hear(refresh);
refresh();

/** News from the server. What a send brings back may skip what others did meanwhile: then the number stays. */
function hear(news: ShopNews, whole: boolean): void {
  const known = shop.get().news;
  const { all } = merge(known, news);
  const next: ShopNews = { number: whole ? all.number : known.number, events: all.events, refused: [] };
  shop.set({ news: next, online: true });
  keep("news", next);
  refresh();
}

export function setWho(who: string): void {
  keep("who", who);
  shop.set({ who });
}

function takeMeasure(next: MeasureSheet): void {
  const measure = meanwhile(shop.get().measure, next);
  shop.set({ measure });
  keep("measure", measure);
}

let started = false;

export interface Asking {
  pieces: () => Promise<Got<PieceCard[]>>;
  since: (number: number) => Promise<Got<ShopNews>>;
  measure: () => Promise<Got<MeasureSheet>>;
}

export function startShop({ pieces, since, measure }: Asking): void {
  if (started) return;
  started = true;
  const live = new Connection(socketAddress());
  const askMeasure = async (): Promise<void> => {
    const got = await measure();
    if (got.is === "there") takeMeasure(got.value);
  };
  const ask = async (): Promise<void> => {
    void askMeasure();
    const got = await pieces();
    if (got.is === "there") {
      shop.set({ pieces: got.value, loaded: true });
      keep("pieces", got.value);
    } else shop.set({ loaded: true });
    const news = await since(shop.get().news.number);
    if (news.is === "there") hear(news.value, true);
  };
  live.onShop((news) => hear(news, false));
  live.onOpen(() => {
    queue.wake();
    void ask();
  });
  let state = -1;
  let sheet = "";
  live.store.hear(() => {
    const { connection, real } = live.store.get();
    if (connection !== "open" || !queue.failing) shop.set({ online: connection === "open" });
    if (real && real.trial == null) {
      // The frame as built changes pieces; the settled plan may take them from other sticks.
      const now = `${real.sheet.is} ${real.sheet.laid} ${real.settled}`;
      if (sheet !== "" && now !== sheet && real.state === state) void ask();
      sheet = now;
    }
    if (real && real.trial == null && real.state !== state) {
      // The pieces follow the design.
      if (state !== -1) void ask();
      state = real.state;
      shop.set({ name: real.name, unit: real.unit });
      keep("name", real.name);
      keep("unit", real.unit);
    }
  });
  // A socket in a corner without reception looks open for minutes: what is asked for shows whether it is.
  const check = async (): Promise<void> => {
    const got = await since(shop.get().news.number);
    if (got.is === "there") hear(got.value, true);
    else {
      shop.set({ online: false });
      live.again();
    }
  };
  setInterval(() => document.visibilityState === "visible" && void check(), ASK_EVERY);
  queue.hear(() => queue.failing && live.again());
  window.addEventListener("offline", () => shop.set({ online: false }));
  window.addEventListener("online", () => queue.wake());
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && queue.wake());
  live.open();
  void ask();
}
