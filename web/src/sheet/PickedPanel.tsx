import { useStore } from "../base/store";
import { desk, live, pointOf, tubeOf } from "./desk";
import { MeasurePanel } from "./MeasurePanel";
import { NewPointPanel, NewTubePanel, SplitPanel } from "./NewPanels";
import { PointNote } from "./PointNote";
import { PointPanel } from "./PointPanel";
import { TubeNote, TubePanel } from "./TubePanel";

/** What is picked or under way, in a card on the drawing. */
export function PickedPanel() {
  const view = useStore(live.store, (s) => s.view);
  const tool = useStore(desk, (d) => d.tool);
  const picked = useStore(desk, (d) => d.picked);
  const word = useStore(desk, (d) => d.word);
  if (!view) return null;
  if (tool === "measure") return <MeasurePanel view={view} />;
  if (tool === "point") return <NewPointPanel view={view} />;
  if (tool === "tube") return <NewTubePanel view={view} />;
  if (tool === "split") return <SplitPanel view={view} />;
  if (!picked) return null;
  if (picked.kind === "point") {
    const point = pointOf(view, picked.name);
    if (point && word === "build") return <PointNote point={point} />;
    return point ? <PointPanel key={point.name} view={view} point={point} /> : null;
  }
  const tube = tubeOf(view, picked.name);
  if (tube && word !== "shape") return <TubeNote tube={tube} />;
  return tube ? <TubePanel key={tube.name} view={view} tube={tube} /> : null;
}
