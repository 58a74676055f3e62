import { Words } from "../base/Words";
import type { FindingText } from "../wire";
import { desk, goToWord, pick } from "./desk";

const LEVELS: Record<string, string> = {
  mend: "over a limit",
  look: "look at this",
  "not-checked": "not checked",
  note: "note",
};

/** Findings, worst first; each points at its tubes. */
export function Findings({ of }: { of: readonly FindingText[] }) {
  if (of.length === 0) return null;
  return (
    <ul className="findings">
      {of.map((finding, i) => (
        <Finding key={i} finding={finding} />
      ))}
    </ul>
  );
}

function Finding({ finding }: { finding: FindingText }) {
  const point = (): void => desk.set({ pointed: finding.tubes, pointedAt: finding.at ?? null });
  const leave = (): void => desk.set({ pointed: [], pointedAt: null });
  const first = finding.tubes[0];
  const words = (
    <>
      <span className={`level ${finding.level}`} role="img" aria-label={LEVELS[finding.level] ?? finding.level} />
      <span className="what"><Words>{finding.what}</Words></span>
      {finding.measure ? <span className="measure"><Words>{finding.measure}</Words></span> : null}
      {finding.help ? <span className="help"><Words>{finding.help}</Words></span> : null}
      {finding.line != null ? <span className="measure">line {finding.line} of the file</span> : null}
    </>
  );
  return (
    <li className={finding.level} onPointerEnter={point} onPointerLeave={leave}>
      {first === undefined ? (
        <div className="finding">{words}</div>
      ) : (
        <button
          type="button"
          className="finding"
          onFocus={point}
          onBlur={leave}
          onClick={() => {
            if (finding.word !== desk.get().word) goToWord(finding.word);
            pick({ kind: "tube", name: first });
          }}
        >
          {words}
        </button>
      )}
    </li>
  );
}
