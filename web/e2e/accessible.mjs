// Every page under an automated accessibility check, in light and dark, and at a phone's width.

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { House } from "./house.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const WORDS = ["shape", "stance", "rollover", "strength", "cutting", "stock", "build"];

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
    try {
      for (const colorScheme of ["light", "dark"]) {
        const page = await eyes.look(house.link, { colorScheme });
        for (const word of WORDS) {
          await page.getByRole("navigation").getByText(word, { exact: true }).click();
          await page.waitForTimeout(300);
          for (const s of await serious(page)) all.add(`${word}, ${colorScheme}: ${s}`);
        }
        for (const path of ["/shop", "/shop/main_hoop"]) {
          const phone = await eyes.look(new URL(path, house.link).href, { width: 390, height: 844, colorScheme });
          await phone.waitForTimeout(500);
          for (const s of await serious(phone)) all.add(`${path}, ${colorScheme}: ${s}`);
        }
      }
    } finally {
      await house.close();
    }
    if (all.size > 0) throw new Error([...all].join("\n      "));
  },
};
