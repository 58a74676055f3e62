import { useEffect } from "react";
import { getJson } from "../base/api";
import { Guard } from "../base/Guard";
import { readable } from "../base/names";
import { useStore } from "../base/store";
import type { PieceCard, ShopNews } from "../wire";
import { Answer } from "./Answer";
import { Banners } from "./Banners";
import { desk, goToWord, hearShop, letGo, live, wordOfAddress, WORDS } from "./desk";
import { DrawingPane } from "./DrawingPane";
import { Help } from "./Help";
import { History } from "./History";
import { MethodSheet } from "./MethodSheet";
import { Splitter } from "./Splitter";
import { Strip } from "./Strip";
import { TopBar } from "./TopBar";

let opened = false;

/** The full page. */
export function SheetApp() {
  const view = useStore(live.store, (s) => s.view);
  const word = useStore(desk, (d) => d.word);
  const connection = useStore(live.store, (s) => s.connection);
  useEffect(() => {
    const since = async (): Promise<void> => {
      const got = await getJson<ShopNews>(`/api/shop?since=${desk.get().news.number}`);
      if (got.is === "there") hearShop(got.value);
    };
    const offShop = live.onShop(hearShop);
    const offOpen = live.onOpen(() => void since());
    if (!opened) {
      opened = true;
      live.open();
    }
    return () => {
      offShop();
      offOpen();
    };
  }, []);
  // Cards say what the frame as built and the settled plan make of a piece, too.
  const state = useStore(live.store, (s) => (s.real ? `${s.real.state} ${s.real.settled} ${s.real.sheet.is} ${s.real.sheet.laid}` : undefined));
  useEffect(() => {
    if (state === undefined) return;
    void getJson<PieceCard[]>("/api/pieces").then((got) => {
      if (got.is === "there") desk.set({ cards: got.value });
    });
  }, [state]);
  useEffect(() => {
    if (view) document.title = `${view.name} · Tubewright`;
  }, [view?.name]);
  useKeys();
  useEffect(() => {
    // The address was changed by hand, or by a link.
    const follow = (): void => {
      const word = wordOfAddress();
      if (word !== desk.get().word) goToWord(word);
    };
    window.addEventListener("hashchange", follow);
    return () => window.removeEventListener("hashchange", follow);
  }, []);
  return (
    <div className="page">
      <TopBar />
      <Banners />
      {view ? (
        <main className="middle">
          <Guard of="">
            <DrawingPane />
          </Guard>
          <Splitter />
          <Guard of={word}>
            <Answer />
          </Guard>
        </main>
      ) : (
        <main className="waiting">
          <p>{connection === "lost" ? "The server is not reached. The page tries again by itself." : "The design is being read."}</p>
        </main>
      )}
      {view ? <Strip /> : null}
      <Help />
      <History />
      <MethodSheet />
      <Said />
    </div>
  );
}

/** What is picked, for those who hear the page. */
function Said() {
  const picked = useStore(desk, (d) => d.picked);
  return (
    <div className="unseen" role="status">
      {picked ? `picked: ${picked.kind} ${readable(picked.name)}` : ""}
    </div>
  );
}

const typing = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement && (target.matches("input, textarea, select") || target.isContentEditable);

/** Keys that count wherever the focus is. */
function useKeys(): void {
  useEffect(() => {
    const down = (e: KeyboardEvent): void => {
      const control = e.ctrlKey || e.metaKey;
      if (control && e.key.toLowerCase() === "z" && !typing(e.target)) {
        e.preventDefault();
        void (e.shiftKey ? live.redo() : live.undo());
      } else if (control && e.key.toLowerCase() === "y" && !typing(e.target)) {
        e.preventDefault();
        void live.redo();
      } else if (e.key === "Escape" && !e.defaultPrevented && !typing(e.target)) {
        letGo();
      } else if (e.key === "/" && !typing(e.target)) {
        e.preventDefault();
        document.getElementById("search")?.focus();
      } else if (e.key === "?" && !typing(e.target)) {
        desk.set({ panel: "help" });
      } else if (e.altKey && e.key >= "1" && e.key <= "8") {
        e.preventDefault();
        document.getElementById(`word-${WORDS[Number(e.key) - 1]}`)?.click();
      }
    };
    window.addEventListener("keydown", down);
    return () => window.removeEventListener("keydown", down);
  }, []);
}
