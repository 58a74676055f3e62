import * as THREE from "three";
import { lineMaterial, type Ink, type Tone, tone } from "./ink";

/** Quad from 0 to 1 along the line and from -1 to 1 across it. */
const QUAD = new Float32Array([0, -1, 0, 1, -1, 0, 1, 1, 0, 0, 1, 0]);
const QUAD_FACES = [0, 1, 2, 0, 2, 3];

/** A body's marks that say nothing. */
export const UNMARKED: THREE.IUniform = { value: new THREE.DataTexture(new Uint8Array(4 * 256), 256, 1) };
(UNMARKED.value as THREE.DataTexture).needsUpdate = true;

/** A batch of straight lines. */
export class Lines {
  readonly mesh: THREE.Mesh<THREE.InstancedBufferGeometry, THREE.ShaderMaterial>;
  private ends: number[] = [];
  private bodies: number[] = [];
  private shades: number[] = [];
  private widths: number[] = [];

  constructor(ink: Ink, marks: THREE.IUniform = UNMARKED, over = false) {
    this.mesh = new THREE.Mesh(new THREE.InstancedBufferGeometry(), lineMaterial(ink, marks, over));
    this.mesh.frustumCulled = false;
    this.mesh.visible = false;
  }

  clear(): this {
    this.ends = [];
    this.bodies = [];
    this.shades = [];
    this.widths = [];
    return this;
  }

  /** Many lines of one body: six numbers each. */
  all(ends: ArrayLike<number>, of: Tone, width = 1.1, body = -1): this {
    for (let i = 0; i < ends.length; i++) this.ends.push(ends[i] as number);
    for (let i = 0; i < ends.length / 6; i++) {
      this.bodies.push(body);
      this.shades.push(tone(of));
      this.widths.push(width);
    }
    return this;
  }

  /** A line through places. */
  through(places: readonly (readonly [number, number, number])[], of: Tone, width = 1.1): this {
    for (let i = 0; i + 1 < places.length; i++) {
      this.all([...(places[i] as readonly number[]), ...(places[i + 1] as readonly number[])], of, width);
    }
    return this;
  }

  /** Hands the lines to the screen. */
  done(): void {
    this.mesh.geometry.dispose();
    const geometry = new THREE.InstancedBufferGeometry();
    geometry.setIndex(QUAD_FACES);
    geometry.setAttribute("position", new THREE.BufferAttribute(QUAD, 3));
    const ends = new THREE.InstancedInterleavedBuffer(new Float32Array(this.ends), 6);
    geometry.setAttribute("start", new THREE.InterleavedBufferAttribute(ends, 3, 0));
    geometry.setAttribute("end", new THREE.InterleavedBufferAttribute(ends, 3, 3));
    geometry.setAttribute("body", new THREE.InstancedBufferAttribute(new Float32Array(this.bodies), 1));
    geometry.setAttribute("shade", new THREE.InstancedBufferAttribute(new Float32Array(this.shades), 1));
    geometry.setAttribute("width", new THREE.InstancedBufferAttribute(new Float32Array(this.widths), 1));
    geometry.instanceCount = this.bodies.length;
    this.mesh.geometry = geometry;
    this.mesh.visible = this.bodies.length > 0;
  }
}
