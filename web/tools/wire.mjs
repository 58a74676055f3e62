// Makes src/wire.ts, the types of what server and page exchange, from the schema that the Rust types give.
import { readFile, writeFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { compile } from "json-schema-to-typescript";

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const schema = JSON.parse(await readFile(here("../src/wire.schema.json"), "utf8"));

// A tagged variant stands beside `allOf` of what it wraps: fold it into the list, so that both halves count.
function fold(node) {
  if (Array.isArray(node)) return node.map(fold);
  if (node === null || typeof node !== "object") return node;
  const out = Object.fromEntries(Object.entries(node).map(([key, value]) => [key, fold(value)]));
  if (out.allOf && out.properties) {
    const { allOf, properties, required, type, ...rest } = out;
    return { ...rest, allOf: [...allOf, { type, properties, required }] };
  }
  return out;
}

const types = await compile(fold(schema), "Wire", {
  additionalProperties: false,
  bannerComment: "// Made from wire.schema.json by tools/wire.mjs. Do not edit.",
  format: false,
  unknownAny: true,
});
await writeFile(here("../src/wire.ts"), types);
