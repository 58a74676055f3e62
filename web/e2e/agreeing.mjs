// Page, phone and terminal say the same; and no page runs away under its drawing.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { withHouse, word } from "./hands.mjs";
import { until } from "./house.mjs";
import { PHONE, sheetFile } from "./measured.mjs";

const WORDS = ["shape", "stance", "rollover", "strength", "cutting", "stock", "jigs", "build"];

/** The nose is two millimetres wider than designed: a cross tube must be longer. */
const SHEET = `[tape]
n = { from = "rail_nose", to = "rail_nose~", reads = 602 }
`;

export const agreeing = {
  "no word's page is longer than the window": (program, eyes) =>
    withHouse(program, "gorse", async (house) => {
      writeFileSync(sheetFile(house), SHEET);
      for (const width of [1440, 1100]) {
        const page = await eyes.look(house.link, { width });
        const wrong = [];
        for (const w of WORDS) {
          await word(page, w);
          await page.locator("section.answer p.lead").waitFor();
          await page.waitForTimeout(250);
          const [tall, window] = await page.evaluate(() => [document.documentElement.scrollHeight, innerHeight]);
          if (tall > window) wrong.push(`${w}: ${tall} of ${window} px`);
        }
        assert.deepEqual(wrong, []);
      }
    }),

  "the settled page's sticks are the terminal's": (program, eyes) =>
    withHouse(program, "gorse", async (house) => {
      const page = await eyes.look(`${house.link}#stock`);
      await page.locator("#table-buy").waitFor();
      await until("it is settled", async () => (await page.getByText("the full plan follows", { exact: false }).count()) === 0);
      const shown = await page.evaluate(() => {
        const rows = [...document.querySelectorAll('[id^="table-sticks"] tbody tr')];
        return rows.map((r) => [r.cells[0].textContent.trim(), r.cells[3].textContent.trim()]);
      });
      const told = JSON.parse(execFileSync(program, ["stock", house.file, "--json"], { encoding: "utf8", maxBuffer: 1 << 26 }));
      const said = (told.plan ?? told).sections.flatMap((s) => s.sticks).map((k) => [k.mark, k.cuts.map((c) => c.name)]);
      assert.equal(shown.length, said.length);
      for (const [i, [mark, pieces]] of said.entries()) {
        assert.equal(shown[i][0], mark);
        for (const name of pieces) assert.ok(shown[i][1].includes(name), `${mark}: ${name} in ${shown[i][1]}`);
      }
    }),

  "a phone shows what the frame as built asks of a piece, and holds what is measured against that": (program, eyes) =>
    withHouse(program, "gorse", async (house) => {
      const phone = await eyes.look(new URL("/shop/cross_nose", house.link).href, PHONE);
      await phone.getByText("549 mm wanted", { exact: false }).waitFor();
      writeFileSync(sheetFile(house), SHEET);
      const box = phone.getByRole("region", { name: "As built" });
      await box.getByText("550.5", { exact: true }).waitFor();
      await box.getByText(/\(\+1\.\d+\)/).waitFor();
      await phone.getByText("550.5 mm wanted, as built", { exact: false }).waitFor();
      await phone.getByRole("button", { name: /^‹/ }).first().click();
      await phone.getByRole("listitem").filter({ hasText: "cross nose" }).getByText(/^as built: 550\.5 mm/).waitFor();
    }),

  "what is typed beside the drawing outlives a change of the sheet": (program, eyes) =>
    withHouse(program, "gorse", async (house) => {
      const page = await eyes.look(`${house.link}#build`);
      await page.getByRole("button", { name: "add a reading" }).click();
      const reads = page.getByLabel(/^reads/);
      await reads.fill("60");
      writeFileSync(sheetFile(house), SHEET);
      await page.locator("#table-readings").waitFor();
      await page.keyboard.type("1.5");
      assert.equal(await reads.inputValue(), "601.5");
    }),
};
