import { useState } from "react";
import { ComboBox, Input, ListBox, ListBoxItem, Popover, ToggleButton, Button, DialogTrigger, Dialog } from "react-aria-components";
import { Choice, LengthBox, Plain, Tick } from "../base/controls";
import { readable } from "../base/names";
import { useStore } from "../base/store";
import { LAYERS } from "../drawing/Drawing";
import { VIEWS, type ViewName } from "../drawing/pose";
import type { View } from "../wire";
import { standUp } from "./acts";
import { AXES, desk, groundOf, live, pick, pointOf, rulerOf, take, tubeOf, type Axis, type Tool } from "./desk";
import { stage } from "./stage";

/** What can be done with the drawing, along its upper edge. */
export function Tools() {
  const view = useStore(live.store, (s) => s.view);
  const word = useStore(desk, (d) => d.word);
  const tool = useStore(desk, (d) => d.tool);
  if (!view) return null;
  return (
    <div className="tools" role="toolbar" aria-label="Drawing tools">
      <Search view={view} />
      <div className="group">
        <Plain isDisabled={view.undo === 0} onPress={() => void live.undo()} aria-label={view.undo_what ? `undo: ${view.undo_what}` : "undo"}>
          undo
        </Plain>
        <Plain isDisabled={view.redo === 0} onPress={() => void live.redo()}>
          redo
        </Plain>
        <Plain onPress={() => desk.set({ panel: "history" })}>history</Plain>
      </div>
      {word === "shape" ? (
        <div className="group">
          <Toggle tool="point" now={tool}>add a point</Toggle>
          <Toggle tool="tube" now={tool}>add a tube</Toggle>
          <Toggle tool="split" now={tool}>split</Toggle>
        </div>
      ) : null}
      <div className="group">
        <Toggle tool="measure" now={tool}>measure</Toggle>
        <CutTool view={view} />
        <Layers view={view} />
      </div>
    </div>
  );
}

/** Where the drawing is looked at from, in its corner. */
export function LookTools() {
  const turned = useStore(desk, (d) => d.turned);
  return (
    <div className="look-tools" role="toolbar" aria-label="Looking">
      {turned ? <Plain strong onPress={standUp}>back on its wheels</Plain> : null}
      <Views />
      <Plain onPress={() => stage.drawing?.fit()}>all of it</Plain>
      <Plain aria-label="Keys and gestures" onPress={() => desk.set({ panel: "help" })}>?</Plain>
    </div>
  );
}

function Toggle({ tool, now, children }: { tool: Tool; now: Tool; children: string }) {
  return (
    <ToggleButton className="button" isSelected={now === tool} onChange={(on) => take(on ? tool : "pick")}>
      {children}
    </ToggleButton>
  );
}

function Views() {
  const items = VIEWS.map((v) => ({ id: v, words: v }));
  return (
    <Choice<ViewName | "view">
      label="View"
      hideLabel
      value="view"
      items={[{ id: "view" as const, words: "look from…" }, ...items]}
      onChange={(v) => v !== "view" && stage.drawing?.look(v)}
    />
  );
}

/** Part of a name, and there it is. */
function Search({ view }: { view: View }) {
  const [text, setText] = useState("");
  const wanted = text.trim().toLowerCase().replaceAll(" ", "_");
  const hits =
    wanted === ""
      ? []
      : [
          ...view.tubes.filter((t) => t.name.toLowerCase().includes(wanted)).map((t) => ({ id: `tube ${t.name}`, kind: "tube" as const, name: t.name })),
          ...view.points.filter((p) => p.name.toLowerCase().includes(wanted)).map((p) => ({ id: `point ${p.name}`, kind: "point" as const, name: p.name })),
        ]
          .sort((a, b) => Number(b.name.toLowerCase().startsWith(wanted)) - Number(a.name.toLowerCase().startsWith(wanted)))
          .slice(0, 40);
  return (
    <ComboBox
      className="search"
      aria-label="Search for a point or a tube"
      inputValue={text}
      onInputChange={setText}
      items={hits}
      allowsEmptyCollection={wanted !== ""}
      value={null}
      onChange={(key) => {
        const hit = hits.find((h) => h.id === key);
        if (!hit) return;
        pick({ kind: hit.kind, name: hit.name });
        jumpTo(view, hit.kind, hit.name);
        setText("");
      }}
    >
      <Input placeholder="search" id="search" />
      <Popover className="popover">
        <ListBox className="list" renderEmptyState={() => <p className="quiet">No point or tube is called that.</p>}>
          {(hit: (typeof hits)[number]) => (
            <ListBoxItem id={hit.id} textValue={hit.name}>
              {readable(hit.name)} <span className="quiet">{hit.kind}</span>
            </ListBoxItem>
          )}
        </ListBox>
      </Popover>
    </ComboBox>
  );
}

