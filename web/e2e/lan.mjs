// A phone on the network: the machine's own address, the link with its token, then the cookie.

import assert from "node:assert/strict";
import { networkInterfaces } from "node:os";
import { House, until } from "./house.mjs";

const PHONE = { width: 390, height: 844, hasTouch: true, isMobile: true };

/** The machine's own addresses that are not its loop. */
const addresses = () =>
  Object.values(networkInterfaces())
    .flat()
    .filter((a) => a.family === "IPv4" && !a.internal)
    .map((a) => a.address);

export const lan = {
  "a phone comes in over the network by the link alone, stays by its cookie, and a wrong token is refused": async (program, eyes) => {
    if (addresses().length === 0) {
      console.log("      NOT TRIED: this machine has no address but its loop");
      return;
    }
    const house = await House.open(program, "wren", ["--lan"]);
    try {
      const link = await until("the link for phones is told", () => /open (http:\S+token=\S+)/.exec(house.said)?.[1]);
      const { origin, hostname, pathname } = new URL(link);
      assert.ok(addresses().includes(hostname), `${hostname} is an address of this machine`);
      const status = async (path, more) => (await fetch(new URL(path, origin), { redirect: "manual", ...more })).status;
      assert.equal(await status(pathname), 401);
      assert.equal(await status(`${pathname}?token=wrong`), 401);
      assert.equal(await status("/api/pieces"), 401);
      const stranger = await eyes.look(`${origin}${pathname}?token=wrong`, PHONE);
      assert.equal(await stranger.getByText("rail", { exact: true }).count(), 0);
      const phone = await eyes.look(link, PHONE);
      await phone.getByText("rail", { exact: true }).first().waitFor();
      assert.ok(!phone.url().includes("token"), "the token has left the address");
      const [cookie] = await phone.context().cookies(origin);
      assert.ok(cookie.httpOnly && cookie.sameSite === "Strict");
      // The cookie is enough from here on, and what is ticked reaches the machine's own page.
      await phone.goto(`${origin}/shop/cross_8`);
      await phone.getByRole("checkbox", { name: /cut/ }).click();
      await phone.getByText("all sent").waitFor();
      const own = new URL("/api/shop?since=0", house.link);
      await until("the machine knows", async () => (await (await fetch(own)).json()).events.length === 1);
      const page = await eyes.look(new URL("/#build", house.link).href);
      const row = page.getByRole("row").filter({ hasText: /^cross 8/ });
      await row.getByRole("img", { name: "done" }).first().waitFor();
      // Without it, nobody comes in.
      await phone.context().clearCookies();
      assert.equal((await phone.goto(`${origin}/shop/cross_8`)).status(), 401);
    } finally {
      await house.close();
    }
  },
};
