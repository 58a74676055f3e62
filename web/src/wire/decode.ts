/** The binary message of a view: a length, the JSON, the numbers of the bodies that have changed. */

import type { Told, View } from "../wire";

/** Surface of a body, in the frame's axes, m. */
export interface Mesh {
  points: Float32Array;
  triangles: Uint32Array;
}

/** A message that is not what was agreed. */
export class NotAView extends Error {}

/** Takes a message apart. The meshes are those that were sent, by their body's key. */
export function decode(message: ArrayBuffer): { view: View; sent: Map<string, Mesh> } {
  if (message.byteLength < 4) throw new NotAView("the message is shorter than its length");
  const long = new DataView(message).getUint32(0, true);
  const behind = 4 + long;
  if (behind > message.byteLength) throw new NotAView("the message ends inside its JSON");
  if (long % 4 !== 0) throw new NotAView("the JSON is not filled up to a multiple of four");
  let told: Told;
  try {
    told = JSON.parse(new TextDecoder().decode(new Uint8Array(message, 4, long))) as Told;
  } catch {
    throw new NotAView("the JSON of the message can't be read");
  }
  if (told.told !== "view") throw new NotAView(`a binary message holds “${String(told.told)}”, not a view`);
  const sent = new Map<string, Mesh>();
  for (const body of told.bodies) {
    const stretch = body.sent;
    if (!stretch) continue;
    const start = behind + stretch.start;
    const turn = start + stretch.points * 12;
    if (turn + stretch.triangles * 12 > message.byteLength) {
      throw new NotAView(`the numbers of ${body.name} lie beyond the message's end`);
    }
    sent.set(body.key, {
      points: floats(message, start, stretch.points * 3),
      triangles: whole(message, turn, stretch.triangles * 3, stretch.points, body.name),
    });
  }
  return { view: told, sent };
}

// Copies, so that a kept mesh does not keep the message, and so that a start off the multiple of four does no harm.
function floats(message: ArrayBuffer, start: number, count: number): Float32Array {
  return new Float32Array(message.slice(start, start + count * 4));
}

function whole(message: ArrayBuffer, start: number, count: number, points: number, name: string): Uint32Array {
  const out = new Uint32Array(message.slice(start, start + count * 4));
  for (const index of out) if (index >= points) throw new NotAView(`a triangle of ${name} has no such point`);
  return out;
}

/** The meshes of a view: those that were sent, and those that are kept by key. Others are forgotten. */
export function meshesOf(view: View, sent: Map<string, Mesh>, kept: ReadonlyMap<string, Mesh>): Map<string, Mesh> {
  const out = new Map<string, Mesh>();
  for (const body of view.bodies) {
    const mesh = sent.get(body.key) ?? kept.get(body.key);
    if (mesh) out.set(body.key, mesh);
  }
  return out;
}
