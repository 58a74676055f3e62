import { useEffect, useState } from "react";
import { getJson } from "../base/api";
import { useStore } from "../base/store";
import type { MeasureSheet, PieceCard, ShopNews } from "../wire";
import { MeasurePage } from "./MeasurePage";
import { PieceView } from "./PieceView";
import { PieceList } from "./PieceList";
import { shop, startShop } from "./shop";

/** The page that measures on the car. A piece that is called like it is told from it by its mark. */
const MEASURE = "/shop/measure";
const PIECE = "#piece";

const here = (): string => location.pathname + (location.pathname === MEASURE && location.hash === PIECE ? PIECE : "");

/** The phone at the bender: one piece at a time. */
export function ShopApp() {
  const [path, setPath] = useState(here);
  const pieces = useStore(shop, (s) => s.pieces);
  useEffect(() => {
    const back = (): void => setPath(here());
    window.addEventListener("popstate", back);
    startShop({
      pieces: () => getJson<PieceCard[]>("/api/pieces"),
      since: (since) => getJson<ShopNews>(`/api/shop?since=${since}`),
      measure: () => getJson<MeasureSheet>("/api/measure"),
    });
    return () => window.removeEventListener("popstate", back);
  }, []);
  const goTo = (to: string): void => {
    history.pushState(null, "", to);
    setPath(to);
    window.scrollTo(0, 0);
  };
  const go = (piece: string | null): void => {
    const to = piece === null ? "/shop" : `/shop/${encodeURIComponent(piece)}`;
    goTo(to === MEASURE ? to + PIECE : to);
  };
  const measuring = path === MEASURE;
  const named = decodeURIComponent(path.replace(PIECE, "").replace(/^\/shop\/?/, ""));
  const at = pieces.findIndex((p) => p.name === named);
  const piece = pieces[at];
  useEffect(() => {
    document.title = measuring ? "Measure · shop" : piece ? `${piece.name} · shop` : "Shop · Tubewright";
  }, [measuring, piece?.name]);
  if (measuring) return <MeasurePage onLeft={() => go(null)} />;
  if (piece) return <PieceView piece={piece} next={pieces[at + 1] ?? null} before={pieces[at - 1] ?? null} of={Math.max(...pieces.map((p) => p.number))} go={go} />;
  return <PieceList missing={named !== "" && pieces.length > 0 ? named : null} go={go} onMeasure={() => goTo(MEASURE)} />;
}
