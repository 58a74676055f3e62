/** The connection to the server, and what it says. One view at a time; meshes are kept by their key. */

import { Store } from "../base/store";
import type { Ask, Edit, ProblemText, ReadingChange, Run, ShopNews, Told, View } from "../wire";
import { decode, meshesOf, type Mesh } from "./decode";

export interface Live {
  /** Whether the server is heard. `lost` counts from the first drop until the next full view. */
  connection: "first" | "open" | "lost";
  /** What is shown: the design as it is, or a trial of it. */
  view: View | null;
  /** The design as it is. */
  real: View | null;
  meshes: ReadonlyMap<string, Mesh>;
  /** Why the last asked-for change was not made. */
  refused: readonly ProblemText[] | null;
  /** How far long runs are, from 0 to 1. */
  running: Readonly<Partial<Record<Run, number>>>;
  /** Why a long run has no result. */
  ended: Readonly<Partial<Record<Run, string>>>;
  /** Something in what was heard that could not be understood. */
  garbled: string | null;
}

type Pending = { resolve: (done: boolean) => void };

const BACK_OFF = [300, 700, 1500, 3000, 5000];

export class Connection {
  readonly store = new Store<Live>({
    connection: "first",
    view: null,
    real: null,
    meshes: new Map(),
    refused: null,
    running: {},
    ended: {},
    garbled: null,
  });
  private socket: WebSocket | null = null;
  private failures = 0;
  private nextId = 1;
  private readonly asked = new Map<number, Pending>();
  /** The trial that is being worked out, and the latest wish behind it. */
  private trial: number | null = null;
  private wish: Edit[] | null = null;
  private trying = false;
  private readonly shopHeard = new Set<(news: ShopNews) => void>();
  private readonly openHeard = new Set<() => void>();

  constructor(private readonly address: string) {}

  open(): void {
    const socket = new WebSocket(this.address);
    socket.binaryType = "arraybuffer";
    this.socket = socket;
    socket.onopen = () => {
      this.failures = 0;
      for (const hear of this.openHeard) hear();
    };
    socket.onmessage = (event: MessageEvent<ArrayBuffer | string>) => this.hear(event.data);
    socket.onclose = () => {
      this.socket = null;
      this.trial = null;
      this.wish = null;
      this.trying = false;
      for (const { resolve } of this.asked.values()) resolve(false);
      this.asked.clear();
      this.store.set({ view: this.store.get().real, connection: "lost", running: {} });
      const wait = BACK_OFF[Math.min(this.failures, BACK_OFF.length - 1)] as number;
      this.failures += 1;
      setTimeout(() => this.open(), wait);
    };
  }

  /** Opens anew, as when something else has shown that nobody hears. */
  again(): void {
    this.socket?.close();
  }

  onShop(listener: (news: ShopNews) => void): () => void {
    this.shopHeard.add(listener);
    return () => this.shopHeard.delete(listener);
  }

  onOpen(listener: () => void): () => void {
    this.openHeard.add(listener);
    return () => this.openHeard.delete(listener);
  }

  /** Whether something can be asked now. */
  get ready(): boolean {
    return this.socket?.readyState === WebSocket.OPEN;
  }

  /** Shows what changes would make. Called at any rate: the next goes out when the last answer came back. */
  attempt(edits: Edit[]): void {
    this.wish = edits;
    this.trying = true;
    this.nextTrial();
  }

  /** Forgets the trial. */
  letGo(): void {
    this.wish = null;
    if (!this.trying) return;
    this.trying = false;
    this.store.set({ view: this.store.get().real, refused: null });
    this.ask({ ask: "let_go" });
  }

  /** Makes changes; true if they were made. */
  make(what: string, edits: Edit[], who = ""): Promise<boolean> {
    this.wish = null;
    this.trying = false;
    return this.numbered((id) => ({ ask: "do", id, edits, what, who }));
  }

  undo(): Promise<boolean> {
    return this.numbered((id) => ({ ask: "undo", id }));
  }

  redo(): Promise<boolean> {
    return this.numbered((id) => ({ ask: "redo", id }));
  }

