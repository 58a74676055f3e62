import { Plain } from "../base/controls";
import { angleText, fineText } from "../base/lengths";
import { measure, type Measurable } from "../base/measure";
import { useStore } from "../base/store";
import type { View } from "../wire";
import { Card } from "./Card";
import { AXES, datumWords, desk, groundOf, rulerOf } from "./desk";

/** What is measured follows the design: names are kept, places are looked up anew. */
function fresh(view: View, thing: Measurable): Measurable {
  if (thing.is === "point") {
    const point = view.points.find((p) => p.name === thing.name);
    return point ? { ...thing, at: point.at } : thing;
  }
  if (thing.is === "tube") {
    const tube = view.tubes.find((t) => t.name === thing.name);
    return tube ? { ...thing, line: tube.line } : thing;
  }
  return thing;
}

export function MeasurePanel({ view }: { view: View }) {
  const measured = useStore(desk, (d) => d.measured);
  const d = useStore(desk, (s) => s);
  const ruler = rulerOf(view);
  const [a, b] = measured.map((thing) => fresh(view, thing));
  const m = a && b ? measure(a, b) : null;
  const add = (thing: Measurable): void => desk.set({ measured: measured.length === 1 ? [...measured, thing] : [thing] });
  const ground = groundOf(view, d);
  return (
    <Card title="measure" sub={m ? m.words : a ? `from ${a.name}: pick the second` : "pick two: points, tubes, ground or datum"}>
      {m && Number.isFinite(m.distance) ? (
        <>
          <p className="big">
            <span className="number">{fineText(m.distance, ruler)}</span> <span className="words">{ruler.unit}</span>
          </p>
          <dl className="parts">
            {AXES.map((axis, i) => (
              <div key={axis}>
                <dt>{axis}</dt>
                <dd className="number">{fineText(m.parts[i] as number, ruler)}</dd>
              </div>
            ))}
            {m.angle !== null ? (
              <div>
                <dt>angle</dt>
                <dd className="number">{angleText(m.angle)}</dd>
              </div>
            ) : null}
          </dl>
        </>
      ) : null}
      {m?.note ? <p className="quiet">{m.note}</p> : null}
      <p className="row">
        {ground ? (
          <Plain className="small" onPress={() => add({ is: "plane", name: `the ground, ${ground.stance}`, normal: ground.normal, height: ground.height })}>
            the ground
          </Plain>
        ) : null}
        <Plain className="small" onPress={() => add({ is: "plane", name: datumWords(view), normal: [0, 0, 1], height: view.datum })}>
          the datum
        </Plain>
        <Plain className="small" isDisabled={measured.length === 0} onPress={() => desk.set({ measured: [] })}>
          anew
        </Plain>
      </p>
    </Card>
  );
}

