/**
 * Measured lengths that are far from what is wanted and wait for an answer: kept as typed, or mended. They are on this
 * phone only, and outlive going on to another piece and loading the page anew.
 */

import { Store } from "../base/store";

const KEY = "tubewright.shop.asked";

export type Asked = Readonly<Record<string, string>>;
type Storage = Pick<globalThis.Storage, "getItem" | "setItem">;

export class Waiting {
  readonly store: Store<{ all: Asked }>;

  constructor(private readonly storage: Storage) {
    this.store = new Store<{ all: Asked }>({ all: read(storage) });
  }

  of(piece: string): string | undefined {
    return this.store.get().all[piece];
  }

  ask(piece: string, text: string): void {
    this.put({ ...this.store.get().all, [piece]: text });
  }

  answered(piece: string): void {
    const { [piece]: _, ...rest } = this.store.get().all;
    this.put(rest);
  }

  private put(all: Asked): void {
    this.store.set({ all });
    try {
      this.storage.setItem(KEY, JSON.stringify(all));
    } catch {
      // It is still there until the page is loaded anew.
    }
  }
}

function read(storage: Storage): Asked {
  try {
    const found: unknown = JSON.parse(storage.getItem(KEY) ?? "{}");
    if (typeof found !== "object" || found === null || Array.isArray(found)) return {};
    return Object.fromEntries(Object.entries(found).filter((e): e is [string, string] => typeof e[1] === "string"));
  } catch {
    return {};
  }
}
