import { Plain } from "../base/controls";
import { readable } from "../base/names";
import { useStore } from "../base/store";
import { desk } from "./desk";

/** How far the car is over the obstacle, to be dragged, and what is nearest to the road there. */
export function DrivePanel() {
  const drive = useStore(desk, (d) => d.drive);
  if (!drive) return null;
  const place = drive.way.steps[drive.step];
  const go = (step: number): void => {
    const next = drive.way.steps[step];
    desk.set({ drive: { ...drive, step }, pointed: next ? [next.of] : [] });
  };
  return (
    <section className="legend-moved drive" aria-label="Driving over">
      <p>
        <strong>{readable(drive.over)}</strong>, {drive.stance}
      </p>
      <input
        type="range"
        aria-label="How far it has driven"
        aria-valuetext={place ? `${place.clearance} under ${readable(place.of)}` : undefined}
        min={0}
        max={drive.way.steps.length - 1}
        value={drive.step}
        onChange={(e) => go(Number(e.target.value))}
      />
      {place ? (
        <p className={place.over ? "scrapes" : undefined}>
          {place.over ? <span className="level mend" role="img" aria-label="scrapes" /> : null} <span className="number">{place.clearance}</span>{" "}
          {place.over ? "at" : "under"} {readable(place.of)}
        </p>
      ) : null}
      <p className="row">
        {drive.way.told !== null ? (
          <Plain className="small" onPress={() => go(drive.way.told ?? 0)}>
            where it comes nearest
          </Plain>
        ) : null}
        <Plain className="small" onPress={() => desk.set({ drive: null, pointed: [] })}>
          put away
        </Plain>
      </p>
    </section>
  );
}
