// A phone in the shop: ticks and lengths, with the line cut in the middle, and a second phone.

import assert from "node:assert/strict";
import { House, until } from "./house.mjs";

const PHONE = { width: 390, height: 844, hasTouch: true, isMobile: true };

async function events(house) {
  const answer = await fetch(new URL("/api/shop?since=0", house.link));
  return (await answer.json()).events;
}

const tick = (page, operation) => page.getByRole("checkbox", { name: new RegExp(operation) });

export const shop = {
  "a phone ticks, loses its line, goes on, and nothing is lost or doubled": async (program, eyes) => {
    const house = await House.open(program, "gorse");
    try {
      const phone = await eyes.look(new URL("/shop", house.link).href, PHONE);
      await phone.getByLabel("who").fill("Ida");
      await phone.getByLabel("who").press("Enter");
      await phone.getByText("rail", { exact: true }).first().click();
      await tick(phone, "cut").click();
      await until("the server knows", async () => (await events(house)).length === 1);
      // The line drops in the middle of the work.
      await phone.context().setOffline(true);
      await house.kill();
      await tick(phone, "tacked").click();
      await phone.getByLabel(/measured/).fill("1374.5");
      await phone.getByLabel(/measured/).press("Enter");
      await phone.getByText(/2 kept/).waitFor();
      await house.start();
      await phone.context().setOffline(false);
      await until("all of it has come", async () => (await events(house)).length === 3);
      await phone.getByText(/all sent/).waitFor();
      const list = await events(house);
      assert.deepEqual(
        list.map((e) => [e.event, e.piece, e.operation ?? e.what, e.done ?? e.text, e.who]),
        [
          ["tick", "rail", "cut", true, "Ida"],
          ["tick", "rail", "tacked", true, "Ida"],
          ["measured", "rail", list[2].what, "1374.5 mm", "Ida"],
        ],
      );
      assert.equal(new Set(list.map((e) => e.id)).size, 3);
      await phone.reload();
      await until("ticks are there after a reload", async () => {
        const box = tick(phone, "cut");
        return (await box.count()) > 0 && (await box.getAttribute("aria-checked")) === "true";
      });
      assert.equal((await events(house)).length, 3);
    } finally {
      await house.close();
    }
  },

  "a cut piece says which stick it came from and what is left": async (program, eyes) => {
    const house = await House.open(program, "gorse");
    try {
      const phone = await eyes.look(new URL("/shop/rail", house.link).href, PHONE);
      await tick(phone, "cut").click();
      const planned = phone.getByRole("button", { name: /^from \w+, .* left$/ });
      const words = /from (\w+), (.*) left/.exec(await planned.innerText());
      await planned.click();
      await until("the server knows", async () => (await events(house)).length === 2);
      const used = (await events(house)).find((e) => e.event === "used");
      assert.deepEqual([used.piece, used.stick, used.left], ["rail", words[1], words[2]]);
      // It was another one; then it is not cut after all.
      await phone.getByRole("button", { name: "not so" }).click();
      await phone.getByLabel("cut from stick").fill("Z9");
      await phone.getByLabel(/left of it/).fill("12x");
      assert.equal(await phone.getByRole("button", { name: "keep it" }).isDisabled(), true);
      await phone.getByLabel(/left of it/).fill("812.5");
      await phone.getByRole("button", { name: "keep it" }).click();
      await phone.getByText(/cut from Z9, 812.5/).waitFor();
      await tick(phone, "cut").click();
      await until("it is withdrawn", async () => (await events(house)).at(-1)?.event === "used" && (await events(house)).at(-1).left === "");
    } finally {
      await house.close();
    }
  },

  "a length that is far off is asked about before it is kept, and the question waits": async (program, eyes) => {
    const house = await House.open(program, "wren");
    try {
      const phone = await eyes.look(new URL("/shop/cross_8", house.link).href, PHONE);
      const box = phone.getByLabel(/measured/);
      const type = async (text) => {
        await box.fill(text);
        await box.press("Enter");
      };
      await type("51 7/8");
      await phone.getByText(/51 7\/8 is far from/).waitFor();
      await phone.getByRole("button", { name: /^next piece/ }).click();
      await phone.getByRole("button", { name: /^piece before/ }).click();
      await phone.reload();
      await phone.getByText(/51 7\/8 is far from/).waitFor();
      assert.equal((await events(house)).length, 0);
      await phone.getByRole("button", { name: "mend it" }).click();
      await type("15 7/8");
      await until("what is near is kept at once", async () => (await events(house)).length === 1);
      assert.equal(await phone.getByText(/is far from/).count(), 0);
      await type("5 7/8");
      await phone.getByRole("button", { name: "keep it" }).click();
      await until("what is far is kept when it is said so", async () => (await events(house)).length === 2);
      assert.deepEqual((await events(house)).map((e) => e.text), ["15.875 in", "5.875 in"]);
      assert.equal(await phone.getByText(/is far from/).count(), 0);
    } finally {
      await house.close();
    }
  },

  "two phones see one another's ticks within a second": async (program, eyes) => {
    const house = await House.open(program, "gorse");
    try {
      const link = new URL("/shop/rail", house.link).href;
      const [one, two] = [await eyes.look(link, PHONE), await eyes.look(link, PHONE)];
      await tick(two, "cut").waitFor();
      await tick(one, "cut").waitFor();
      const start = Date.now();
      await tick(one, "cut").click();
      await until("the other shows it", async () => (await tick(two, "cut").getAttribute("aria-checked")) === "true");
      console.log(`      seen after ${Date.now() - start} ms`);
      await tick(two, "cut").click();
      await until("taken back on both", async () => (await tick(one, "cut").getAttribute("aria-checked")) === "false");
    } finally {
      await house.close();
    }
  },
};
