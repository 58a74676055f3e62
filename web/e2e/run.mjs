// The page in a real browser, with the program that was built: node web/e2e/run.mjs PROGRAM [part of a name]

import { Eyes } from "./house.mjs";
import { accessible } from "./accessible.mjs";
import { agreeing } from "./agreeing.mjs";
import { lan } from "./lan.mjs";
import { measuring } from "./measured.mjs";
import { shaping } from "./shaping.mjs";
import { shop } from "./shop.mjs";
import { working } from "./working.mjs";

const [program, only = ""] = process.argv.slice(2);
if (!program) {
  console.error("usage: node web/e2e/run.mjs PROGRAM [part of a name]");
  process.exit(2);
}

const eyes = await Eyes.open();
let failed = 0;
for (const [name, test] of Object.entries({ ...shaping, ...working, ...shop, ...measuring, ...lan, ...agreeing, ...accessible })) {
  if (!name.includes(only)) continue;
  const start = Date.now();
  const before = eyes.wrong.length;
  try {
    await test(program, eyes);
    if (eyes.wrong.length > before) throw new Error(`the page complained: ${eyes.wrong.slice(before).join("; ")}`);
    console.log(`ok    ${name} (${Date.now() - start} ms)`);
  } catch (e) {
    failed += 1;
    console.log(`wrong ${name}\n      ${e.stack ?? e}`);
  }
}
await eyes.close();
console.log(failed === 0 ? "the page does all of it" : `${failed} wrong`);
process.exit(failed === 0 ? 0 : 1);
