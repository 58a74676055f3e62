// Longer work at the full page: bent tubes, the path of a tube, a stopped run, and all of it without a mouse.

import assert from "node:assert/strict";
import { find, text, withHouse, word } from "./hands.mjs";
import { until } from "./house.mjs";

const undo = (page) => page.getByRole("button", { name: /^undo/ });

/** Chooses one of several words in a card of the drawing. */
async function choose(page, label, option) {
  await page.getByRole("complementary").getByRole("button", { name: label }).click();
  await page.getByRole("option", { name: option, exact: true }).click();
}

/** The ink that the frame is drawn with: how many pixels of the drawing are not paper. */
async function ink(page) {
  const canvas = page.locator("canvas");
  await page.waitForTimeout(600);
  const png = (await canvas.screenshot()).toString("base64");
  return page.evaluate(async (data) => {
    const image = new Image();
    image.src = `data:image/png;base64,${data}`;
    await image.decode();
    const paper = new OffscreenCanvas(image.width, image.height).getContext("2d");
    paper.drawImage(image, 0, 0);
    const { data: pixels } = paper.getImageData(0, 0, image.width, image.height);
    let dark = 0;
    for (let i = 0; i < pixels.length; i += 4) if (pixels[i] < 100) dark += 1;
    return dark;
  }, png);
}

