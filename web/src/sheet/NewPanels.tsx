import { useEffect, useState } from "react";
import { Choice, LengthBox, Plain, TextBox, Tick } from "../base/controls";
import { freeName, nameTrouble, readable } from "../base/names";
import { nearestOnLine, placeAlong } from "../base/measure";
import { useStore } from "../base/store";
import type { View } from "../wire";
import { Card } from "./Card";
import { AXES, desk, live, pick, rulerOf, tubeOf } from "./desk";
import { addPoint, addTube, splitTube } from "./edits";

const taken = (view: View) => (name: string): boolean =>
  view.points.some((p) => p.name === name) || view.tubes.some((t) => t.name === name);

/** A new point: clicked, then named and put right. */
export function NewPointPanel({ view }: { view: View }) {
  const at = useStore(desk, (d) => d.newPoint);
  const [name, setName] = useState(() => freeName("point", taken(view)));
  const ruler = rulerOf(view);
  const trouble = nameTrouble(name, taken(view));
  const [wrong, setWrong] = useState<readonly string[]>([]);
  const tell = (box: string) => (is: boolean) => setWrong((all) => [...all.filter((b) => b !== box), ...(is ? [box] : [])]);
  return (
    <Card title="add a point" sub={at ? "put it right, then add it" : "click where it is to be, or type"}>
      <TextBox label="name" value={name} onSet={setName} trouble={(n) => nameTrouble(n, taken(view))} onWrong={tell("name")} />
      <div className="three">
        {AXES.map((axis, i) => (
          <LengthBox
            key={axis}
            label={`${axis}, ${ruler.unit}`}
            value={at ? (at[i] as number) : null}
            ruler={ruler}
            onWrong={tell(axis)}
            onSet={(v) => {
              const next = [...(at ?? [0, 0, 0])] as [number, number, number];
              next[i] = v;
              desk.set({ newPoint: next });
            }}
          />
        ))}
      </div>
      <Plain
        strong
        isDisabled={!at || trouble !== null || wrong.length > 0}
        onPress={() => {
          if (!at) return;
          void live.make(`added ${name}`, [addPoint(name, at)]).then((done) => {
            if (!done) return;
            desk.set({ tool: "pick", newPoint: null });
            pick({ kind: "point", name });
          });
        }}
      >
        add it
      </Plain>
    </Card>
  );
}

/** A new tube: its points one after the other; what it would be is drawn while it is chosen. */
export function NewTubePanel({ view }: { view: View }) {
  const path = useStore(desk, (d) => d.path);
  const real = useStore(live.store, (s) => s.real) ?? view;
  const [name, setName] = useState(() => freeName("tube", taken(real)));
  const [section, setSection] = useState(() => real.tubes.at(-1)?.section ?? real.sections[0]?.name ?? "");
  const [radius, setRadius] = useState<number | null>(() => real.tubes.find((t) => t.bend_radius.length > 0)?.bend_radius[0] ?? null);
  const [mirror, setMirror] = useState(false);
  const [before, setBefore] = useState<string | null>(null);
  const ruler = rulerOf(real);
  const bent = path.length > 2;
  const trouble = nameTrouble(name, taken(real));
  const [wrong, setWrong] = useState(false);
  const ready = path.length >= 2 && section !== "" && trouble === null && !wrong && (!bent || radius !== null);
  const edits = addTube({ name, section, path, radius, mirror, before });
  const wish = ready ? JSON.stringify(edits) : "";
  useEffect(() => {
    if (wish !== "") live.attempt(JSON.parse(wish) as typeof edits);
    else live.letGo();
  }, [wish]);
  return (
    <Card title="add a tube" sub={path.length === 0 ? "pick its points one after the other" : `through ${path.map(readable).join(", ")}${path.length === 1 ? "; pick the next" : ""}`}>
      <Choice
        label={path.length === 0 ? "from" : "on to"}
        value={null}
        items={real.points.filter((p) => p.name !== path.at(-1)).map((p) => ({ id: p.name, words: readable(p.name) }))}
        onChange={(p) => desk.set({ path: [...path, p] })}
      />
      <TextBox label="name" value={name} onSet={setName} trouble={(n) => nameTrouble(n, taken(real))} onWrong={setWrong} />
      <Choice label="section" value={section} items={real.sections.map((s) => ({ id: s.name, words: `${s.name}, ${s.words}` }))} onChange={setSection} />
      {bent ? <LengthBox label="bend radius" unit value={radius} ruler={ruler} onSet={setRadius} /> : null}
      <Choice
        label="fitted"
        value={before ?? "last of all"}
        items={[
          { id: "last of all", words: "after all others" },
          ...real.tubes.filter((t) => !t.twin).map((t) => ({ id: t.name, words: `before ${readable(t.name)}` })),
        ]}
        onChange={(b) => setBefore(b === "last of all" ? null : b)}
      />
      <Tick checked={mirror} onChange={setMirror}>
        mirrored
      </Tick>
      <p className="row">
        <Plain
          strong
          isDisabled={!ready}
          onPress={() =>
            void live.make(`added ${name}`, edits).then((done) => {
              if (!done) return;
              desk.set({ tool: "pick", path: [] });
              pick({ kind: "tube", name });
            })
          }
        >
          add it
        </Plain>
        <Plain isDisabled={path.length === 0} onPress={() => desk.set({ path: path.slice(0, -1) })}>
          one point back
        </Plain>
      </p>
    </Card>
  );
}

/** Splitting: a place on a tube, clicked or typed, and two tubes of one. */
export function SplitPanel({ view }: { view: View }) {
  const at = useStore(desk, (d) => d.newPoint);
  const picked = useStore(desk, (d) => d.picked);
  const tube = picked?.kind === "tube" ? tubeOf(view, picked.name) : undefined;
  const made = tube && at ? splitTube(view, tube, at) : null;
  return (
    <Card title="split a tube" sub={made && tube ? `${readable(tube.name)} here; the other part is ${readable(made.tube)}` : tube ? `click the place on ${readable(tube.name)}, or say how far it is from its start` : "click the place on a tube, or search for the tube"}>
      {tube ? (
        <LengthBox
          label={`from the start of ${readable(tube.name)}`}
          unit
          value={at ? nearestOnLine(tube.line, at).along : null}
          ruler={rulerOf(view)}
          onSet={(along) => desk.set({ newPoint: placeAlong(tube.line, along) })}
        />
      ) : null}
      {made && tube?.mirrored ? <p className="quiet">Its mirror image is split too.</p> : null}
      <p className="quiet">An end that was set by hand stays with the first part; look at both ends afterwards.</p>
      <Plain
        strong
        isDisabled={!made}
        onPress={() => {
          if (!made || !tube) return;
          void live.make(`split ${tube.name}`, made.edits).then((done) => {
            if (!done) return;
            desk.set({ tool: "pick", newPoint: null });
            pick({ kind: "point", name: made.point });
          });
        }}
      >
        split it
      </Plain>
    </Card>
  );
}
