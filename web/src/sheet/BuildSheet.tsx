import { useEffect, useState } from "react";
import { getJson } from "../base/api";
import { Plain } from "../base/controls";
import { newId } from "../base/ids";
import { useStore } from "../base/store";
import { FRESH } from "../shop/reading";
import { ReadingForm, type Read } from "../shop/ReadingForm";
import { meanwhile, recentOf } from "../shop/recent";
import { Next, sheetRuler, titleOf, valueOf } from "../shop/Readings";
import { nextOf } from "../shop/reading";
import { send } from "../shop/send";
import type { MeasureSheet } from "../wire";
import { desk, live } from "./desk";

/** Begins the measured sheet, and writes readings into it. */
export function BuildSheet() {
  const head = useStore(live.store, (s) => s.real?.sheet);
  const draft = useStore(desk, (d) => d.reading);
  const [sheet, setSheet] = useState<MeasureSheet | null>(null);
  const state = useStore(live.store, (s) => s.real?.state);
  const open = draft !== null;
  const key = `${head?.is} ${head?.laid} ${state}`;
  useEffect(() => {
    if (!open) return;
    let wanted = true;
    void getJson<MeasureSheet>("/api/measure").then((got) => wanted && got.is === "there" && setSheet((old) => meanwhile(old, got.value)));
    return () => {
      wanted = false;
    };
  }, [open, key]);
  if (!head) return null;
  return (
    <section className="table measured-sheet" aria-label="Measured sheet">
      <p className="row">
        <Plain strong={head.is !== "none"} onPress={() => desk.set({ reading: open ? null : FRESH })}>
          {open ? "no more readings" : "add a reading"}
        </Plain>
        {head.is === "none" ? <Plain onPress={() => void live.beginSheet()}>begin a sheet to fill in</Plain> : null}
        <a className="button" href="/shop/measure">
          on a phone: /shop/measure
        </a>
      </p>
      <p className="note">
        {head.is === "none"
          ? `Readings are kept in ${head.file} beside the design. A sheet to fill in lists what is worth measuring, with what each should read.`
          : `Kept in ${head.file} beside the design; it can be edited there as well.`}
      </p>
      {open && sheet ? <Form sheet={sheet} /> : null}
    </section>
  );
}

function Form({ sheet }: { sheet: MeasureSheet }) {
  const draft = useStore(desk, (d) => d.reading) ?? FRESH;
  const [busy, setBusy] = useState(false);
  const [told, setTold] = useState<{ wrong: boolean; words: string } | null>(null);
  const ruler = sheetRuler(sheet);
  const write = async (read: Read): Promise<void> => {
    setBusy(true);
    const what = `${titleOf(read)}, ${valueOf(read, ruler)}`;
    const again = desk.get().reading;
    try {
      const id = newId();
      const news = await send({ ticks: [], measured: [], used: [], readings: [{ ...read, id, who: "", at: Date.now() }] });
      const refused = news.refused.find((r) => r.id === id);
      setTold(refused ? { wrong: true, words: `Not written down: ${refused.why}.` } : { wrong: false, words: `Written down: ${what}.` });
      if (refused) desk.set({ reading: again });
    } catch {
      setTold({ wrong: true, words: "The server was not reached: nothing was written down." });
      desk.set({ reading: again });
    }
    setBusy(false);
  };
  return (
    <div className="desk-reading">
      <ReadingForm sheet={sheet} ruler={ruler} draft={draft} recent={recentOf(sheet, [])} onDraft={(reading) => desk.set({ reading })} onSend={(read) => void write(read)} busy={busy} told={told} />
      <Next sheet={sheet} ruler={ruler} onTake={(between) => desk.set({ reading: nextOf(between) })} />
    </div>
  );
}
