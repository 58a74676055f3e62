/**
 * What a phone has done and the server has not acknowledged yet. It is written to the phone's storage before it is
 * sent, and forgotten only when the server says that it is durable; the server counts one id once, so sending twice
 * does no harm.
 */

import { newId } from "../base/ids";
import type { Measured, Operation, ShopAsk, ShopEvent, ShopNews, Tick, Used } from "../wire";

export type Storage = Pick<globalThis.Storage, "getItem" | "setItem">;
/** Sends, and gives the server's news once it is durable; fails if that can't be known. */
export type Send = (ask: ShopAsk) => Promise<ShopNews>;

const KEY = "tubewright.shop.queue";
/** Waits between tries, ms. */
const BACK_OFF = [500, 1000, 2000, 4000, 8000];

type Entry = { kind: "tick"; tick: Tick } | { kind: "measured"; measured: Measured } | { kind: "used"; used: Used };

/** An entry as the event that it will become. */
function eventOf(entry: Entry): ShopEvent {
  switch (entry.kind) {
    case "tick":
      return { event: "tick", ...entry.tick };
    case "measured":
      return { event: "measured", ...entry.measured };
    case "used":
      return { event: "used", ...entry.used };
  }
}

const idOf = (entry: Entry): string => eventOf(entry).id;

export class Queue {
  private entries: Entry[];
  private sending: Promise<void> | null = null;
  private failures = 0;
  private timer: ReturnType<typeof setTimeout> | null = null;
  private readonly heard = new Set<() => void>();
  /** Why nothing more can be kept on this phone, if so. */
  trouble: string | null = null;

  constructor(
    private readonly storage: Storage,
    private readonly send: Send,
    private readonly onNews: (news: ShopNews) => void,
    private readonly key = KEY,
  ) {
    this.entries = this.read();
  }

  /** How many are kept. */
  get kept(): number {
    return this.entries.length;
  }

  /** Whether the last send did not come through. */
  get failing(): boolean {
    return this.failures > 0;
  }

  /** What is kept, as the events that they will become. */
  pending(): ShopEvent[] {
    return this.entries.map(eventOf);
  }

  hear(listener: () => void): () => void {
    this.heard.add(listener);
    return () => this.heard.delete(listener);
  }

  tick(piece: string, operation: Operation, done: boolean, who: string): void {
    this.keep({ kind: "tick", tick: { id: newId(), piece, operation, done, who, at: Date.now() } });
  }

  measured(piece: string, what: string, text: string, who: string): void {
    this.keep({ kind: "measured", measured: { id: newId(), piece, what, text, who, at: Date.now() } });
  }

  used(piece: string, stick: string, left: string, who: string): void {
    this.keep({ kind: "used", used: { id: newId(), piece, stick, left, who, at: Date.now() } });
  }

  /** Sends what is kept, if it is not being sent already. */
  flush(): Promise<void> {
    this.sending ??= this.push().finally(() => {
      this.sending = null;
    });
    return this.sending;
  }

  /** Tries at once, as after the connection came back. */
  wake(): void {
    this.later(0);
  }

  private keep(entry: Entry): void {
    this.entries = [...this.withStored(), entry];
    this.write();
    this.tell();
    this.later(0);
  }

  private async push(): Promise<void> {
    while (this.entries.length > 0) {
      const batch = [...this.entries];
      const ask: ShopAsk = {
        ticks: batch.flatMap((e) => (e.kind === "tick" ? [e.tick] : [])),
        measured: batch.flatMap((e) => (e.kind === "measured" ? [e.measured] : [])),
        used: batch.flatMap((e) => (e.kind === "used" ? [e.used] : [])),
      };
      let news: ShopNews;
      try {
        news = await this.send(ask);
      } catch {
        const wait = BACK_OFF[Math.min(this.failures, BACK_OFF.length - 1)] as number;
        this.failures += 1;
        this.tell();
        this.later(wait);
        return;
      }
      this.failures = 0;
      const gone = new Set(batch.map(idOf));
      this.entries = this.withStored().filter((e) => !gone.has(idOf(e)));
      this.write();
      this.onNews(news);
      this.tell();
    }
  }

  // Another tab of this phone may have kept something: read before writing, so that nothing of it is lost.
  private withStored(): Entry[] {
    const stored = this.read();
    const ids = new Set(stored.map(idOf));
    return [...stored, ...this.entries.filter((e) => !ids.has(idOf(e)))];
  }

  private later(wait: number): void {
    if (this.timer !== null) clearTimeout(this.timer);
    this.timer = setTimeout(() => {
      this.timer = null;
      void this.flush();
    }, wait);
  }

  private read(): Entry[] {
    try {
      const text = this.storage.getItem(this.key);
      const read: unknown = text === null ? [] : JSON.parse(text);
      if (Array.isArray(read)) return read as Entry[];
    } catch {
      // Unreadable storage holds nothing that could be sent.
    }
    return [];
  }

  private write(): void {
    try {
      this.storage.setItem(this.key, JSON.stringify(this.entries));
      this.trouble = null;
    } catch {
      this.trouble = "This phone’s storage is full: what you tick is lost if the page is closed before it is sent.";
    }
  }

  private tell(): void {
    for (const hear of this.heard) hear();
  }
}
