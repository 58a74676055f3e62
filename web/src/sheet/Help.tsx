import { Sheet } from "../base/controls";
import { useStore } from "../base/store";
import { desk } from "./desk";

const LOOKING: readonly [string, string][] = [
  ["drag", "turn it"],
  ["Shift and drag, or the right button", "move the paper"],
  ["wheel, or pinch on a trackpad", "nearer and farther, at the pointer"],
  ["one finger, two fingers", "turn it; move and pinch"],
  ["arrow keys", "turn it by 5° (with the focus on the drawing)"],
  ["Shift and arrow keys", "move the paper"],
  ["+ and −", "nearer and farther"],
  ["0", "all of it"],
  ["1 to 7", "three-quarter, front, rear, left, right, top, bottom"],
];

const WORKING: readonly [string, string][] = [
  ["click", "pick a point or a tube"],
  ["N and P", "pick the next tube of the fitting order, or the one before"],
  ["Enter", "set what stands in a box"],
  ["1 3/4, 1' 8 3/8, 45 mm", "lengths as they may be typed; a plain number is in the design's unit"],
  ["up and down in a box", "move it by a step of the design; with Shift by ten"],
  ["Escape", "let go: of a trial, a tool, what is picked"],
  ["Ctrl Z, Ctrl Shift Z", "take the last change back, make it again"],
  ["/", "search for a point or a tube"],
  ["Alt 1 to Alt 8", "the eight words"],
  ["?", "this page"],
];

export function Help() {
  const open = useStore(desk, (d) => d.panel === "help");
  return (
    <Sheet title="Keys and gestures" open={open} onClose={() => desk.set({ panel: null })}>
      <h3>Looking</h3>
      <Keys of={LOOKING} />
      <h3>Working</h3>
      <Keys of={WORKING} />
      <h3>How things are drawn</h3>
      <ul className="legend">
        <li>
          <span className="level mend" /> hatched: over a limit, by the answer of the word that is open
        </li>
        <li>
          <span className="level not-checked" /> dashed: not checked, or a tube whose place is not decided
        </li>
        <li>
          <span className="level look" /> plain box: something to look at
        </li>
        <li>Round marks are points placed by coordinates; square ones are placed by something else.</li>
        <li>Nothing is drawn as good: what has no mark was within its limits, or nobody asked.</li>
      </ul>
      <h3>Measuring</h3>
      <p>
        Choose “measure”, then two things: points, tubes, the ground or the datum. Between tubes the least distance of their centrelines is
        taken, along the legs and arcs as they are drawn.
      </p>
      <h3>Heights</h3>
      <p>
        The rule at the left reads heights from the datum or from the ground. Drag out of it to lay a line across the drawing; crosses show
        where it meets the centrelines.
      </p>
    </Sheet>
  );
}

function Keys({ of }: { of: readonly [string, string][] }) {
  return (
    <dl className="keys">
      {of.map(([key, what]) => (
        <div key={key}>
          <dt>{key}</dt>
          <dd>{what}</dd>
        </div>
      ))}
    </dl>
  );
}
