// Looking and changing: a point, a tube from advice, an editor beside it, two pages at once.

import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { find, set, text, value, withHouse, word } from "./hands.mjs";
import { until } from "./house.mjs";

/** The length of a piece as the cutting page tells it. */
async function blank(page, piece) {
  await word(page, "cutting");
  const row = page.getByRole("row").filter({ has: page.getByText(piece, { exact: true }) }).first();
  await row.waitFor();
  return row.innerText();
}

export const shaping = {
  "a moved point changes its pieces, is written with comments kept, goes back and outlives a reload": (program, eyes) =>
    withHouse(program, "gorse", async (house) => {
      const page = await eyes.look(house.link);
      await page.getByRole("heading", { name: "What is the frame?" }).waitFor();
      const [before, row] = [text(house), await blank(page, "rail_front")];
      await word(page, "shape");
      await find(page, "rail_nose");
      assert.equal(await value(page, "x"), 1475);
      await set(page, "x", 1500);
      await until("the file says it", () => text(house).includes("rail_nose = [1500, 300, 0]"));
      const changed = text(house);
      assert.equal(changed.replace("rail_nose = [1500,", "rail_nose = [1475,"), before, "nothing else has changed");
      await until("the piece is longer", async () => (await blank(page, "rail_front")) !== row);
      await page.reload();
      await until("undo is there after a reload", async () => page.getByRole("button", { name: /^undo/ }).isEnabled());
      await page.getByRole("button", { name: /^undo/ }).click();
      await until("the file is as it was", () => text(house) === before);
      await until("the piece is as it was", async () => (await blank(page, "rail_front")) === row);
      await page.getByRole("button", { name: "redo" }).click();
      await until("the change is back", () => text(house) === changed);
    }),

  "a finding appears with a change and leaves with it": (program, eyes) =>
    withHouse(program, "gorse", async (house) => {
      const page = await eyes.look(house.link);
      // A tube that ends in the air.
      const before = text(house);
      const found = page.getByRole("listitem").filter({ hasText: "cross_tail" });
      await page.getByRole("heading", { name: "What is the frame?" }).waitFor();
      const count = await found.count();
      await find(page, "tail_cross");
      await set(page, "z", 400);
      await until("the file has changed", () => text(house) !== before);
      await until("a finding", async () => (await found.count()) > count);
      await page.getByRole("button", { name: /^undo/ }).click();
      await until("the file is as it was", () => text(house) === before);
      await until("the finding has left", async () => (await found.count()) === count);
    }),

  "a suggested tube is added with one click": (program, eyes) =>
    withHouse(program, "gorse", async (house) => {
      const page = await eyes.look(house.link);
      await word(page, "strength");
      const add = page.getByRole("button", { name: /add it/ }).first();
      await add.click();
      await until("the file has the tube", () => /^\[tube\.brace\]/m.test(text(house)));
      await until("the drawing has it", async () => {
        await find(page, "brace", "tube");
        return (await page.getByRole("heading", { name: /^brace/ }).count()) > 0;
      });
    }),

  "a change in an editor appears, a broken one is told with its line and nothing is written over it": (program, eyes) =>
    withHouse(program, "wren", async (house) => {
      const page = await eyes.look(house.link);
      await page.getByRole("heading", { name: "What is the frame?" }).waitFor();
      const before = text(house);
      const name = /^name = "(.*)"/m.exec(before)[1];
      writeFileSync(house.file, before.replace(`name = "${name}"`, 'name = "Renamed by hand"'));
      await page.getByText("Renamed by hand").first().waitFor();
      const broken = before.replace("[tube.", "[tube..");
      writeFileSync(house.file, broken);
      const line = before.slice(0, before.indexOf("[tube.")).split("\n").length;
      await page.getByText(new RegExp(`line ${line}\\b`)).first().waitFor();
      assert.equal(text(house), broken);
      writeFileSync(house.file, before);
      await page.getByText(new RegExp(`line ${line}\\b`)).first().waitFor({ state: "detached" });
      await page.getByText(name).first().waitFor();
    }),

  "answers follow a dragged point, Escape lets go, and letting it go makes the change": (program, eyes) =>
    withHouse(program, "gorse", async (house) => {
      const page = await eyes.look(house.link);
      const before = text(house);
      await find(page, "rail_nose");
      const grip = page.locator(".handle.x .grip");
      await grip.waitFor({ state: "attached" });
      // The drawing turns to the point for a moment.
      let at = await grip.boundingBox();
      await until("the drawing stands", async () => {
        const now = await grip.boundingBox();
        const still = now && at && Math.abs(now.x - at.x) + Math.abs(now.y - at.y) < 0.5;
        at = now;
        return still;
      });
      const [x, y] = [at.x + at.width / 2, at.y + at.height / 2];
      const drag = async (steps) => {
        await page.mouse.move(x, y);
        await page.mouse.down();
        const seen = [];
        for (let k = 1; k <= steps; k += 1) {
          const was = await value(page, "x");
          const start = Date.now();
          await page.mouse.move(x + 6 * k, y + 3 * k);
          await until("the trial is shown", async () => (await value(page, "x")) !== was);
          seen.push(Date.now() - start);
        }
        return seen.sort((a, b) => a - b);
      };
      const seen = await drag(5);
      console.log(`      a trial is shown after ${seen[2]} ms in the median, without a graphics processor`);
      assert.notEqual(await value(page, "x"), 1475);
      await page.keyboard.press("Escape");
      await page.mouse.up();
      await until("it is where it was", async () => (await value(page, "x")) === 1475);
      assert.equal(text(house), before);
      await find(page, "rail_nose");
      await drag(3);
      await page.mouse.up();
      await until("the change is made", () => text(house) !== before);
      const made = /rail_nose = \[([\d.]+), 300, 0\]/.exec(text(house));
      assert.ok(made && Number(made[1]) !== 1475, "only x has changed");
    }),

  "two pages see one another's changes": (program, eyes) =>
    withHouse(program, "gorse", async (house) => {
      const one = await eyes.look(house.link);
      const two = await eyes.look(house.link);
      for (const page of [one, two]) {
        await find(page, "rail_nose");
        assert.equal(await value(page, "x"), 1475);
      }
      await set(one, "x", 1490);
      await until("the other shows it", async () => (await value(two, "x")) === 1490);
      await set(two, "y", 310);
      await until("the first shows it", async () => (await value(one, "y")) === 310);
      assert.ok(text(house).includes("rail_nose = [1490, 310, 0]"));
    }),

  "what was changed outlives a killed program, and the page finds it again": (program, eyes) =>
    withHouse(program, "gorse", async (house) => {
      const page = await eyes.look(house.link);
      await find(page, "rail_nose");
      await set(page, "x", 1490);
      await until("the file says it", () => text(house).includes("rail_nose = [1490, 300, 0]"));
      await house.kill();
      await page.getByText(/not connected/i).first().waitFor();
      await house.start();
      await page.getByText(/not connected/i).first().waitFor({ state: "detached" });
      await page.getByRole("button", { name: /^undo/ }).click();
      await until("the change is taken back", () => text(house).includes("rail_nose = [1475, 300, 0]"));
    }),

  "every word has its page": (program, eyes) =>
    withHouse(program, "gorse", async (house) => {
      const page = await eyes.look(house.link);
      const questions = {
        shape: "What is the frame?",
        stance: "How does it stand on its wheels?",
        rollover: "What happens when it goes over?",
        strength: "Is it stiff and strong enough, and which tube would help most?",
        cutting: "What is each piece?",
        stock: "Which stick does each piece come from?",
      };
      for (const [name, question] of Object.entries(questions)) {
        await word(page, name);
        await page.getByRole("heading", { name: question }).waitFor();
      }
    }),
};
