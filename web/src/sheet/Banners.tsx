import { Plain } from "../base/controls";
import { useStore } from "../base/store";
import type { ProblemText } from "../wire";
import { Words } from "../base/Words";
import { live } from "./desk";

/** So many problems are shown at once: the drawing is wanted, too. */
const SHOWN = 4;

/** What a person must know before going on: the connection, the file, what was refused. */
export function Banners() {
  const { connection, view, refused, garbled } = useStore(live.store, (s) => s);
  const saved = view?.saved;
  // What is wrong with a trial stands on the drawing, which then stays where it is.
  const trial = view?.trial != null;
  return (
    <div className="banners">
      {connection === "lost" && view ? (
        <Banner title="Not connected.">
          <p>What is shown is the last that was heard. Nothing can be changed until the server is reached again; the page tries by itself.</p>
        </Banner>
      ) : null}
      {saved?.saved === "unreadable" ? (
        <Banner title="The file was changed elsewhere and can’t be read.">
          <p>What is shown is the last that could be read. Put the file right, or go back to a state of the history.</p>
          <Problems of={saved.problems} />
        </Banner>
      ) : null}
      {saved?.saved === "conflict" ? (
        <Banner title="The file and this page were changed at once.">
          <p>
            Here: {saved.mine}. The file says something else, and the two don’t go together. Both are kept in the history; choose the one to
            go on from.
          </p>
          <p className="row">
            <Plain onPress={() => void live.goTo(saved.mine_state)}>go on from this page’s change</Plain>
            <Plain onPress={() => void live.goTo(saved.theirs_state)}>go on from the file’s</Plain>
          </p>
        </Banner>
      ) : null}
      {saved?.saved === "not_written" ? (
        <Banner title="The file could not be written.">
          <p>{saved.why} What is shown is kept in the record, and is written as soon as that can be done.</p>
        </Banner>
      ) : null}
      {refused && !trial ? (
        <Banner title="Not done." onClose={() => live.forgetRefusal()}>
          <Problems of={refused} />
        </Banner>
      ) : null}
      {view && view.problems.length > 0 && !trial ? (
        <Banner title="Remarks on the file." quiet>
          <Problems of={view.problems} />
        </Banner>
      ) : null}
      {garbled ? (
        <Banner title="Something from the server could not be understood.">
          <p>{garbled}. Reload the page; if it says so again, page and server are of different versions.</p>
        </Banner>
      ) : null}
    </div>
  );
}

/** What is in the way of a trial. */
export function TrialTrouble() {
  const { view, refused } = useStore(live.store, (s) => s);
  if (view?.trial == null) return null;
  const problems = [...(refused ?? []), ...view.problems];
  if (problems.length === 0) return null;
  return (
    <div className="trial-trouble" role="alert">
      <strong>That can’t be.</strong>
      <Problems of={problems} />
    </div>
  );
}

function Banner(props: { title: string; children: React.ReactNode; quiet?: boolean; onClose?: () => void }) {
  return (
    <section className={props.quiet ? "banner quiet" : "banner"} role={props.quiet ? undefined : "alert"}>
      <div>
        <strong>{props.title}</strong> {props.children}
      </div>
      {props.onClose ? <Plain onPress={props.onClose}>close</Plain> : null}
    </section>
  );
}

function Problems({ of }: { of: readonly ProblemText[] }) {
  const shown = of.slice(0, SHOWN);
  return (
    <ul className="problems">
      {shown.map((p, i) => (
        <li key={i}>
          {p.line != null ? <span className="number">line {p.line}: </span> : null}
          <Words>{p.help ? `${p.what}; ${p.help}` : p.what}</Words>
          {p.text ? <code className="line">{p.text}</code> : null}
        </li>
      ))}
      {of.length > shown.length ? <li>and {of.length - shown.length} more</li> : null}
    </ul>
  );
}