function jumpTo(view: View, kind: "point" | "tube", name: string): void {
  if (kind === "point") {
    const point = pointOf(view, name);
    if (point) stage.drawing?.goTo(point.at, 1.6);
  } else {
    const line = tubeOf(view, name)?.line ?? [];
    const middle = line[Math.floor(line.length / 2)];
    const [a, b] = [line[0], line.at(-1)];
    if (a && b && middle) {
      const at = line.length === 2 ? ([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2] as const) : middle;
      stage.drawing?.goTo(at, 2.2);
    }
  }
}

function Layers({ view }: { view: View }) {
  const layers = useStore(desk, (d) => d.layers);
  const d = useStore(desk, (s) => s);
  const ground = groundOf(view, d);
  const [open, setOpen] = useState(false);
  return (
    <DialogTrigger isOpen={open} onOpenChange={setOpen}>
      <Button className="button">what is drawn</Button>
      <Popover className="popover">
        <Dialog className="card" aria-label="What is drawn">
          {LAYERS.filter((layer) => layer !== "built" || view.sheet.is !== "none").map((layer) => (
            <Tick key={layer} checked={layers[layer]} onChange={(on) => desk.set({ layers: { ...layers, [layer]: on } })}>
              {layer === "built" ? "as built, on the build page" : layer}
            </Tick>
          ))}
          {view.grounds.length > 0 ? (
            <Choice
              label="ground of the stance"
              value={ground?.stance ?? null}
              items={view.grounds.map((g) => ({ id: g.stance, words: g.stance }))}
              onChange={(stance) => desk.set({ stance, turned: null })}
            />
          ) : null}
          <p className="quiet">A temporary tube is drawn pale, a provisional one dashed.</p>
        </Dialog>
      </Popover>
    </DialogTrigger>
  );
}

/** Whether the lesser side of an axis lies towards the eye: it is taken away, so that the cut is seen. */
const hides = (axis: Axis): boolean => (stage.drawing?.lookingAlong[AXES.indexOf(axis)] ?? 0) > 0;

function CutTool({ view }: { view: View }) {
  const cut = useStore(desk, (d) => d.cut);
  const ruler = rulerOf(view);
  const [open, setOpen] = useState(false);
  const box = stage.drawing?.extent;
  const [low, high] = cut && box ? [box.min[cut.axis], box.max[cut.axis]] : [-1, 1];
  const middle = (axis: Axis): number => (box ? (box.min[axis] + box.max[axis]) / 2 : 0);
  return (
    <DialogTrigger isOpen={open} onOpenChange={setOpen}>
      <Button className="button" aria-pressed={cut !== null} data-selected={cut !== null || undefined}>
        section
      </Button>
      <Popover className="popover" shouldCloseOnInteractOutside={() => true}>
        <Dialog className="card" aria-label="Section plane">
          <Choice<Axis | "none">
            label="cut across"
            value={cut?.axis ?? "none"}
            items={[{ id: "none" as const, words: "nothing" }, ...AXES.map((a) => ({ id: a, words: `${a}: ${{ x: "front from rear", y: "left from right", z: "top from bottom" }[a]}` }))]}
            onChange={(axis) => desk.set({ cut: axis === "none" ? null : { axis, at: middle(axis), flip: hides(axis) } })}
          />
          {cut ? (
            <>
              <LengthBox label={`at ${cut.axis} =`} unit value={cut.at} ruler={ruler} onSet={(at) => desk.set({ cut: { ...cut, at } })} onMove={(at) => desk.set({ cut: { ...cut, at } })} />
              <label className="field">
                <span>drag it</span>
                <input type="range" min={low} max={high} step={ruler.step} value={cut.at} onChange={(e) => desk.set({ cut: { ...cut, at: Number(e.target.value) } })} />
              </label>
              <Tick checked={cut.flip} onChange={(flip) => desk.set({ cut: { ...cut, flip } })}>
                keep the other side
              </Tick>
            </>
          ) : null}
        </Dialog>
      </Popover>
    </DialogTrigger>
  );
}

