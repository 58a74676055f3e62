/** What is drawn of a mesh, worked out once: joined points, smooth normals for the outline, and creases. */

import type { Mesh } from "../wire/decode";

export interface Surface {
  points: Float32Array;
  normals: Float32Array;
  triangles: Uint32Array;
  /** Ends of the creases, six numbers each. */
  creases: Float32Array;
}

/** Faces that meet at more than this are a crease. A tube of ten flats and more stays round. */
const CREASE = Math.cos((38 * Math.PI) / 180);

const made = new WeakMap<Mesh, Surface>();

export function surfaceOf(mesh: Mesh): Surface {
  let surface = made.get(mesh);
  if (!surface) {
    surface = work(mesh);
    made.set(mesh, surface);
  }
  return surface;
}

/** For each point the first one at the same place. */
function joined(points: Float32Array): Uint32Array {
  const count = points.length / 3;
  const bits = new Uint32Array(points.buffer, points.byteOffset, points.length);
  let size = 16;
  while (size < count * 2) size *= 2;
  const table = new Int32Array(size).fill(-1);
  const out = new Uint32Array(count);
  for (let i = 0; i < count; i++) {
    const a = bits[3 * i] as number;
    const b = bits[3 * i + 1] as number;
    const c = bits[3 * i + 2] as number;
    let slot = (Math.imul(a, 73856093) ^ Math.imul(b, 19349663) ^ Math.imul(c, 83492791)) & (size - 1);
    for (;;) {
      const held = table[slot] as number;
      if (held < 0) {
        table[slot] = i;
        out[i] = i;
        break;
      }
      if (bits[3 * held] === a && bits[3 * held + 1] === b && bits[3 * held + 2] === c) {
        out[i] = held;
        break;
      }
      slot = (slot + 1) & (size - 1);
    }
  }
  return out;
}

function work({ points, triangles }: Mesh): Surface {
  const same = joined(points);
  const count = points.length / 3;
  const faces = triangles.length / 3;
  const flat = new Float32Array(faces * 3);
  const normals = new Float32Array(points.length);
  const edges = new Map<number, number>();
  const creases: number[] = [];
  const end = (i: number): void => void creases.push(points[3 * i] as number, points[3 * i + 1] as number, points[3 * i + 2] as number);
  for (let t = 0; t < faces; t++) {
    const i = same[triangles[3 * t] as number] as number;
    const j = same[triangles[3 * t + 1] as number] as number;
    const k = same[triangles[3 * t + 2] as number] as number;
    const [ax, ay, az] = [points[3 * i] as number, points[3 * i + 1] as number, points[3 * i + 2] as number];
    const [ux, uy, uz] = [(points[3 * j] as number) - ax, (points[3 * j + 1] as number) - ay, (points[3 * j + 2] as number) - az];
    const [vx, vy, vz] = [(points[3 * k] as number) - ax, (points[3 * k + 1] as number) - ay, (points[3 * k + 2] as number) - az];
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    const l = Math.hypot(nx, ny, nz);
    if (!(l > 0)) continue;
    flat.set([nx / l, ny / l, nz / l], 3 * t);
    for (const p of [i, j, k]) {
      // By area: long thin triangles along a tube pull no more than they cover.
      normals[3 * p] = (normals[3 * p] as number) + nx;
      normals[3 * p + 1] = (normals[3 * p + 1] as number) + ny;
      normals[3 * p + 2] = (normals[3 * p + 2] as number) + nz;
    }
    for (const [p, q] of [[i, j], [j, k], [k, i]] as const) {
      const key = p < q ? p * count + q : q * count + p;
      const other = edges.get(key);
      if (other === undefined) {
        edges.set(key, t);
      } else {
        edges.delete(key);
        const cos =
          (flat[3 * t] as number) * (flat[3 * other] as number) +
          (flat[3 * t + 1] as number) * (flat[3 * other + 1] as number) +
          (flat[3 * t + 2] as number) * (flat[3 * other + 2] as number);
        if (cos < CREASE) {
          end(p);
          end(q);
        }
      }
    }
  }
  // An edge with one face is the rim of an open surface.
  for (const key of edges.keys()) {
    end(Math.floor(key / count));
    end(key % count);
  }
  for (let i = 0; i < count; i++) {
    const from = 3 * (same[i] as number);
    const l = Math.hypot(normals[from] as number, normals[from + 1] as number, normals[from + 2] as number) || 1;
    if (from === 3 * i) {
      normals[from] = (normals[from] as number) / l;
      normals[from + 1] = (normals[from + 1] as number) / l;
      normals[from + 2] = (normals[from + 2] as number) / l;
    } else {
      normals.copyWithin(3 * i, from, from + 3);
    }
  }
  return { points, normals, triangles, creases: new Float32Array(creases) };
}
