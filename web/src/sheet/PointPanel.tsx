import { Choice, LengthBox, Plain, TextBox } from "../base/controls";
import { nameTrouble, readable, withoutTwin } from "../base/names";
import type { Vec } from "../base/vec";
import type { PointRow, View } from "../wire";
import { Card } from "./Card";
import { AXES, desk, live, pick, rulerOf } from "./desk";
import { movedWords, attach, attachable, setPoint, slide } from "./edits";

/** A point: where it is, to be typed or nudged. */
export function PointPanel({ view, point }: { view: View; point: PointRow }) {
  const ruler = rulerOf(view);
  const moved = (axis: number, value: number): Vec => {
    const at = [...point.at] as [number, number, number];
    at[axis] = value;
    return at;
  };
  const set = (at: Vec): void => {
    void live.make(movedWords(point.name, at, ruler), [setPoint(point.name, at)]).then((done) => !done && live.letGo());
  };
  const slides = slide(view, point, point.at) !== null;
  const own = withoutTwin(point.name);
  const taken = (name: string): boolean => view.points.some((p) => p.name === name);
  return (
    <Card title={readable(point.name)} sub={`point, ${point.placed}${point.twin ? `; mirror image of ${readable(own)}` : ""}`}>
      <div className="three">
        {AXES.map((axis, i) => (
          <LengthBox
            key={axis}
            label={`${axis}, ${ruler.unit}`}
            value={point.at[i] as number}
            ruler={ruler}
            onSet={(v) => set(moved(i, v))}
            onMove={(v) => live.attempt([setPoint(point.name, moved(i, v))])}
            onEscape={() => live.letGo()}
          />
        ))}
      </div>
      {!point.free ? <p className="quiet">
          Coordinates typed here place it by themselves: it then no longer follows {point.on ? readable(point.on) : "what places it"}.
          {slides ? " The arrow along the tube keeps it on it." : ""}
        </p> : null}
      <TextBox
        label="name"
        value={own}
        trouble={(name) => nameTrouble(name, taken)}
        onSet={(to) =>
          void live.make(`renamed ${own} to ${to}`, [{ edit: "rename_point", point: own, to }]).then((done) => {
            if (done) pick({ kind: "point", name: point.twin ? `${to}~` : to });
          })
        }
      />
      <Choice<string>
        label="put it on a tube"
        value=""
        items={[{ id: "", words: point.on ? readable(point.on) : "the nearest are…" }, ...attachable(view, point).map((t) => ({ id: t.name, words: readable(t.name) }))]}
        onChange={(name) => {
          const tube = view.tubes.find((t) => t.name === name);
          if (tube) void live.make(`put ${point.name} on ${name}`, [attach(view, point, tube)]);
        }}
      />
      {point.tubes.length > 0 ? (
        <p className="through">
          through it:{" "}
          {point.tubes.map((t, i) => (
            <span key={t}>
              {i > 0 ? ", " : ""}
              <button type="button" className="link" onClick={() => pick({ kind: "tube", name: t })} onPointerEnter={() => desk.set({ pointed: [t] })} onPointerLeave={() => desk.set({ pointed: [] })}>
                {readable(t)}
              </button>
            </span>
          ))}
        </p>
      ) : (
        <p className="quiet">No tube runs through it.</p>
      )}
      <p className="row">
        <Plain
          className="small"
          onPress={() => {
            pick(null);
            desk.set({ tool: "tube", path: [point.name], word: "shape" });
          }}
        >
          tube from here
        </Plain>
        <Plain
          className="small"
          onPress={() =>
            void live.make(`took ${own} out`, [{ edit: "remove_point", point: own }]).then((done) => {
              if (done) pick(null);
            })
          }
        >
          take it out
        </Plain>
      </p>
    </Card>
  );
}
