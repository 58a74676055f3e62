/** What the phone knows: the pieces, what was done to them, what is kept here. */

import type { Got } from "../base/api";
import { Store } from "../base/store";
import type { PieceCard, ShopAsk, ShopNews } from "../wire";
import { Connection, socketAddress } from "../wire/live";
import { Queue } from "./queue";
import { after, merge, type ShopState } from "./state";

export interface Shop {
  pieces: readonly PieceCard[];
  /** Name of the design. */
  name: string;
  unit: string;
  news: ShopNews;
  /** What was done, with what is only kept here so far. */
  done: ShopState;
  kept: number;
  trouble: string | null;
  online: boolean;
  loaded: boolean;
  who: string;
}

/** How long a send may take, and how often the news is asked for beside the socket, ms. */
const SEND_WAIT = 8000;
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

async function send(ask: ShopAsk): Promise<ShopNews> {
  const response = await fetch("/api/shop", {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(ask),
    // In a corner without reception nothing says no: then it is sent again.
    signal: AbortSignal.timeout(SEND_WAIT),
  });
  if (!response.ok) throw new Error(`the server answered ${response.status}`);
  return (await response.json()) as ShopNews;
}

const first: ShopNews = stored("news", { number: 0, events: [] });

export const shop = new Store<Shop>({
  pieces: stored("pieces", []),
  name: stored("name", ""),
  unit: stored("unit", ""),
  news: first,
  done: after(new Map(), first.events),
  kept: 0,
  trouble: null,
  online: false,
  loaded: false,
  who: stored("who", ""),
});

export const queue = new Queue(localStorage, send, (news) => hear(news, false));

function refresh(): void {
  const { news } = shop.get();
  if (queue.failing) shop.set({ online: false });
  shop.set({
    kept: queue.kept,
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
  const next = { number: whole ? all.number : known.number, events: all.events };
  shop.set({ news: next, online: true });
  keep("news", next);
  refresh();
}

export function setWho(who: string): void {
  keep("who", who);
  shop.set({ who });
}

let started = false;

export function startShop(pieces: () => Promise<Got<PieceCard[]>>, since: (number: number) => Promise<Got<ShopNews>>): void {
  if (started) return;
  started = true;
  const live = new Connection(socketAddress());
  const ask = async (): Promise<void> => {
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
  live.store.hear(() => {
    const { connection, real } = live.store.get();
    if (connection !== "open" || !queue.failing) shop.set({ online: connection === "open" });
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
