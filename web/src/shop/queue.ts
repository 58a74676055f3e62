/**
 * What a phone has done and the server has not acknowledged yet. It is written to the phone's storage before it is
 * sent, and forgotten only when the server says that it is durable; the server counts one id once, so sending twice
 * does no harm.
 */

import { newId } from "../base/ids";
import type { Measured, Operation, Reading, ShopAsk, ShopEvent, ShopNews, Tick, Used } from "../wire";

export type Storage = Pick<globalThis.Storage, "getItem" | "setItem">;
/** Sends, and gives the server's news once it is durable; fails if that can't be known. */
export type Send = (ask: ShopAsk) => Promise<ShopNews>;

const KEY = "tubewright.shop.queue";
/** Waits between tries, ms. */
const BACK_OFF = [500, 1000, 2000, 4000, 8000];

/** Wait before a reading is sent again that the server could not write down, ms. */
const HELD = 8000;

type Done = { kind: "tick"; tick: Tick } | { kind: "measured"; measured: Measured } | { kind: "used"; used: Used };
type Entry = Done | { kind: "reading"; reading: Reading };

/** An entry as the event that it will become. */
function eventOf(entry: Done): ShopEvent {
  switch (entry.kind) {
    case "tick":
      return { event: "tick", ...entry.tick };
    case "measured":
      return { event: "measured", ...entry.measured };
    case "used":
      return { event: "used", ...entry.used };
  }
}

const idOf = (entry: Entry): string => (entry.kind === "reading" ? entry.reading.id : eventOf(entry).id);

/** A reading that the server has not taken in. */
export interface Refused {
  reading: Reading;
  why: string;
}

export class Queue {
  private entries: Entry[];
  private sending: Promise<void> | null = null;
  private failures = 0;
  private timer: ReturnType<typeof setTimeout> | null = null;
  private readonly heard = new Set<() => void>();
  /** Why nothing more can be kept on this phone, if so. */
  trouble: string | null = null;
  /** Why readings that are kept could not be written down yet, by their ids. */
  held: ReadonlyMap<string, string> = new Map();

  constructor(
    private readonly storage: Storage,
    private readonly send: Send,
    private readonly onNews: (news: ShopNews) => void,
    private readonly key = KEY,
    /** Told of readings that make no sense to send again: they are no longer kept here. */
    private readonly onRefused: (refused: readonly Refused[]) => void = () => {},
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
    return this.entries.flatMap((e) => (e.kind === "reading" ? [] : [eventOf(e)]));
  }

  /** Readings that are kept. */
  readings(): Reading[] {
    return this.entries.flatMap((e) => (e.kind === "reading" ? [e.reading] : []));
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

  reading(read: Pick<Reading, "tool" | "places" | "over" | "reads" | "again">, who: string): void {
    this.keep({ kind: "reading", reading: { ...read, id: newId(), who, at: Date.now() } });
  }

  /** Forgets a reading that was not sent yet, or could not be written down. */
  drop(id: string): void {
    this.entries = this.withStored().filter((e) => e.kind !== "reading" || e.reading.id !== id);
    this.write();
    this.tell();
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
        readings: batch.flatMap((e) => (e.kind === "reading" ? [e.reading] : [])),
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
      const refused = new Map((news.refused ?? []).map((r) => [r.id, r] as const));
      this.held = new Map([...refused.values()].flatMap((r) => (r.later ? [[r.id, r.why] as const] : [])));
      const lost = batch.flatMap((e) => {
        const why = e.kind === "reading" ? refused.get(e.reading.id) : undefined;
        return e.kind === "reading" && why && !why.later ? [{ reading: e.reading, why: why.why }] : [];
      });
      const gone = new Set(batch.map(idOf).filter((id) => !this.held.has(id)));
      // Kept elsewhere before it is forgotten here.
      if (lost.length > 0) this.onRefused(lost);
      this.entries = this.withStored().filter((e) => !gone.has(idOf(e)));
      this.write();
      this.onNews(news);
      this.tell();
      if (this.held.size > 0 && this.entries.every((e) => this.held.has(idOf(e)))) {
        this.later(HELD);
        return;
      }
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
