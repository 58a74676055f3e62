import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { Queue, type Refused, type Storage } from "../src/shop/queue";
import { after, doneTo, merge } from "../src/shop/state";
import type { Reading, RefusedReading, ShopAsk, ShopEvent, ShopNews } from "../src/wire";

class Memory implements Storage {
  readonly held = new Map<string, string>();
  full = false;
  getItem(key: string): string | null {
    return this.held.get(key) ?? null;
  }
  setItem(key: string, value: string): void {
    if (this.full) throw new Error("full");
    this.held.set(key, value);
  }
}

/** A server that counts one id once, as the real one must. */
class Server {
  readonly events: ShopEvent[] = [];
  readonly sheet = new Map<string, Reading>();
  /** What is wrong with a reading, if something is. */
  refuse: (r: Reading) => RefusedReading[] = () => [];
  asked = 0;
  /** What happens to the next sends: `lost` before or `deaf` after the server wrote them down. */
  next: ("lost" | "deaf")[] = [];
  send = async (ask: ShopAsk): Promise<ShopNews> => {
    this.asked += 1;
    const fate = this.next.shift();
    if (fate === "lost") throw new Error("no connection");
    const all: ShopEvent[] = [
      ...(ask.ticks ?? []).map((t) => ({ event: "tick" as const, ...t })),
      ...(ask.measured ?? []).map((m) => ({ event: "measured" as const, ...m })),
    ];
    const known = new Set(this.events.map((e) => e.id));
    const fresh = all.filter((e) => !known.has(e.id));
    this.events.push(...fresh);
    const refused = (ask.readings ?? []).flatMap((r) => this.refuse(r));
    const turned = new Set(refused.map((r) => r.id));
    for (const r of ask.readings ?? []) if (!turned.has(r.id)) this.sheet.set(r.id, r);
    if (fate === "deaf") throw new Error("the answer was lost");
    return { number: this.events.length, events: fresh, refused };
  };
}

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

const piece = "upper_stay";

describe("a phone's queue", () => {
  it("sends at once while connected, and forgets what is acknowledged", async () => {
    const server = new Server();
    const news: ShopNews[] = [];
    const queue = new Queue(new Memory(), server.send, (n) => news.push(n));
    queue.tick(piece, "cut", true, "Ann");
    expect(queue.kept).toBe(1);
    await vi.advanceTimersByTimeAsync(1);
    expect(queue.kept).toBe(0);
    expect(server.events).toHaveLength(1);
    expect(news[0]?.events[0]).toMatchObject({ event: "tick", piece, operation: "cut", done: true, who: "Ann" });
  });

  it("keeps everything in order over a dropped connection, and sends it when it is back", async () => {
    const server = new Server();
    server.next = ["lost", "lost", "lost"];
    const queue = new Queue(new Memory(), server.send, () => {});
    queue.tick(piece, "cut", true, "");
    await vi.advanceTimersByTimeAsync(1);
    queue.tick(piece, "notched", true, "");
    queue.tick(piece, "cut", false, "");
    await vi.advanceTimersByTimeAsync(1);
    expect(queue.kept).toBe(3);
    expect(queue.failing).toBe(true);
    await vi.advanceTimersByTimeAsync(20000);
    expect(queue.kept).toBe(0);
    expect(queue.failing).toBe(false);
    expect(server.events.map((e) => e.event === "tick" && [e.operation, e.done])).toEqual([
      ["cut", true],
      ["notched", true],
      ["cut", false],
    ]);
  });

  it("sends again what the server may not have heard, with the same id: it counts once", async () => {
    const server = new Server();
    server.next = ["deaf"];
    const queue = new Queue(new Memory(), server.send, () => {});
    queue.measured(piece, "over long points", "862.0", "");
    await vi.advanceTimersByTimeAsync(1);
    expect(queue.kept).toBe(1);
    expect(server.events).toHaveLength(1);
    await vi.advanceTimersByTimeAsync(20000);
    expect(server.asked).toBe(2);
    expect(queue.kept).toBe(0);
    expect(server.events).toHaveLength(1);
  });

  it("does not lose what is ticked while a send is under way", async () => {
    const server = new Server();
    let release = (): void => {};
    const held = new Promise<void>((done) => (release = done));
    const queue = new Queue(new Memory(), async (ask) => (await held, server.send(ask)), () => {});
    queue.tick(piece, "cut", true, "");
    await vi.advanceTimersByTimeAsync(1);
    queue.tick(piece, "notched", true, "");
    release();
    await vi.advanceTimersByTimeAsync(10);
    expect(queue.kept).toBe(0);
    expect(server.events).toHaveLength(2);
  });

  it("outlives the page being closed", async () => {
    const server = new Server();
    server.next = ["lost"];
    const memory = new Memory();
    const before = new Queue(memory, server.send, () => {});
    before.tick(piece, "bent", true, "");
    await vi.advanceTimersByTimeAsync(1);
    vi.clearAllTimers();
    const afterReload = new Queue(memory, server.send, () => {});
    expect(afterReload.kept).toBe(1);
    expect(afterReload.pending()[0]).toMatchObject({ event: "tick", operation: "bent" });
    await afterReload.flush();
    expect(afterReload.kept).toBe(0);
    expect(server.events).toHaveLength(1);
    expect(new Queue(memory, server.send, () => {}).kept).toBe(0);
  });

  it("keeps what another tab of the phone has kept", async () => {
    const server = new Server();
    server.next = ["lost", "lost"];
    const memory = new Memory();
    const one = new Queue(memory, server.send, () => {});
    const two = new Queue(memory, server.send, () => {});
    one.tick(piece, "cut", true, "");
    two.tick(piece, "notched", true, "");
    expect(new Queue(memory, server.send, () => {}).kept).toBe(2);
    await vi.advanceTimersByTimeAsync(20000);
    expect(server.events).toHaveLength(2);
    expect(new Queue(memory, server.send, () => {}).kept).toBe(0);
  });

  it("says so when the phone's storage is full, and still sends", async () => {
    const server = new Server();
    const memory = new Memory();
    memory.full = true;
    const queue = new Queue(memory, server.send, () => {});
    queue.tick(piece, "cut", true, "");
    expect(queue.trouble).toMatch(/storage is full/);
    expect(queue.kept).toBe(1);
    await vi.advanceTimersByTimeAsync(1);
    expect(server.events).toHaveLength(1);
  });
});

