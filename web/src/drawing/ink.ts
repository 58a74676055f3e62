/** Ink on paper: the shaders and colours of the drawing. Widths are in pixels of the screen, whatever the scale. */

import * as THREE from "three";

/** How a body is drawn: bits of a number. */
export const Mark = { hidden: 1, picked: 2, over: 4, dashed: 8, dim: 16, pointed: 32 } as const;

/** Colours by name; lines carry the number of theirs. */
export const TONES = ["paper", "ink", "faint", "accent", "accent-tint", "warn", "warn-tint", "ground"] as const;
export type Tone = (typeof TONES)[number];
export const tone = (name: Tone): number => TONES.indexOf(name);

/** What all shaders share. */
export interface Ink {
  palette: { value: THREE.Color[] };
  /** Size of the canvas, px of the screen. */
  screen: { value: THREE.Vector2 };
  /** Pixels of the screen in one of the page's. */
  ratio: { value: number };
  /** What lies beyond p · xyz = w is cut away. */
  cut: { value: THREE.Vector4 };
  /** How far lines are drawn before the surfaces that they lie on, in depth. */
  lift: { value: number };
}

export function newInk(): Ink {
  return {
    palette: { value: TONES.map(() => new THREE.Color()) },
    screen: { value: new THREE.Vector2(1, 1) },
    ratio: { value: 1 },
    cut: { value: new THREE.Vector4(0, 0, 0, 1) },
    lift: { value: 0 },
  };
}

/** Reads the colours from the page's style. */
export function readPalette(ink: Ink, style: CSSStyleDeclaration): void {
  TONES.forEach((name, i) => {
    const text = style.getPropertyValue(`--${name}`).trim();
    // As they are in the style: nothing between here and the screen changes them.
    if (text) ink.palette.value[i]?.set(text).convertLinearToSRGB();
  });
}

const MARKS = /* glsl */ `
uniform sampler2D marks;
int markOf(float body) {
  int i = int(body + 0.5);
  return int(texelFetch(marks, ivec2(i % 256, i / 256), 0).r * 255.0 + 0.5);
}`;

const COMMON = /* glsl */ `
precision highp float;
uniform vec3 palette[8];
uniform vec2 screen;
uniform float ratio;
uniform vec4 cut;`;

const FRAGMENT = /* glsl */ `
${COMMON}
in vec3 place;
flat in int mark;
out vec4 colour;
bool stripe(float every, float wide) {
  vec2 p = gl_FragCoord.xy / ratio;
  return mod(p.x + p.y, every) < wide;
}`;

/** The outline: faces that look away, grown by the line's width. */
export function outlineMaterial(ink: Ink, marks: THREE.IUniform, light: boolean, width: number): THREE.ShaderMaterial {
  return new THREE.ShaderMaterial({
    glslVersion: THREE.GLSL3,
    side: THREE.BackSide,
    uniforms: { ...shared(ink), marks, width: { value: width }, light: { value: light } },
    vertexShader: /* glsl */ `
      ${COMMON}
      ${MARKS}
      uniform float width;
      uniform float lift;
      in float body;
      out vec3 place;
      flat out int mark;
      void main() {
        mark = markOf(body);
        place = position;
        gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
        vec2 way = (normalMatrix * normal).xy;
        float l = length(way);
        float w = (mark & ${Mark.picked | Mark.pointed}) != 0 ? width + 1.1 : width;
        if (l > 1e-4) gl_Position.xy += way / l * w * ratio * 2.0 / screen;
        // Behind the surface's own far side, so that a section shows that and not the outline.
        gl_Position.z += 4.0 * lift;
        if ((mark & ${Mark.hidden}) != 0) gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
      }`,
    fragmentShader: /* glsl */ `
      ${FRAGMENT}
      uniform bool light;
      void main() {
        if (dot(place, cut.xyz) > cut.w) discard;
        if ((mark & ${Mark.dashed}) != 0 && stripe(9.0, 4.0)) discard;
        colour = vec4(palette[${tone("ink")}], 1.0);
        if (light || (mark & ${Mark.dim}) != 0) colour.rgb = palette[${tone("faint")}];
        if ((mark & ${Mark.over}) != 0) colour.rgb = palette[${tone("warn")}];
        if ((mark & ${Mark.picked | Mark.pointed}) != 0) colour.rgb = palette[${tone("accent")}];
      }`,
  });
}

