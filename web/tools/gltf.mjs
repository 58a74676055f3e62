// What Khronos's validator says of binary glTF files: node web/tools/gltf.mjs FILE...
// Prints a JSON list of its reports, one for each file; the caller decides what may be in them.

import { readFileSync } from "node:fs";
import validator from "gltf-validator";

const reports = [];
for (const file of process.argv.slice(2)) {
  reports.push(await validator.validateBytes(new Uint8Array(readFileSync(file)), { maxIssues: 100 }));
}
console.log(JSON.stringify(reports));
