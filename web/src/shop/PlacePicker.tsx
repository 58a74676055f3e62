import { useEffect, useId, useRef, useState } from "react";
import { readable } from "../base/names";
import type { MeasurePlace, MeasureSheet } from "../wire";
import { found, sideOf, type Spot } from "./reading";

/** So many are shown at once: more are found by typing. */
const SHOWN = 60;

/** All places that a tape can be held to, to pick one from. */
export function PlacePicker(props: { title: string; sheet: MeasureSheet; now: Spot | null; recent: readonly string[]; onPick: (place: string) => void; onClose: () => void }) {
  const { sheet, now, recent, onPick, onClose } = props;
  const [typed, setTyped] = useState("");
  const id = useId();
  const box = useRef<HTMLDialogElement>(null);
  useEffect(() => {
    box.current?.showModal();
    // On a phone the keys would cover the list.
    if (matchMedia("(pointer: fine)").matches) box.current?.querySelector("input")?.focus();
  }, []);
  const hits = found(sheet.places, typed);
  const again = typed.trim() === "" ? recent.flatMap((name) => sheet.places.find((p) => p.name === name) ?? []) : [];
  return (
    <dialog className="places" ref={box} aria-labelledby={id} onClose={onClose}>
      <header>
        <h2 id={id}>{props.title}</h2>
        <button type="button" onClick={onClose}>
          close
        </button>
      </header>
      <input
        type="search"
        aria-label="Search for a place"
        placeholder="part of a name or of its tube"
        autoComplete="off"
        autoCapitalize="none"
        spellCheck={false}
        value={typed}
        onChange={(e) => setTyped(e.target.value)}
        onKeyDown={(e) => {
          if (e.key === "Enter" && hits[0]) onPick(hits[0].name);
        }}
      />
      {again.length > 0 ? <List of={again} now={now} onPick={onPick} label="used last" /> : null}
      <List of={hits.slice(0, SHOWN)} now={now} onPick={onPick} label={again.length > 0 ? "all places" : ""} />
      {hits.length > SHOWN ? <p className="quiet">and {hits.length - SHOWN} more: type a part of the name</p> : null}
      {hits.length === 0 ? <p className="quiet">{sheet.places.length === 0 ? "The places are not here yet: they are fetched when the line is back." : "No place is called that."}</p> : null}
    </dialog>
  );
}

function List({ of, now, onPick, label }: { of: readonly MeasurePlace[]; now: Spot | null; onPick: (place: string) => void; label: string }) {
  return (
    <section>
      {label ? <h3 className="quiet">{label}</h3> : null}
      <ul>
        {of.map((p) => (
          <li key={p.name}>
            <button type="button" aria-current={p.name === now?.place || undefined} onClick={() => onPick(p.name)}>
              <strong>{readable(p.name)}</strong>
              <span className="quiet">{[p.mark ? "mark" : "", sideOf(p), [...new Set(p.tubes)].slice(0, 3).map(readable).join(", ") || "on no tube"].filter(Boolean).join(" · ")}</span>
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
