import { useStore } from "../base/store";
import { setTheme, theme, type Theme } from "../base/theme";
import { Choice } from "../base/controls";
import { desk, goToWord, live, WORDS } from "./desk";

const THEMES: readonly { id: Theme; words: string }[] = [
  { id: "system", words: "paper: as the system" },
  { id: "light", words: "paper: light" },
  { id: "dark", words: "paper: dark" },
];

/** Name, facts, and the eight words. */
export function TopBar() {
  const view = useStore(live.store, (s) => s.view);
  const word = useStore(desk, (d) => d.word);
  const paper = useStore(theme, (t) => t.theme);
  return (
    <header className="top">
      <h1>{view?.name ?? "Tubewright"}</h1>
      <p className="facts">{view?.facts.join(" · ")}</p>
      <nav aria-label="The eight words">
        {WORDS.map((w) => (
          <a
            key={w}
            id={`word-${w}`}
            href={`#${w}`}
            aria-current={w === word ? "page" : undefined}
            onClick={(e) => {
              e.preventDefault();
              goToWord(w);
            }}
          >
            {w}
          </a>
        ))}
      </nav>
      <Choice label="Light or dark paper" hideLabel value={paper} items={THEMES} onChange={setTheme} />
    </header>
  );
}
