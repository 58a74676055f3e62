// Measuring on the car: a phone that takes readings with and without a line, and the page that says what follows.

import assert from "node:assert/strict";
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { withHouse, word } from "./hands.mjs";
import { until } from "./house.mjs";

export const PHONE = { width: 390, height: 844, hasTouch: true, isMobile: true };

export const sheetFile = (house) => house.file.replace(/\.toml$/, ".measured.toml");
const sheetText = (house) => (existsSync(sheetFile(house)) ? readFileSync(sheetFile(house), "utf8") : "");
const measure = async (house) => (await fetch(new URL("/api/measure", house.link))).json();

const NAMES = ["rail_front", "rail_front~", "rail_rear", "rail_rear~", "front_foot", "side_front"];

/** Distances between six points, as designed and a little off, in mm; the first is left to the phone. */
export async function measured(house) {
  const { places } = await measure(house);
  const at = (name) => places.find((p) => p.name === name).at;
  const lines = [];
  NAMES.forEach((a, i) =>
    NAMES.slice(i + 1).forEach((b) => {
      const d = 1000 * Math.hypot(...at(a).map((v, k) => v - at(b)[k])) + (lines.length % 3) - 1;
      lines.push(`t${lines.length + 1} = { from = "${a}", to = "${b}", reads = ${d.toFixed(1)} }`);
    }),
  );
  return `# on trestles\n[sheet]\nunits = "mm"\nby = "Ida" # with the long tape\n\n[tape]\n${lines.slice(1).join("\n")}\n`;
}

/** Chooses a place for one end. */
async function place(page, slot, name) {
  await page.getByRole("button", { name: new RegExp(`^${slot}\\b`) }).click();
  await page.getByRole("searchbox").fill(name.replace("~", " ~"));
  await page.getByRole("dialog").getByRole("button", { name: new RegExp(`^${name.replaceAll("_", " ").replace("~", " ~")}\\b|^${name.replaceAll("_", " ").replace("~", " ~")}`) }).first().click();
}

export const measuring = {
  "a phone measures with and without its line, and page and file say what became of it": (program, eyes) =>
    withHouse(program, "wren", async (house) => {
      const page = await eyes.look(`${house.link}#build`);
      await page.getByText("Nothing was measured on the car yet.", { exact: false }).waitFor();
      const before = await measured(house);
      writeFileSync(sheetFile(house), before);
      await page.getByRole("heading", { name: "What was read" }).waitFor();
      await page.getByText("drawn", { exact: false }).first().waitFor();
      const { places } = await measure(house);
      const at = (name) => places.find((p) => p.name === name).at;
      const wanted = 1000 * Math.hypot(...at(NAMES[0]).map((v, k) => v - at(NAMES[1])[k]));
      // With its line.
      const phone = await eyes.look(new URL("/shop", house.link).href, PHONE);
      await phone.getByLabel("who").fill("Ida");
      await phone.getByRole("button", { name: /^measure on the car/ }).click();
      await phone.waitForURL("**/shop/measure");
      await place(phone, "from", "rail_front");
      await place(phone, "to", "rail_front~");
      await phone.locator(".should", { hasText: /as designed/ }).waitFor();
      const reads = phone.getByLabel(/^reads/);
      const write = phone.getByRole("button", { name: "write it down" });
      assert.ok(await write.isDisabled());
      await reads.fill(`${(wanted + 80).toFixed(1)}`);
      await write.click();
      await phone.getByText(/far from the designed figure/).waitFor();
      assert.equal(sheetText(house), before);
      await reads.fill(`${(wanted + 0.5).toFixed(1)} mm`);
      await write.click();
      const taken = phone.getByRole("listitem").filter({ hasText: "tape: rail front to rail front ~" });
      await taken.getByText("agrees with the others").waitFor();
      await until("it stands in the file", () => /to = "rail_front~", reads = [\d.]+ } # Ida, \d{4}-/.test(sheetText(house)));
      const line = sheetText(house).split("\n").find((l) => l.includes("# Ida,"));
      assert.equal(sheetText(house).replace(`${line}\n`, ""), before, "nothing else has changed");
      await page.getByRole("row").filter({ hasText: "rail_front to rail_front~" }).first().waitFor();
      // Its line drops, and the program with it.
      await phone.context().setOffline(true);
      await house.kill();
      await phone.getByRole("button", { name: "rise", exact: true }).click();
      await place(phone, "from", "rail_front");
      await place(phone, "to", "front_foot");
      await phone.locator(".should", { hasText: /as designed/ }).waitFor();
      await reads.fill("12");
      await write.click();
      const sure = phone.getByRole("button", { name: "keep it" });
      if ((await sure.count()) > 0) await sure.click();
      await phone.getByText(/kept on this phone, not sent yet/).waitFor();
      await phone.reload().catch(() => {});
      await house.start();
      await phone.context().setOffline(false);
      await phone.goto(new URL("/shop/measure", house.link).href);
      await until("it has come", () => /\[rise\]/.test(sheetText(house)));
      await phone.getByText(/all sent/).waitFor();
      assert.equal(sheetText(house).match(/front_foot", reads = /g).length - before.match(/front_foot", reads = /g).length, 1);
      await phone.getByRole("listitem").filter({ hasText: /^rise: rail front to front foot/ }).waitFor();
    }),

  "at the page a sheet is begun, a reading is added, left out and taken out": (program, eyes) =>
    withHouse(program, "gorse", async (house) => {
      const page = await eyes.look(`${house.link}#build`);
      await page.getByRole("button", { name: "begin a sheet to fill in" }).click();
      await until("the sheet is there", () => sheetText(house).includes("[tape]"));
      const before = sheetText(house);
      await page.getByText("The sheet is begun", { exact: false }).waitFor();
      await page.getByRole("button", { name: "add a reading" }).click();
      await place(page, "from", "rail_nose");
      await place(page, "to", "rail_nose~");
      await page.getByLabel(/^reads/).fill("601.5");
      await page.getByRole("button", { name: "write it down" }).click();
      await page.getByText("Written down", { exact: false }).waitFor();
      await until("it stands in the file", () => sheetText(house).includes("reads = 601.5"));
      const row = page.getByRole("row").filter({ hasText: "rail_nose to rail_nose~" });
      await row.getByRole("button", { name: /^leave out tape/ }).click();
      await row.getByText("left out by you").waitFor();
      assert.match(sheetText(house), /reads = 601.5, leave_out = true }/);
      await row.getByRole("button", { name: /out of the sheet/ }).click();
      await until("it is out", () => sheetText(house) === before);
      // A sheet that is broken in an editor is told with its line.
      writeFileSync(sheetFile(house), `${before}[tape\n`);
      const line = before.split("\n").length;
      await page.getByText(`gorse.measured.toml, line ${line}`, { exact: false }).first().waitFor();
      writeFileSync(sheetFile(house), before);
      await page.getByText("The sheet is begun", { exact: false }).waitFor();
    }),
};
