import { describe, expect, it } from "vitest";
import type { BodyHead, View } from "../src/wire";
import { decode, meshesOf, NotAView, type Mesh } from "../src/wire/decode";

const tetra = { points: [0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1], triangles: [0, 2, 1, 0, 1, 3, 1, 2, 3, 0, 3, 2] };

/** A message with these bodies; those without numbers are as before. */
function message(bodies: { name: string; key: string; mesh: typeof tetra | null }[], change?: (json: string) => string) {
  const numbers: number[][] = [];
  let start = 0;
  const heads: BodyHead[] = bodies.map(({ name, key, mesh }) => {
    if (!mesh) return { name, key, kind: "tube", sent: null };
    const sent = { start, points: mesh.points.length / 3, triangles: mesh.triangles.length / 3 };
    start += mesh.points.length * 4 + mesh.triangles.length * 4;
    numbers.push([...new Uint8Array(new Float32Array(mesh.points).buffer), ...new Uint8Array(new Uint32Array(mesh.triangles).buffer)]);
    return { name, key, kind: "tube", sent };
  });
  let json = JSON.stringify({ told: "view", name: "Größe", bodies: heads });
  if (change) json = change(json);
  let bytes = [...new TextEncoder().encode(json)];
  while (bytes.length % 4) bytes.push(32);
  const out = new Uint8Array(4 + bytes.length + start);
  new DataView(out.buffer).setUint32(0, bytes.length, true);
  out.set(bytes, 4);
  out.set(numbers.flat(), 4 + bytes.length);
  return out.buffer;
}

describe("the message of a view", () => {
  it("gives the view and the meshes that were sent", () => {
    const { view, sent } = decode(message([{ name: "a", key: "a1", mesh: tetra }, { name: "b", key: "b1", mesh: tetra }]));
    expect(view.name).toBe("Größe");
    expect([...sent.keys()]).toEqual(["a1", "b1"]);
    expect(Array.from(sent.get("b1")?.points ?? [])).toEqual(tetra.points);
    expect(Array.from(sent.get("b1")?.triangles ?? [])).toEqual(tetra.triangles);
  });

  it("keeps meshes by key, and forgets those that are gone", () => {
    const first = decode(message([{ name: "a", key: "a1", mesh: tetra }, { name: "b", key: "b1", mesh: tetra }]));
    const kept = meshesOf(first.view, first.sent, new Map());
    const second = decode(message([{ name: "a", key: "a1", mesh: null }, { name: "b", key: "b2", mesh: tetra }]));
    const now = meshesOf(second.view, second.sent, kept);
    expect(now.get("a1")).toBe(kept.get("a1"));
    expect(now.has("b1")).toBe(false);
    expect(now.has("b2")).toBe(true);
  });

  it("leaves out a body of which nothing is known", () => {
    const view = { bodies: [{ name: "a", key: "x", kind: "tube", sent: null }] } as unknown as View;
    expect(meshesOf(view, new Map<string, Mesh>(), new Map()).size).toBe(0);
  });

  it("says what is wrong with a message that is not as agreed", () => {
    const good = message([{ name: "a", key: "a1", mesh: tetra }]);
    expect(() => decode(new ArrayBuffer(2))).toThrow(NotAView);
    expect(() => decode(good.slice(0, 20))).toThrow(/inside its JSON/);
    expect(() => decode(good.slice(0, good.byteLength - 4))).toThrow(/beyond the message's end/);
    expect(() => decode(message([], (json) => json.replace("view", "done")))).toThrow(/not a view/);
    expect(() => decode(message([], (json) => json.slice(1)))).toThrow(/can't be read/);
    const odd = message([{ name: "a", key: "a1", mesh: { ...tetra, triangles: [0, 2, 9] } }]);
    expect(() => decode(odd)).toThrow(/no such point/);
  });
});
