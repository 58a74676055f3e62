import { useSyncExternalStore } from "react";

/** State that components read a part of, and that the drawing listens to without React. */
export class Store<T extends object> {
  private readonly heard = new Set<() => void>();
  constructor(private state: T) {}

  get(): T {
    return this.state;
  }

  set(change: Partial<T>): void {
    let same = true;
    for (const key of Object.keys(change) as (keyof T)[]) {
      if (!Object.is(this.state[key], change[key])) same = false;
    }
    if (same) return;
    this.state = { ...this.state, ...change };
    for (const hear of this.heard) hear();
  }

  hear(listener: () => void): () => void {
    this.heard.add(listener);
    return () => this.heard.delete(listener);
  }
}

/** A part of a store's state; `pick` must give the same thing for the same state. */
export function useStore<T extends object, R>(store: Store<T>, pick: (state: T) => R): R {
  return useSyncExternalStore(
    (listener) => store.hear(listener),
    () => pick(store.get()),
  );
}
