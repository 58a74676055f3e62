// Every page under an automated accessibility check, in light and dark, and at a phone's width.

import { createRequire } from "node:module";
import { readFileSync, writeFileSync } from "node:fs";
import { House } from "./house.mjs";
import { sheetFile } from "./measured.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const WORDS = ["shape", "stance", "rollover", "strength", "cutting", "stock", "build"];

/** A tape that nothing checks, one that is left out, and one that can't be used. */
const SHEET = `[tape]
a = { from = "rail_nose", to = "rail_nose~", reads = 602 }
b = { from = "rail_nose", to = "rail_nose~", reads = 702, leave_out = true }
c = { from = "rail_nose", to = "nowhere", reads = 1 }
`;

/** What is serious of what the check finds. */
async function serious(page) {
  // As the browser's own tools do, past the page's policy.
  await page.evaluate(axe);
  const found = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
  return found.violations
    .filter((v) => v.impact === "serious" || v.impact === "critical")
    .map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160)).join(" | ")}`);
}

export const accessible = {
  "no page has a serious finding of an accessibility check": async (program, eyes) => {
    const house = await House.open(program, "gorse");
    const all = new Set();
    writeFileSync(sheetFile(house), SHEET);
    try {
      for (const colorScheme of ["light", "dark"]) {
        const page = await eyes.look(house.link, { colorScheme });
        for (const word of WORDS) {
          await page.getByRole("navigation").getByText(word, { exact: true }).click();
          await page.waitForTimeout(300);
          for (const s of await serious(page)) all.add(`${word}, ${colorScheme}: ${s}`);
        }
        await page.getByRole("button", { name: "add a reading" }).click();
        await page.getByRole("button", { name: "write it down" }).waitFor();
        for (const s of await serious(page)) all.add(`a reading, ${colorScheme}: ${s}`);
        for (const path of ["/shop", "/shop/main_hoop", "/shop/measure"]) {
          const phone = await eyes.look(new URL(path, house.link).href, { width: 390, height: 844, colorScheme });
          await phone.waitForTimeout(500);
          for (const s of await serious(phone)) all.add(`${path}, ${colorScheme}: ${s}`);
          if (path !== "/shop/measure") continue;
          await phone.getByRole("button", { name: /^from/ }).click();
          await phone.getByRole("searchbox").waitFor();
          for (const s of await serious(phone)) all.add(`the list of places, ${colorScheme}: ${s}`);
        }
      }
    } finally {
      await house.close();
    }
    if (all.size > 0) throw new Error([...all].join("\n      "));
  },
};
