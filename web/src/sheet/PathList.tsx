import { useState } from "react";
import { Choice, LengthBox, Plain } from "../base/controls";
import { readable } from "../base/names";
import type { TubeRow, View } from "../wire";
import { live, pick, rulerOf } from "./desk";
import { pathEdits, placeFor, without, withPoint, swapped, type Path } from "./path";

/** The points that a tube runs through, in order: each can go earlier or later, be left out, or be joined by another. */
export function PathList({ view, tube }: { view: View; tube: TubeRow }) {
  const [open, setOpen] = useState(false);
  const [radius, setRadius] = useState<number | null>(null);
  const ruler = rulerOf(view);
  const now: Path = { points: tube.path, radii: tube.bend_radius };
  const make = (what: string, next: Path): void => void live.make(what, pathEdits(tube.name, now, next));
  const others = view.points.filter((p) => !tube.path.includes(p.name));
  // A first bend needs a radius: that of another tube of the section, or one that is typed.
  const bend = tube.bend_radius[0] ?? view.tubes.find((t) => t.section === tube.section && t.bend_radius.length > 0)?.bend_radius[0] ?? radius;
  if (!open) {
    return (
      <p className="through">
        through:{" "}
        {tube.path.map((p, i) => (
          <span key={`${p} ${i}`}>
            {i > 0 ? ", " : ""}
            <button type="button" className="link" onClick={() => pick({ kind: "point", name: p })}>
              {readable(p)}
            </button>
          </span>
        ))}{" "}
        <Plain className="small" onPress={() => setOpen(true)}>
          change the path
        </Plain>
      </p>
    );
  }
  return (
    <div className="path">
      <p className="quiet">Through, from its start to its end:</p>
      <ol>
        {tube.path.map((p, i) => (
          <li key={`${p} ${i}`}>
            <button type="button" className="link" onClick={() => pick({ kind: "point", name: p })}>
              {readable(p)}
            </button>
            <Plain className="small" aria-label={`${readable(p)} one place earlier`} isDisabled={i === 0} onPress={() => make(`${p} earlier in ${tube.name}`, swapped(now, i - 1))}>
              ↑
            </Plain>
            <Plain
              className="small"
              aria-label={`${readable(p)} one place later`}
              isDisabled={i + 1 === tube.path.length}
              onPress={() => make(`${p} later in ${tube.name}`, swapped(now, i))}
            >
              ↓
            </Plain>
            <Plain className="small" aria-label={`leave ${readable(p)} out`} isDisabled={tube.path.length <= 2} onPress={() => make(`left ${p} out of ${tube.name}`, without(now, i))}>
              leave out
            </Plain>
          </li>
        ))}
      </ol>
      {bend === null ? <LengthBox label="radius of its bend" unit value={radius} ruler={ruler} onSet={setRadius} /> : null}
      <Choice
        label="run it through another point"
        value={null}
        items={others.map((p) => ({ id: p.name, words: readable(p.name) }))}
        onChange={(name) => {
          const next = withPoint(now, name, placeFor(view, tube, name), bend);
          if (next) make(`${name} into ${tube.name}`, next);
        }}
      />
      {bend === null ? <p className="quiet">Type the radius of its bend first.</p> : null}
      <Plain className="small" onPress={() => setOpen(false)}>
        done
      </Plain>
    </div>
  );
}
