/** Points of the design as small rings over the drawing. */

import * as THREE from "three";
import { type Ink, tone } from "./ink";

/** How a point is shown. */
export const PointMark = { plain: 0, picked: 1, pointed: 2, placed: 3 } as const;

export class PointMarks {
  readonly mesh: THREE.Points<THREE.BufferGeometry, THREE.ShaderMaterial>;

  constructor(ink: Ink) {
    const material = new THREE.ShaderMaterial({
      glslVersion: THREE.GLSL3,
      depthTest: false,
      depthWrite: false,
      transparent: true,
      uniforms: { palette: ink.palette, ratio: ink.ratio, cut: ink.cut },
      vertexShader: /* glsl */ `
        uniform float ratio;
        uniform vec4 cut;
        in float mark;
        flat out int kind;
        out float size;
        void main() {
          kind = int(mark + 0.5);
          size = (kind == 1 || kind == 2) ? 13.0 : kind == 3 ? 6.0 : 7.5;
          gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
          gl_PointSize = size * ratio;
          if (dot(position, cut.xyz) > cut.w) gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
        }`,
      fragmentShader: /* glsl */ `
        precision highp float;
        uniform vec3 palette[8];
        flat in int kind;
        in float size;
        out vec4 colour;
        void main() {
          vec2 p = (gl_PointCoord - 0.5) * size;
          // A free point is round; one that something else places is square.
          float r = kind == 3 ? max(abs(p.x), abs(p.y)) + 0.6 : length(p);
          float edge = size * 0.5 - 0.5;
          float line = kind == 1 || kind == 2 ? 2.2 : 1.2;
          float outer = 1.0 - smoothstep(edge - 0.5, edge + 0.5, r);
          float inner = 1.0 - smoothstep(edge - line - 0.5, edge - line + 0.5, r);
          vec3 ink = kind == 1 || kind == 2 ? palette[${tone("accent")}] : palette[${tone("ink")}];
          colour = vec4(mix(ink, palette[${tone("paper")}], inner), outer);
          if (outer <= 0.0) discard;
        }`,
    });
    this.mesh = new THREE.Points(new THREE.BufferGeometry(), material);
    this.mesh.frustumCulled = false;
    this.mesh.renderOrder = 10;
  }

  take(points: readonly { at: readonly number[]; mark: number }[]): void {
    this.mesh.geometry.dispose();
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.BufferAttribute(new Float32Array(points.flatMap((p) => [...p.at])), 3));
    geometry.setAttribute("mark", new THREE.BufferAttribute(new Float32Array(points.map((p) => p.mark)), 1));
    this.mesh.geometry = geometry;
    this.mesh.visible = points.length > 0;
  }
}