export const working = {
  "a bent tube is added point by point from the keyboard's lists, and its path is changed": (program, eyes) =>
    withHouse(program, "wren", async (house) => {
      const page = await eyes.look(house.link);
      const before = text(house);
      await page.getByRole("button", { name: "add a tube" }).click();
      await choose(page, /from$/, "bulk top");
      await choose(page, /on to$/, "front foot");
      await choose(page, /on to$/, "main shoulder");
      await page.getByLabel("bend radius").fill("4");
      await page.getByLabel("bend radius").press("Enter");
      const name = page.getByRole("textbox", { name: "name" });
      await name.fill("arch");
      await name.press("Tab");
      await page.getByText("A trial: nothing is changed yet.").waitFor();
      assert.equal(text(house), before);
      await page.getByRole("button", { name: "add it" }).click();
      const path = () => /\[tube\.arch\][^[]*path = \[(.*)\]/.exec(text(house))?.[1];
      await until("the file has the tube", () => path() === '"bulk_top", "front_foot", "main_shoulder"');
      assert.match(text(house), /\[tube\.arch\][^[]*\[[^[]*bend_radius = 4\n/);
      // Its path: another order, another point, one less, and back.
      await page.getByRole("button", { name: "change the path" }).click();
      await page.getByRole("button", { name: "front foot one place later" }).click();
      await until("two points have changed places", () => path() === '"bulk_top", "main_shoulder", "front_foot"');
      await undo(page).click();
      await until("they are back", () => path() === '"bulk_top", "front_foot", "main_shoulder"');
      await page.getByRole("button", { name: "leave front foot out" }).click();
      await until("it is straight", () => path() === '"bulk_top", "main_shoulder"');
      assert.doesNotMatch(text(house), /\[tube\.arch\][^[]*\[[^[]*bend_radius/);
      await page.getByLabel("radius of its bend").fill("4");
      await page.getByLabel("radius of its bend").press("Enter");
      await choose(page, /run it through another point/, "front foot");
      await until("it is bent again", () => path() === '"bulk_top", "front_foot", "main_shoulder"');
      for (let k = 0; k < 3; k += 1) {
        const now = text(house);
        await undo(page).click();
        await until("a change is taken back", () => text(house) !== now);
      }
      assert.equal(text(house), before);
    }),

  "a tube that was taken out is drawn again when it is back": (program, eyes) =>
    withHouse(program, "wren", async (house) => {
      const page = await eyes.look(house.link);
      await page.getByRole("heading", { name: "What is the frame?" }).waitFor();
      await find(page, "brace", "tube");
      await page.getByRole("button", { name: "let go" }).click();
      const [file, all] = [text(house), await ink(page)];
      await find(page, "brace", "tube");
      await page.getByRole("button", { name: "take it out" }).click();
      await until("it is out", () => text(house) !== file);
      const without = await ink(page);
      assert.ok(without < all, `${without} of ${all} dark pixels without it`);
      await undo(page).click();
      await until("the file is as it was", () => text(house) === file);
      assert.equal(await ink(page), all);
    }),

  "pushing loads past yielding tells how far it is, can be stopped and done anew": (program, eyes) =>
    withHouse(program, "wren", async (house) => {
      const page = await eyes.look(house.link);
      await word(page, "strength");
      const start = page.getByRole("button", { name: "push the loads past yielding" });
      await start.click();
      const stop = page.getByRole("button", { name: "stop", exact: true });
      await stop.waitFor();
      const part = page.getByRole("progressbar");
      await until("it is under way", async () => (await part.count()) === 0 || Number(await part.getAttribute("value")) > 0);
      await stop.click();
      await page.getByText("No result: stopped.").waitFor();
      assert.equal(await page.getByRole("heading", { name: /past yielding/ }).count(), 0);
      await start.click();
      await page.getByRole("heading", { name: /past yielding/i }).first().waitFor();
      assert.equal(await page.getByText("No result: stopped.").count(), 0);
    }),

  "a point is moved, a tube is split and the changes taken back without a mouse": (program, eyes) =>
    withHouse(program, "wren", async (house) => {
      const page = await eyes.look(house.link);
      await page.getByRole("heading", { name: "What is the frame?" }).waitFor();
      const before = text(house);
      const keys = async (...all) => {
        for (const key of all) await page.keyboard.press(key);
      };
      const tabTo = async (name) => {
        for (let k = 0; k < 60; k += 1) {
          await keys("Tab");
          if (await page.evaluate((n) => (document.activeElement?.labels?.[0]?.textContent ?? document.activeElement?.textContent) === n, name)) return;
        }
        assert.fail(`no ${name} within 60 steps of Tab`);
      };
      await keys("/");
      await page.keyboard.type("bulk_top");
      await page.getByRole("option").first().waitFor();
      await keys("ArrowDown", "Enter");
      await tabTo("x, in");
      await keys("Control+a");
      await page.keyboard.type("3' 2 1/2");
      await keys("Enter");
      await until("the point has moved", () => /bulk_top = \[38\.5, 8, 15\]/.test(text(house)));
      await page.locator("canvas").focus();
      await keys("Control+z");
      await until("it is back", () => text(house) === before);
      await keys("/");
      await page.keyboard.type("cross_8");
      await page.getByRole("option").first().waitFor();
      await keys("ArrowDown", "Enter");
      await tabTo("split it");
      await keys("Enter");
      await page.getByLabel("from the start of cross 8").waitFor();
      await tabTo("from the start of cross 8");
      await page.keyboard.type("6");
      await keys("Enter");
      await tabTo("split it");
      await keys("Enter");
      await until("there are two tubes", () => /\[tube\.cross_8_1\]/.test(text(house)));
      assert.match(text(house), /cross_8_split_1 = \[8, 3, 0\]/);
      await page.locator("canvas").focus();
      await keys("Control+z");
      await until("there is one again", () => text(house) === before);
    }),

  "what is typed and is no length is kept in its box, and nothing is added until it is mended": (program, eyes) =>
    withHouse(program, "wren", async (house) => {
      const page = await eyes.look(house.link);
      await page.getByRole("button", { name: "add a point" }).click();
      const box = (axis) => page.getByLabel(`${axis}, in`, { exact: true });
      for (const [axis, typed] of [["x", "12"], ["y", "30 cm"], ["z", "one foot"]]) {
        await box(axis).fill(typed);
        await box(axis).press("Tab");
      }
      assert.equal(await box("z").inputValue(), "one foot");
      const add = page.getByRole("button", { name: "add it" });
      assert.ok(await add.isDisabled());
      await box("z").fill("1'");
      await box("z").press("Enter");
      assert.equal(await box("y").inputValue(), "11.811");
      await add.click();
      await until("the file has it", () => /point_1 = \[12, 11\.81102, 12\]/.test(text(house)));
    }),
};