describe("readings on the car", () => {
  const read = (reads: number) => ({ tool: "tape" as const, places: ["foot", "foot~"], over: "", reads, again: null });

  it("wait for the line, and are sent with the id that they had", async () => {
    const server = new Server();
    server.next = ["lost", "deaf"];
    const memory = new Memory();
    const queue = new Queue(memory, server.send, () => {});
    queue.reading(read(0.6), "Ida");
    queue.tick(piece, "cut", true, "");
    await vi.advanceTimersByTimeAsync(1);
    expect(queue.readings()).toHaveLength(1);
    expect(queue.pending()).toHaveLength(1);
    const id = queue.readings()[0]?.id;
    // The page was closed meanwhile.
    vi.clearAllTimers();
    const later = new Queue(memory, server.send, () => {});
    await later.flush();
    await vi.advanceTimersByTimeAsync(20000);
    expect(server.asked).toBe(3);
    expect([...server.sheet.keys()]).toEqual([id]);
    expect(server.sheet.get(id as string)).toMatchObject({ who: "Ida", reads: 0.6 });
    expect(later.kept).toBe(0);
  });

  it("that can't be written down yet are kept, and hold nothing else up", async () => {
    const server = new Server();
    server.refuse = (r) => [{ id: r.id, why: "line 7", later: true }];
    const queue = new Queue(new Memory(), server.send, () => {});
    queue.reading(read(0.6), "");
    queue.tick(piece, "cut", true, "");
    await vi.advanceTimersByTimeAsync(100);
    expect(server.events).toHaveLength(1);
    expect(queue.kept).toBe(1);
    expect(queue.failing).toBe(false);
    expect([...queue.held.values()]).toEqual(["line 7"]);
    // It is not asked without end.
    expect(server.asked).toBeLessThan(4);
    queue.tick(piece, "bent", true, "");
    await vi.advanceTimersByTimeAsync(1);
    expect(server.events).toHaveLength(2);
    server.refuse = () => [];
    await vi.advanceTimersByTimeAsync(10000);
    expect(queue.kept).toBe(0);
    expect(server.sheet.size).toBe(1);
    expect(queue.held.size).toBe(0);
  });

  it("that make no sense come back with their reason, and are not sent again", async () => {
    const server = new Server();
    server.refuse = (r) => (r.reads > 1 ? [{ id: r.id, why: "no such point", later: false }] : []);
    const back: Refused[] = [];
    const queue = new Queue(new Memory(), server.send, () => {}, undefined, (more) => back.push(...more));
    queue.reading(read(0.6), "");
    queue.reading(read(1.6), "");
    await vi.advanceTimersByTimeAsync(20000);
    expect(server.sheet.size).toBe(1);
    expect(queue.kept).toBe(0);
    expect(back.map((b) => [b.reading.reads, b.why])).toEqual([[1.6, "no such point"]]);
    expect(server.asked).toBe(1);
  });

  it("can be forgotten while they wait", async () => {
    const server = new Server();
    server.next = ["lost"];
    const queue = new Queue(new Memory(), server.send, () => {});
    queue.reading(read(0.6), "");
    await vi.advanceTimersByTimeAsync(1);
    queue.drop(queue.readings()[0]?.id as string);
    await vi.advanceTimersByTimeAsync(20000);
    expect(server.sheet.size).toBe(0);
  });
});

describe("what is done to a piece", () => {
  const tick = (id: string, done: boolean): ShopEvent => ({ event: "tick", id, piece, operation: "cut", done, who: "", at: 1 });

  it("follows the last event", () => {
    const state = after(new Map(), [tick("1", true), tick("2", false)]);
    expect(doneTo(state, piece).ticks.cut?.done).toBe(false);
    expect(doneTo(state, "other").ticks).toEqual({});
  });

  it("counts news once, whichever way it comes", () => {
    const first = merge({ number: 0, events: [], refused: [] }, { number: 1, events: [tick("1", true)], refused: [] });
    const again = merge(first.all, { number: 2, events: [tick("1", true), tick("2", false)], refused: [] });
    expect(again.fresh.map((e) => e.id)).toEqual(["2"]);
    expect(again.all).toMatchObject({ number: 2 });
    expect(again.all.events).toHaveLength(2);
  });
});
