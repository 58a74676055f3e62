/** The ground under the frame: a pale plane with a grid. */

import * as THREE from "three";
import type { Ink } from "./ink";
import { washMaterial } from "./ink";
import { Lines } from "./lines";

export interface Plane {
  normal: readonly [number, number, number];
  /** Points p on it have p · normal = height, m. */
  height: number;
}

const ROOM = 0.45;

export class Ground {
  readonly scene = new THREE.Scene();
  private readonly wash: THREE.Mesh;
  private readonly grid: Lines;
  private readonly normal = new THREE.Vector3(0, 0, 1);
  private key = "";

  constructor(ink: Ink) {
    this.wash = new THREE.Mesh(new THREE.BufferGeometry(), washMaterial(ink, "ground"));
    this.wash.frustumCulled = false;
    this.grid = new Lines(ink, undefined, true);
    this.wash.renderOrder = 0;
    this.grid.mesh.renderOrder = 1;
    this.scene.add(this.wash, this.grid.mesh);
  }

  /** Lays it under what lies within a box. `every`: distance of its lines, m. */
  lay(plane: Plane | null, box: THREE.Box3, every: number): void {
    const key = plane ? [...plane.normal, plane.height, ...box.min.toArray(), ...box.max.toArray(), every].map((n) => n.toFixed(4)).join() : "";
    if (key === this.key) return;
    this.key = key;
    this.scene.visible = plane !== null && !box.isEmpty();
    if (!plane || box.isEmpty()) return;
    const n = this.normal.set(...plane.normal).normalize();
    const forward = Math.abs(n.x) < 0.9 ? new THREE.Vector3(1, 0, 0) : new THREE.Vector3(0, 0, 1);
    const e = forward.addScaledVector(n, -forward.dot(n)).normalize();
    const f = new THREE.Vector3().crossVectors(n, e);
    let [a0, a1, b0, b1] = [Infinity, -Infinity, Infinity, -Infinity];
    for (let i = 0; i < 8; i++) {
      const p = new THREE.Vector3(i & 1 ? box.max.x : box.min.x, i & 2 ? box.max.y : box.min.y, i & 4 ? box.max.z : box.min.z);
      [a0, a1] = [Math.min(a0, p.dot(e)), Math.max(a1, p.dot(e))];
      [b0, b1] = [Math.min(b0, p.dot(f)), Math.max(b1, p.dot(f))];
    }
    a0 = Math.floor((a0 - ROOM) / every) * every;
    a1 = Math.ceil((a1 + ROOM) / every) * every;
    b0 = Math.floor((b0 - ROOM) / every) * every;
    b1 = Math.ceil((b1 + ROOM) / every) * every;
    const at = (a: number, b: number): [number, number, number] => {
      const p = n.clone().multiplyScalar(plane.height).addScaledVector(e, a).addScaledVector(f, b);
      return [p.x, p.y, p.z];
    };
    this.wash.geometry.dispose();
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.BufferAttribute(new Float32Array([at(a0, b0), at(a1, b0), at(a1, b1), at(a0, b1)].flat()), 3));
    geometry.setIndex([0, 1, 2, 0, 2, 3]);
    this.wash.geometry = geometry;
    this.grid.clear();
    for (let a = a0; a <= a1 + every / 2; a += every) this.grid.through([at(a, b0), at(a, b1)], "faint", 0.6);
    for (let b = b0; b <= b1 + every / 2; b += every) this.grid.through([at(a0, b), at(a1, b)], "faint", 0.6);
    this.grid.done();
  }

  /** From below only the lines are seen, so that the frame is not behind a wall. */
  lookAlong(out: THREE.Vector3): void {
    this.wash.visible = out.dot(this.normal) > 0.02;
  }
}
