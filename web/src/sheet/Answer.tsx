import { Plain } from "../base/controls";
import { useStore } from "../base/store";
import type { Word } from "../wire";
import { BuildList } from "./BuildList";
import { BuildSheet } from "./BuildSheet";
import { desk, live, WORDS, worstFirst } from "./desk";
import { Findings } from "./Findings";
import { PiecePage } from "./PiecePage";
import { PageTable } from "./PageTable";
import { StockPicture } from "./StockPicture";
import { LongRuns } from "./LongRuns";

/** Answers that come a moment after the others. */
const WAITING: readonly Word[] = ["jigs", "build"];

/** The answer to the word's question. */
export function Answer() {
  const word = useStore(desk, (d) => d.word);
  const piece = useStore(desk, (d) => d.piece);
  const now = useStore(live.store, (s) => s.view?.pages.find((p) => p.word === word));
  const trial = useStore(live.store, (s) => s.view?.trial != null);
  // What takes too long to follow a trial stands as it was, and says so.
  const before = useStore(live.store, (s) => s.real?.pages.find((p) => p.word === word));
  const page = now ?? (trial ? before : undefined);
  // Long lists that do not follow a trial stand as they were, too.
  const kept = trial && now && before ? before.tables.filter((t) => t.folded && !now.tables.some((n) => n.key === t.key)) : [];
  const sheet = useStore(live.store, (s) => s.real?.sheet.is);
  const waits = WAITING.includes(word);
  if (piece !== null) return <PiecePage name={piece} />;
  return (
    <section key={word} className="answer" aria-label="Answer">
      {page ? (
        <>
          {word === "build" && sheet === "laying" ? <p className="trial">The frame as built is being worked out anew. What follows is as it was before.</p> : null}
          {trial ? <p className="trial">A trial: nothing is changed yet.{now ? "" : " What follows is as it was before."}</p> : null}
          <h2>{page.question}</h2>
          <p className="lead">{page.lead}</p>
          <Findings key={word} of={worstFirst(page.findings)} />
          <LongRuns word={word} />
        </>
      ) : (
        <>
          <h2>{questionOf(word)}</h2>
          <p className="quiet">{waits ? "Being worked out." : "This program has no answer to this word yet."}</p>
        </>
      )}
      {/* It stays on the screen while answers come and go: somebody may be writing in it. */}
      {word === "build" ? <BuildSheet key="sheet" /> : null}
      {word === "build" ? <BuildList folded={(page?.tables.length ?? 0) > 0} /> : null}
      {(page?.tables ?? []).map((table, i) => (
        <PageTable key={`${word} ${i} ${table.key}`} table={table} />
      ))}
      {kept.length > 0 ? <p className="trial">As it was before the trial:</p> : null}
      {kept.map((table) => (
        <PageTable key={`${word} ${table.key}`} table={table} />
      ))}
      {word === "stock" ? <StockPicture /> : null}
      {page && page.cautions.length > 0 ? (
        <ul className="cautions" aria-label="What it leaves out">
          {page.cautions.map((caution, i) => (
            <li key={i}>{caution}</li>
          ))}
        </ul>
      ) : null}
      <p className="foot">
        {page?.method ? <Plain onPress={() => desk.set({ method: page.method })}>how this is worked out</Plain> : null}
        <a className="button" href="/api/packet" download>
          packet for the shop, PDF
        </a>
      </p>
    </section>
  );
}

const questionOf = (word: Word): string =>
  [
    "What is the frame?",
    "How does it stand on its wheels?",
    "What happens when it goes over?",
    "Is it stiff and strong enough?",
    "What is each piece?",
    "Which stick does each piece come from?",
    "What holds it while it is welded?",
    "Where are we?",
  ][WORDS.indexOf(word)] ?? word;
