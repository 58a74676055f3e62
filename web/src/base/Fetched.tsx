import { useEffect, useState, type ReactNode } from "react";
import type { Got } from "./api";

/** Asks once for each key, and shows what came or says in a sentence that it did not. */
export function Fetched<T>(props: {
  of: string;
  ask: () => Promise<Got<T>>;
  absent: string;
  children: (value: T) => ReactNode;
}): ReactNode {
  const [got, setGot] = useState<{ of: string; answer: Got<T> } | null>(null);
  useEffect(() => {
    let wanted = true;
    void props.ask().then((answer) => wanted && setGot({ of: props.of, answer }));
    return () => {
      wanted = false;
    };
    // The key says when to ask again.
  }, [props.of]);
  if (!got || got.of !== props.of) return <p className="quiet">…</p>;
  if (got.answer.is === "there") return props.children(got.answer.value);
  return <p className="quiet">{got.answer.is === "absent" ? props.absent : `Not shown: ${got.answer.why}.`}</p>;
}
