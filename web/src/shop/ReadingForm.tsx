import { useEffect, useId, useRef, useState } from "react";
import { angleText, fineText, lengthText, type Ruler } from "../base/lengths";
import { readable } from "../base/names";
import type { MeasureSheet, Reading } from "../wire";
import { PlacePicker } from "./PlacePicker";
import { afterSending, designed, doubled, isFarOff, isLess, LEVEL, newLevel, placeOf, readingOf, readNumber, toolOf, TOOLS, withSpot, withTool, type Draft, type Spot } from "./reading";

/** So many places that were used last are offered first. */
const RECENT = 4;

/** What a reading says, without its id, its time and who took it. */
export type Read = Pick<Reading, "tool" | "places" | "over" | "reads" | "again">;

/** A length or an angle of a tool, with its unit. */
export function valueWords(angle: boolean, value: number, ruler: Ruler): string {
  return angle ? angleText(value) : `${fineText(value, ruler)} ${ruler.unit}`;
}

/** In sixteenths as well, where that is what a tape shows. */
function onTape(value: number, ruler: Ruler): string {
  return ruler.unit === "in" ? `${lengthText(value, ruler)} (${fineText(value, ruler)}) in` : `${fineText(value, ruler)} ${ruler.unit}`;
}

/** Takes one reading: with what, where, what. The draft is the caller's, so that it can be filled from a list. */
export function ReadingForm(props: { sheet: MeasureSheet; ruler: Ruler; draft: Draft; recent: readonly string[]; onDraft: (draft: Draft) => void; onSend: (read: Read) => void; busy?: boolean; told?: { wrong: boolean; words: string } | null }) {
  const { sheet, ruler, draft, onDraft } = props;
  const tool = toolOf(draft.tool);
  const [asked, setAsked] = useState<"far" | "turned" | null>(null);
  const [picking, setPicking] = useState<number | null>(null);
  const form = useRef<HTMLFormElement>(null);
  const refocus = useRef(false);
  const id = useId();
  useEffect(() => {
    if (!refocus.current) return;
    refocus.current = false;
    (form.current?.querySelector<HTMLElement>(".slot .none") ?? form.current?.querySelector<HTMLElement>(".slot .place"))?.focus();
  });
  // What was asked was asked of another reading.
  useEffect(() => setAsked(null), [draft]);
  const wanted = designed(sheet, draft.tool, draft.spots, draft.over);
  const less = isLess(sheet, draft);
  const read = readNumber(draft.tool, draft.text, less, ruler);
  const off = read.ok && wanted !== null ? read.value - wanted : null;
  const ready = readingOf(sheet, draft, ruler);
  const missing = tool.slots.find((_, i) => !draft.spots[i]);
  const send = (sure: boolean): void => {
    if (!ready || props.busy) return;
    const far = isFarOff(sheet, draft.tool, draft.spots, draft.over, ready.reads);
    if (far && !sure) {
      setAsked(far);
      return;
    }
    props.onSend(ready);
    onDraft(afterSending(draft));
    // The question goes with its buttons: the next place to be chosen takes the focus.
    if (sure) refocus.current = true;
  };
  return (
    <form
      ref={form}
      className="reading"
      onSubmit={(e) => {
        e.preventDefault();
        send(false);
      }}
    >
      <div className="with" role="group" aria-label="Measured with">
        {TOOLS.map((t) => (
          <button key={t.tool} type="button" aria-pressed={t.tool === draft.tool} onClick={() => onDraft(withTool(draft, t.tool))}>
            {t.words}
          </button>
        ))}
      </div>
      <p className="quiet about">{tool.about}</p>
      {draft.again ? (
        <p className="again">
          Takes the place of an earlier reading.{" "}
          <button type="button" onClick={() => onDraft({ ...draft, again: null })}>
            no, a new one
          </button>
        </p>
      ) : null}
      {tool.slots.map((slot, i) => (
        <Slot
          key={slot}
          name={slot}
          spot={draft.spots[i] ?? null}
          sheet={sheet}
          onPick={() => setPicking(i)}
          onFace={(face) => {
            const spot = draft.spots[i];
            if (spot) onDraft(withSpot(draft, i, { ...spot, face }));
          }}
        />
      ))}
      {doubled(draft) ? <p className="wrong" role="alert">Two of the places are one: choose another.</p> : null}
      {draft.tool === "height" ? <Level sheet={sheet} over={draft.over} onOver={(over) => onDraft({ ...draft, over, less: null })} /> : null}
      {tool.sides ? (
        <div className="pick sides" role="group" aria-label="To which side">
          {tool.sides.map((words, k) => (
            <button key={words} type="button" aria-pressed={less === (k === 1)} onClick={() => onDraft({ ...draft, less: k === 1 })}>
              {words}
            </button>
          ))}
        </div>
      ) : null}
      <div className="reads">
        <label htmlFor={id}>
          reads
          <span className="quiet">{tool.angle ? "degrees" : ruler.unit}</span>
        </label>
        <input
          id={id}
          className="number"
          inputMode={!tool.angle && ruler.unit === "in" ? "text" : "decimal"}
          enterKeyHint="send"
          autoComplete="off"
          value={draft.text}
          aria-invalid={(!read.ok && read.why !== "") || asked !== null}
          aria-describedby={`${id} should`}
          onChange={(e) => onDraft({ ...draft, text: e.target.value })}
        />
        <p className="should" id={`${id} should`}>
          {wanted === null ? (
            <span className="quiet">{missing ? `choose the place: ${missing}` : draft.tool === "height" ? "the first height of this set-up: nothing to compare it with yet" : ""}</span>
          ) : (
            <>
              as designed <span className="number">{tool.angle ? valueWords(true, Math.abs(wanted), ruler) : onTape(Math.abs(wanted), ruler)}</span>
              {tool.sides ? `, ${tool.sides[wanted < 0 ? 1 : 0]}` : ""}
              {off !== null ? (
                <>
                  {" "}
                  · off <span className="number">{`${off > 0 ? "+" : ""}${valueWords(tool.angle, off, ruler)}`}</span>
                </>
              ) : null}
            </>
          )}
        </p>
        {!read.ok && read.why !== "" ? <p className="wrong" role="alert">{read.why}</p> : null}
        {asked ? (
          <div className="far" role="alert">
            <p>{asked === "turned" ? "That is the designed figure the other way round. Is the side right?" : "That is far from the designed figure. Is it these places?"}</p>
            <button type="button" onClick={() => send(true)}>
              keep it
            </button>
            <button type="button" onClick={() => document.getElementById(id)?.focus()}>
              mend it
            </button>
          </div>
        ) : null}
      </div>
      <button type="submit" className="send" disabled={!ready || props.busy}>
        {props.busy ? "being written" : "write it down"}
      </button>
      {props.told ? (
        <p className={props.told.wrong ? "told wrong" : "told"} role="status">
          {props.told.words}
        </p>
      ) : null}
      {picking !== null ? (
        <PlacePicker
          title={tool.slots[picking] ?? ""}
          sheet={sheet}
          now={draft.spots[picking] ?? null}
          recent={props.recent.slice(0, RECENT)}
          onPick={(place) => {
            onDraft(withSpot(draft, picking, { place, face: keptFace(sheet, place, draft, picking) }));
            setPicking(null);
          }}
          onClose={() => setPicking(null)}
        />
      ) : null}
    </form>
  );
}

