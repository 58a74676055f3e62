import { AngleBox } from "../base/AngleBox";
import { Choice, LengthBox, Plain, TextBox, Tick } from "../base/controls";
import { nameTrouble, readable, withoutTwin } from "../base/names";
import type { Edit, TubeRow, View } from "../wire";
import { Card } from "./Card";
import { desk, goToWord, live, pick, rulerOf, take } from "./desk";
import { radii, setTube } from "./edits";
import { PathList } from "./PathList";

const about = (tube: TubeRow): string =>
  [`tube, number ${tube.number}`, tube.section, tube.length, tube.mass, tube.twin ? "mirror image" : ""].filter(Boolean).join(" · ");

/** A tube while another word than `shape` is open: what it is, and the way to change it. */
export function TubeNote({ tube }: { tube: TubeRow }) {
  return (
    <Card title={readable(tube.name)} sub={about(tube)}>
      <p className="row">
        <Plain className="small" onPress={() => goToWord("shape")}>
          change it
        </Plain>
        <Plain className="small" onPress={() => openPiece(tube.name)}>
          its piece
        </Plain>
      </p>
    </Card>
  );
}

function openPiece(name: string): void {
  goToWord("cutting");
  desk.set({ piece: name });
}

/** A tube: what it is made of, how it is bent, when it is fitted. */
export function TubePanel({ view, tube }: { view: View; tube: TubeRow }) {
  const ruler = rulerOf(view);
  const own = withoutTwin(tube.name);
  const original = view.tubes.find((t) => t.name === own) ?? tube;
  const make = (what: string, ...edits: Edit[]): Promise<boolean> => live.make(what, edits);
  const order = view.tubes.filter((t) => !t.twin);
  const at = order.findIndex((t) => t.name === own);
  const bends = Math.max(0, tube.path.length - 2);
  const taken = (name: string): boolean => view.tubes.some((t) => t.name === name);
  const setRadius = (index: number, value: number): void => {
    const all = tube.bend_radius.length > 1 ? [...tube.bend_radius] : [tube.bend_radius[0] ?? value];
    all[index] = value;
    void make(`bend radius of ${own}`, setTube(own, "bend_radius", radii(all)));
  };
  return (
    <Card title={readable(tube.name)} sub={about(tube)}>
      <Choice
        label="section"
        value={tube.section}
        items={view.sections.map((s) => ({ id: s.name, words: `${s.name}, ${s.words}` }))}
        onChange={(section) => void make(`${own} of ${section}`, setTube(own, "section", { text: section }))}
      />
      {bends > 0 ? (
        <div className="three">
          {(tube.bend_radius.length > 0 ? tube.bend_radius : [null]).map((r, i) => (
            <LengthBox key={i} label={`bend ${tube.bend_radius.length > 1 ? i + 1 : "radius"}, ${ruler.unit}`} value={r} ruler={ruler} onSet={(v) => setRadius(i, v)} />
          ))}
        </div>
      ) : null}
      <TextBox
        label="name"
        value={own}
        trouble={(name) => nameTrouble(name, taken)}
        onSet={(to) =>
          void make(`renamed ${own} to ${to}`, { edit: "rename_tube", tube: own, to }).then((done) => {
            if (done) pick({ kind: "tube", name: tube.twin ? `${to}~` : to });
          })
        }
      />
      <div className="row">
        <Tick
          checked={tube.state === "provisional"}
          onChange={(provisional) => void make(`${own} ${provisional ? "provisional" : "decided"}`, { edit: "set_provisional", tube: own, provisional })}
        >
          provisional
        </Tick>
        <Tick checked={tube.mirrored || tube.twin} onChange={(mirror) => void make(`${own} ${mirror ? "mirrored" : "on one side only"}`, setTube(own, "mirror", { flag: mirror }))}>
          mirrored
        </Tick>
      </div>
      <Choice
        label="fitted"
        value={order[at + 1]?.name ?? "last of all"}
        items={[
          ...order.filter((t) => t.name !== own).map((t) => ({ id: t.name, words: `before ${readable(t.name)}` })),
          { id: "last of all", words: "after all others" },
        ]}
        onChange={(before) => void make(`moved ${own} in the fitting order`, { edit: "move_tube", tube: own, before: before === "last of all" ? null : before })}
      />
      {original.roll == null ? null : (
        <AngleBox label={tube.twin ? `roll, ° (of ${readable(own)}; this one is its mirror image)` : "roll, °"} value={original.roll} onSet={(roll) => void make(`roll of ${own}`, setTube(own, "roll", { number: roll }))} />
      )}
      <PathList view={view} tube={original} />
      <p className="row">
        <Plain className="small" onPress={() => take("split")}>
          split it
        </Plain>
        <Plain className="small" onPress={() => openPiece(tube.name)}>
          its piece
        </Plain>
        <Plain
          className="small"
          onPress={() =>
            void make(`took ${own} out`, { edit: "remove_tube", tube: own }).then((done) => {
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
