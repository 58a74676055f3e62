// What the tests of the page do again and again.

import { readFileSync } from "node:fs";
import { House } from "./house.mjs";

/** The design file as it is now. */
export const text = (house) => readFileSync(house.file, "utf8");

/** Finds a point (or a tube) by its name, and picks it. */
export async function find(page, name, kind = "point") {
  const search = page.getByRole("combobox", { name: "Search for a point or a tube" });
  await search.fill(name);
  await page.getByRole("option").getByText(`${name.replaceAll("_", " ")} ${kind}`, { exact: true }).first().click();
}

export const word = (page, name) => page.getByRole("navigation").getByText(name, { exact: true }).click();

/** A box of the picked point. */
export const box = (page, axis) => page.getByLabel(`${axis}, mm`, { exact: true });
export const value = async (page, axis) => Number(await box(page, axis).inputValue());

export async function set(page, axis, value) {
  const b = box(page, axis);
  await b.fill(String(value));
  await b.press("Enter");
}

/** With a program that serves a copy of a demo design. */
export async function withHouse(program, design, test, more) {
  const house = await House.open(program, design, more);
  try {
    await test(house);
  } finally {
    await house.close();
  }
}