/** The surface: paper, with a tint or a hatch. Where it is cut open the inside shows as cut steel. */
export function fillMaterial(ink: Ink, marks: THREE.IUniform, light: boolean): THREE.ShaderMaterial {
  return new THREE.ShaderMaterial({
    glslVersion: THREE.GLSL3,
    side: THREE.DoubleSide,
    polygonOffset: true,
    polygonOffsetFactor: 1,
    polygonOffsetUnits: 2,
    uniforms: { ...shared(ink), marks, light: { value: light } },
    vertexShader: /* glsl */ `
      ${COMMON}
      ${MARKS}
      in float body;
      out vec3 place;
      flat out int mark;
      void main() {
        mark = markOf(body);
        place = position;
        gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
        if ((mark & ${Mark.hidden}) != 0) gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
      }`,
    fragmentShader: /* glsl */ `
      ${FRAGMENT}
      uniform bool light;
      void main() {
        if (dot(place, cut.xyz) > cut.w) discard;
        vec3 c = palette[${tone("paper")}];
        if ((mark & ${Mark.over}) != 0) {
          c = palette[${tone("warn-tint")}];
          vec2 p = gl_FragCoord.xy / ratio;
          if (mod(p.x - p.y, 6.0) < 1.5) c = palette[${tone("warn")}];
        }
        if ((mark & ${Mark.picked | Mark.pointed}) != 0) c = palette[${tone("accent-tint")}];
        if (!gl_FrontFacing && !light) c = palette[${tone("ink")}];
        colour = vec4(c, 1.0);
      }`,
  });
}

/** Numbers of bodies as colours, for picking. */
export function numberMaterial(ink: Ink, marks: THREE.IUniform): THREE.ShaderMaterial {
  return new THREE.ShaderMaterial({
    glslVersion: THREE.GLSL3,
    side: THREE.DoubleSide,
    uniforms: { ...shared(ink), marks },
    vertexShader: /* glsl */ `
      ${COMMON}
      ${MARKS}
      in float body;
      out vec3 place;
      flat out int mark;
      flat out float number;
      void main() {
        mark = markOf(body);
        number = body + 1.0;
        place = position;
        gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
        if ((mark & ${Mark.hidden}) != 0) gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
      }`,
    fragmentShader: /* glsl */ `
      ${FRAGMENT}
      flat in float number;
      void main() {
        if (dot(place, cut.xyz) > cut.w) discard;
        colour = vec4(mod(number, 256.0), floor(number / 256.0), 0.0, 255.0) / 255.0;
      }`,
  });
}

/** Lines of a given width: quads that face the screen. */
export function lineMaterial(ink: Ink, marks: THREE.IUniform, over = false): THREE.ShaderMaterial {
  return new THREE.ShaderMaterial({
    glslVersion: THREE.GLSL3,
    side: THREE.DoubleSide,
    depthTest: !over,
    depthWrite: !over,
    uniforms: { ...shared(ink), marks },
    vertexShader: /* glsl */ `
      ${COMMON}
      ${MARKS}
      uniform float lift;
      in vec3 start;
      in vec3 end;
      in float body;
      in float shade;
      in float width;
      out vec3 place;
      flat out int mark;
      flat out int toneOf;
      void main() {
        mark = body < 0.0 ? 0 : markOf(body);
        toneOf = int(shade + 0.5);
        place = mix(start, end, position.x);
        vec4 a = projectionMatrix * modelViewMatrix * vec4(start, 1.0);
        vec4 b = projectionMatrix * modelViewMatrix * vec4(end, 1.0);
        vec2 way = (b.xy - a.xy) * screen;
        float l = length(way);
        vec2 side = l > 1e-6 ? vec2(-way.y, way.x) / l : vec2(0.0, 1.0);
        float w = width + ((mark & ${Mark.picked | Mark.pointed}) != 0 ? 0.8 : 0.0);
        gl_Position = mix(a, b, position.x);
        gl_Position.xy += side * position.y * w * ratio / screen;
        gl_Position.z -= lift;
        if ((mark & ${Mark.hidden}) != 0) gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
      }`,
    fragmentShader: /* glsl */ `
      ${FRAGMENT}
      flat in int toneOf;
      void main() {
        if (dot(place, cut.xyz) > cut.w) discard;
        if ((mark & ${Mark.dashed}) != 0 && stripe(9.0, 4.0)) discard;
        vec3 c = palette[toneOf];
        if ((mark & ${Mark.dim}) != 0) c = palette[${tone("faint")}];
        if ((mark & ${Mark.over}) != 0) c = palette[${tone("warn")}];
        if ((mark & ${Mark.picked | Mark.pointed}) != 0) c = palette[${tone("accent")}];
        colour = vec4(c, 1.0);
      }`,
  });
}

/** A flat colour that hides nothing. */
export function washMaterial(ink: Ink, of: Tone): THREE.ShaderMaterial {
  return new THREE.ShaderMaterial({
    glslVersion: THREE.GLSL3,
    side: THREE.DoubleSide,
    depthTest: false,
    depthWrite: false,
    uniforms: shared(ink),
    vertexShader: /* glsl */ `
      void main() { gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }`,
    fragmentShader: /* glsl */ `
      ${COMMON}
      out vec4 colour;
      void main() { colour = vec4(palette[${tone(of)}], 1.0); }`,
  });
}

function shared(ink: Ink): Record<string, THREE.IUniform> {
  return { palette: ink.palette, screen: ink.screen, ratio: ink.ratio, cut: ink.cut, lift: ink.lift };
}
