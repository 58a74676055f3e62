import type { ShopAsk, ShopNews } from "../wire";

/** How long a send may take, ms. */
const SEND_WAIT = 8000;

/** Sends what was done in the shop, and gives the server's news once it is on the disk. */
export async function send(ask: ShopAsk): Promise<ShopNews> {
  const response = await fetch("/api/shop", {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(ask),
    // In a corner without reception nothing says no: then it is sent again.
    signal: AbortSignal.timeout(SEND_WAIT),
  });
  if (!response.ok) throw new Error(`the server answered ${response.status}`);
  return (await response.json()) as ShopNews;
}
