import { Plain } from "../base/controls";
import { readable } from "../base/names";
import { useStore } from "../base/store";
import { hingesBy, type Crush } from "./crush";
import { desk } from "./desk";

const WIDE = 300;
const HIGH = 120;

/** How far the load has gone, to be dragged, with its curve and the hinges in their order. */
export function CrushPanel() {
  const crush = useStore(desk, (d) => d.crush);
  if (!crush) return null;
  const { answer, step, load } = crush;
  const now = answer.steps[step];
  const came = hingesBy(crush);
  const last = came.length > 0 ? answer.hinges[came[came.length - 1] as number] : undefined;
  return (
    <section className="legend-moved drive crush" aria-label="Pushed past yielding">
      <p>
        <strong>{readable(load)}</strong>, pushed past yielding; drawn as far as it goes
      </p>
      <Curve crush={crush} />
      <input
        type="range"
        aria-label="How far the load has gone"
        aria-valuetext={now ? `${now.words[0]} at ${now.words[1]} times the load` : undefined}
        min={0}
        max={answer.steps.length - 1}
        value={step}
        onChange={(e) => desk.set({ crush: { ...crush, step: Number(e.target.value) } })}
      />
      {now ? (
        <p>
          <span className="number">{now.words[0]}</span> at <span className="number">{now.words[1]}</span> times the load, <span className="number">{now.words[2]}</span>
        </p>
      ) : null}
      <p className="quiet">{last ? `hinge ${came.length} of ${answer.hinges.length}: ${readable(last.tube)}` : `no hinge yet of ${answer.hinges.length}`}</p>
      <p className="row">
        <Plain className="small" onPress={() => desk.set({ crush: null })}>
          put away
        </Plain>
      </p>
    </section>
  );
}

/** The factor on the load over its way; hinges are numbered as they came. */
function Curve({ crush: { answer, step } }: { crush: Crush }) {
  const far = Math.max(1e-9, ...answer.steps.map((s) => s.at[0]));
  const high = Math.max(1e-9, ...answer.steps.map((s) => s.at[1]));
  const x = (way: number): number => 8 + ((WIDE - 16) * way) / far;
  const y = (factor: number): number => HIGH - 8 - ((HIGH - 24) * factor) / high;
  const now = answer.steps[step];
  return (
    <svg className="curve" viewBox={`0 0 ${WIDE} ${HIGH}`} role="img" aria-label={`The load rises to ${high.toFixed(2)} times what it is`}>
      <path className="axes" d={`M8 8V${HIGH - 8}H${WIDE - 8}`} />
      <polyline className="line" points={answer.steps.map((s) => `${x(s.at[0])},${y(s.at[1])}`).join(" ")} />
      {answer.hinges.slice(0, 12).map((h, i) => (
        <g key={i} className="hinge">
          <circle cx={x(h.at[0])} cy={y(h.at[1])} r={2.6} />
          <text x={x(h.at[0]) + 4} y={y(h.at[1]) - 4 - (i % 3) * 9}>
            {i + 1}
          </text>
        </g>
      ))}
      {now ? <line className="now" x1={x(now.at[0])} x2={x(now.at[0])} y1={8} y2={HIGH - 8} /> : null}
    </svg>
  );
}
