import { Plain } from "../base/controls";
import { readable } from "../base/names";
import { useStore } from "../base/store";
import { FRESH, withSpot } from "../shop/reading";
import type { PointRow } from "../wire";
import { Card } from "./Card";
import { desk, goToWord } from "./desk";

/** A point on the build page: where it really is, and the way to measure from it. */
export function PointNote({ point }: { point: PointRow }) {
  const built = useStore(desk, (d) => d.built?.frame.places.find((p) => p.name === point.name));
  return (
    <Card title={readable(point.name)} sub={`point, ${point.placed}`}>
      {built ? (
        <>
          <p className="big">
            <span className="number">{built.off}</span> off
          </p>
          <p>{built.words}</p>
        </>
      ) : (
        <p className="quiet">Nothing was measured to it.</p>
      )}
      <p className="row">
        <Plain className="small" onPress={() => desk.set({ reading: withSpot(FRESH, 0, { place: point.name, face: null }) })}>
          measure from it
        </Plain>
        <Plain className="small" onPress={() => goToWord("shape")}>
          change it
        </Plain>
      </p>
    </Card>
  );
}
