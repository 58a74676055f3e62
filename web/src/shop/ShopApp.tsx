import { useEffect, useState } from "react";
import { getJson } from "../base/api";
import { useStore } from "../base/store";
import type { PieceCard, ShopNews } from "../wire";
import { PieceView } from "./PieceView";
import { PieceList } from "./PieceList";
import { shop, startShop } from "./shop";

/** The phone at the bender: one piece at a time. */
export function ShopApp() {
  const [path, setPath] = useState(location.pathname);
  const pieces = useStore(shop, (s) => s.pieces);
  useEffect(() => {
    const back = (): void => setPath(location.pathname);
    window.addEventListener("popstate", back);
    startShop(
      () => getJson<PieceCard[]>("/api/pieces"),
      (since) => getJson<ShopNews>(`/api/shop?since=${since}`),
    );
    return () => window.removeEventListener("popstate", back);
  }, []);
  const go = (piece: string | null): void => {
    const to = piece === null ? "/shop" : `/shop/${encodeURIComponent(piece)}`;
    history.pushState(null, "", to);
    setPath(to);
    window.scrollTo(0, 0);
  };
  const named = decodeURIComponent(path.replace(/^\/shop\/?/, ""));
  const at = pieces.findIndex((p) => p.name === named);
  const piece = pieces[at];
  useEffect(() => {
    document.title = piece ? `${piece.name} · shop` : "Shop · Tubewright";
  }, [piece?.name]);
  if (piece) return <PieceView piece={piece} next={pieces[at + 1] ?? null} before={pieces[at - 1] ?? null} of={pieces.length} go={go} />;
  return <PieceList missing={named !== "" && pieces.length > 0 ? named : null} go={go} />;
}
