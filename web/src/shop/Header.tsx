import { useStore } from "../base/store";
import { shop } from "./shop";

/** How many are kept here, and whether the server hears. */
export function ShopHeader({ left, onLeft }: { left: string; onLeft?: () => void }) {
  const { online, kept, trouble } = useStore(shop, (s) => s);
  const words = online ? (kept > 0 ? `sending ${kept}` : "all sent") : `offline, ${kept} kept`;
  return (
    <>
      <header className="shop-top">
        {onLeft ? (
          <button type="button" onClick={onLeft}>
            ‹ {left}
          </button>
        ) : (
          <span>{left}</span>
        )}
        <span role="status" className={online && kept === 0 ? "" : "kept"}>
          {words}
        </span>
      </header>
      {trouble ? (
        <p className="banner" role="alert">
          {trouble}
        </p>
      ) : null}
    </>
  );
}