  goTo(state: number): Promise<boolean> {
    return this.numbered((id) => ({ ask: "go_to", id, state }));
  }

  /** Writes a measured sheet to be filled in. */
  beginSheet(): Promise<boolean> {
    return this.numbered((id) => ({ ask: "begin_sheet", id }));
  }

  /** Changes what becomes of a reading of the measured sheet. */
  changeReading(table: string, name: string, change: ReadingChange): Promise<boolean> {
    return this.numbered((id) => ({ ask: "reading", id, table, name, change }));
  }

  start(run: Run): void {
    const { running, ended } = this.store.get();
    if (this.ask({ ask: "start", run })) {
      this.store.set({ running: { ...running, [run]: 0 }, ended: { ...ended, [run]: undefined } });
    }
  }

  stop(run: Run): void {
    this.ask({ ask: "stop", run });
  }

  forgetRefusal(): void {
    this.store.set({ refused: null });
  }

  private nextTrial(): void {
    if (this.trial !== null || this.wish === null) return;
    const id = this.nextId++;
    if (!this.ask({ ask: "try", id, edits: this.wish })) return;
    this.trial = id;
    this.wish = null;
  }

  private numbered(say: (id: number) => Ask): Promise<boolean> {
    const id = this.nextId++;
    this.store.set({ refused: null });
    if (!this.ask(say(id))) {
      const what = "the page is not connected, so nothing was changed";
      this.store.set({ view: this.store.get().real, refused: [{ what, line: null, text: "", help: "wait until it is connected again" }] });
      return Promise.resolve(false);
    }
    return new Promise((resolve) => this.asked.set(id, { resolve }));
  }

  private ask(ask: Ask): boolean {
    if (!this.ready) return false;
    this.socket?.send(JSON.stringify(ask));
    return true;
  }

  private hear(data: ArrayBuffer | string): void {
    try {
      if (typeof data === "string") this.told(JSON.parse(data) as Told);
      else this.viewCame(data);
    } catch (error) {
      this.store.set({ garbled: error instanceof Error ? error.message : String(error) });
    }
  }

  private viewCame(data: ArrayBuffer): void {
    const { view, sent } = decode(data);
    const { meshes: kept, real: before } = this.store.get();
    let meshes = meshesOf(view, sent, kept);
    const trial = view.trial ?? null;
    if (trial !== null && before) {
      // The design as it is comes back without its numbers when the trial is let go.
      const back = meshesOf(before, sent, kept);
      meshes = new Map([...back, ...meshes]);
    }
    if (trial !== null) {
      if (trial === this.trial) this.trial = null;
      this.store.set({ meshes, ...(this.trying ? { view, refused: null } : {}), connection: "open" });
      this.nextTrial();
    } else {
      const shown = this.trying && this.store.get().view?.trial != null ? {} : { view };
      this.store.set({ ...shown, real: view, meshes, connection: "open", garbled: null });
    }
  }

  private told(told: Told): void {
    switch (told.told) {
      case "done":
        this.asked.get(told.id)?.resolve(true);
        this.asked.delete(told.id);
        break;
      case "refused":
        if (told.id === this.trial) {
          this.trial = null;
          if (this.trying) this.store.set({ refused: told.problems });
          this.nextTrial();
          break;
        }
        this.store.set({ refused: told.problems, view: this.store.get().real });
        this.asked.get(told.id)?.resolve(false);
        this.asked.delete(told.id);
        break;
      case "running":
        this.store.set({ running: { ...this.store.get().running, [told.run]: told.part } });
        break;
      case "ended": {
        const { running, ended } = this.store.get();
        this.store.set({
          running: { ...running, [told.run]: undefined },
          ended: { ...ended, [told.run]: told.why ?? undefined },
        });
        break;
      }
      case "shop":
        for (const hear of this.shopHeard) hear(told);
        break;
      case "view":
        throw new Error("a view came as text");
    }
  }
}

/** The socket of the server that gave this page. */
export function socketAddress(): string {
  return `${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/live`;
}
