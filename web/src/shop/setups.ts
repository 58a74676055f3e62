/** The ends of all pieces by what is set for them, and which of them this phone has ticked. */

import type { PieceCard, ShopCut } from "../wire";

export interface SetupEnd {
  piece: PieceCard;
  cut: ShopCut;
  /** What it is ticked by: it changes with the setting, so that a changed design asks for the end anew. */
  key: string;
}

export interface Setup {
  number: number;
  tool: string;
  set: string;
  ends: SetupEnd[];
}

/** Set-ups in their order. What an older program has left on the phone has none. */
export function bySetup(pieces: readonly PieceCard[]): Setup[] {
  const found = new Map<number, Setup>();
  for (const piece of pieces) {
    for (const cut of piece.ends.flatMap((end) => end.cuts ?? [])) {
      const setup = found.get(cut.setup) ?? { number: cut.setup, tool: cut.tool, set: cut.set, ends: [] };
      found.set(cut.setup, setup);
      setup.ends.push({ piece, cut, key: [piece.name, cut.end, cut.tool, cut.set, cut.turn, cut.back].join("|") });
    }
  }
  return [...found.values()].sort((a, b) => a.number - b.number);
}

interface Shelf {
  getItem(key: string): string | null;
  setItem(key: string, text: string): void;
}

const STORE = "tubewright.shop.ends";

/** Ends that are ticked on this phone; they are kept over a reload. */
export class TickedEnds {
  private keys: Set<string>;

  constructor(private readonly shelf: Shelf) {
    this.keys = new Set(read(shelf));
  }

  all(): ReadonlySet<string> {
    return this.keys;
  }

  turn(key: string): void {
    this.keys = new Set(this.keys);
    if (!this.keys.delete(key)) this.keys.add(key);
    try {
      this.shelf.setItem(STORE, JSON.stringify([...this.keys]));
    } catch {
      // A full phone still shows them until it is reloaded.
    }
  }
}

function read(shelf: Shelf): string[] {
  try {
    const list: unknown = JSON.parse(shelf.getItem(STORE) ?? "[]");
    return Array.isArray(list) ? list.filter((k): k is string => typeof k === "string") : [];
  } catch {
    return [];
  }
}
