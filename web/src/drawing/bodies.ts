/** Many bodies drawn at once: three draw calls, whatever their number. */

import * as THREE from "three";
import { fillMaterial, Mark, numberMaterial, outlineMaterial, type Ink } from "./ink";
import { Lines } from "./lines";
import type { Surface } from "./surface";

export interface Body {
  name: string;
  /** Changes with the surface. */
  key: string;
  surface: Surface;
}

const ROW = 256;

export class Bodies {
  readonly scene = new THREE.Scene();
  readonly numbers = new THREE.Scene();
  names: string[] = [];
  private keys = "";
  private readonly marks: { value: THREE.DataTexture } = { value: texture(1) };
  private readonly outline: THREE.Mesh;
  private readonly fill: THREE.Mesh;
  private readonly number: THREE.Mesh;
  private readonly creases: Lines;

  constructor(
    ink: Ink,
    private readonly light: boolean,
    /** Drawn as lines alone, which hide each other but nothing else. */
    private readonly veil = false,
  ) {
    const empty = new THREE.BufferGeometry();
    this.outline = new THREE.Mesh(empty, outlineMaterial(ink, this.marks, light, veil ? 2 : light ? 1 : 1.35));
    this.fill = new THREE.Mesh(empty, fillMaterial(ink, this.marks, light));
    if (veil) (this.fill.material as THREE.Material).colorWrite = false;
    this.fill.renderOrder = -1;
    this.number = new THREE.Mesh(empty, numberMaterial(ink, this.marks));
    this.creases = new Lines(ink, this.marks);
    for (const mesh of [this.outline, this.fill, this.number]) mesh.frustumCulled = false;
    this.scene.add(this.outline, this.fill, this.creases.mesh);
    this.numbers.add(this.number);
  }

  /** Takes the bodies; true if anything has changed. */
  take(bodies: readonly Body[]): boolean {
    const keys = bodies.map((b) => `${b.name} ${b.key}`).join("\n");
    if (keys === this.keys) return false;
    this.keys = keys;
    this.names = bodies.map((b) => b.name);
    let points = 0;
    let corners = 0;
    for (const { surface } of bodies) {
      points += surface.points.length / 3;
      corners += surface.triangles.length;
    }
    const places = new Float32Array(points * 3);
    const normals = new Float32Array(points * 3);
    const numbers = new Float32Array(points);
    const index = new Uint32Array(corners);
    this.creases.clear();
    let p = 0;
    let c = 0;
    bodies.forEach(({ surface }, i) => {
      places.set(surface.points, p * 3);
      normals.set(surface.normals, p * 3);
      const count = surface.points.length / 3;
      numbers.fill(i, p, p + count);
      for (let k = 0; k < surface.triangles.length; k++) index[c + k] = (surface.triangles[k] as number) + p;
      this.creases.all(surface.creases, this.light ? "faint" : "ink", this.veil ? 2 : this.light ? 0.8 : 1.1, i);
      p += count;
      c += surface.triangles.length;
    });
    this.creases.done();
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.BufferAttribute(places, 3));
    geometry.setAttribute("normal", new THREE.BufferAttribute(normals, 3));
    geometry.setAttribute("body", new THREE.BufferAttribute(numbers, 1));
    geometry.setIndex(new THREE.BufferAttribute(index, 1));
    this.outline.geometry.dispose();
    for (const mesh of [this.outline, this.fill, this.number]) mesh.geometry = geometry;
    if (bodies.length > (this.marks.value.image.data as Uint8Array).length / 4) {
      this.marks.value.dispose();
      this.marks.value = texture(bodies.length);
    }
    return true;
  }

  /** Sets how each body is drawn. */
  mark(of: (name: string) => number): void {
    const data = this.marks.value.image.data as Uint8Array;
    this.names.forEach((name, i) => {
      data[4 * i] = of(name);
    });
    this.marks.value.needsUpdate = true;
  }

  /** Hides or shows all of them. */
  set visible(visible: boolean) {
    this.scene.visible = visible;
    this.numbers.visible = visible;
  }
}

export { Mark };

function texture(count: number): THREE.DataTexture {
  const rows = Math.max(1, Math.ceil(count / ROW));
  const out = new THREE.DataTexture(new Uint8Array(4 * ROW * rows), ROW, rows);
  out.needsUpdate = true;
  return out;
}