/** One measures mostly from a face to the same face: the other end's is taken, if the place has it. */
function keptFace(sheet: MeasureSheet, place: string, draft: Draft, slot: number): string | null {
  const face = draft.spots[slot]?.face ?? draft.spots.find((s) => s?.face)?.face ?? null;
  return face && placeOf(sheet, place)?.faces.some((f) => f.face === face) ? face : null;
}

function Slot({ name, spot, sheet, onPick, onFace }: { name: string; spot: Spot | null; sheet: MeasureSheet; onPick: () => void; onFace: (face: string | null) => void }) {
  const [open, setOpen] = useState(false);
  const faces = spot ? (placeOf(sheet, spot.place)?.faces ?? []) : [];
  const gone = spot !== null && sheet.places.length > 0 && !placeOf(sheet, spot.place);
  useEffect(() => setOpen(false), [spot?.place]);
  return (
    <div className="slot">
      <button type="button" className={spot ? "place" : "place none"} onClick={onPick}>
        <span className="quiet">{name}</span>
        <strong>{spot ? readable(spot.place) : "choose a place"}</strong>
      </button>
      {spot && (faces.length > 0 || spot.face) ? (
        <button type="button" className="face" aria-expanded={open} onClick={() => setOpen(!open)}>
          <span className="quiet">held at</span>
          {spot.face ?? "centre"}
        </button>
      ) : null}
      {gone ? <p className="wrong" role="alert">The design has no such place any more.</p> : null}
      {open ? (
        <div className="faces" role="group" aria-label={`Face, ${name}`}>
          {[null, ...faces.map((f) => f.face)].map((face) => (
            <button
              key={face ?? ""}
              type="button"
              aria-pressed={spot?.face === face}
              onClick={() => {
                onFace(face);
                setOpen(false);
              }}
            >
              {face ?? "centre"}
            </button>
          ))}
        </div>
      ) : null}
    </div>
  );
}

/** Which set-up of the level a height is over: a level that was moved is another one. */
function Level({ sheet, over, onOver }: { sheet: MeasureSheet; over: string; onOver: (over: string) => void }) {
  const now = over || LEVEL;
  const names = [...new Set([...sheet.levels.map((l) => l.name), now])];
  return (
    <div className="level-of">
      <span className="quiet">set-up of the level</span>
      <div className="faces" role="group" aria-label="Set-up of the level">
        {names.map((name) => (
          <button key={name} type="button" aria-pressed={name === now} onClick={() => onOver(name === LEVEL ? "" : name)}>
            {readable(name)}
          </button>
        ))}
        <button type="button" onClick={() => onOver(newLevel(sheet, over))}>
          it was moved
        </button>
      </div>
    </div>
  );
}
