/**
 * The drawing: keeps the scene, draws it when something has changed and at no other time, and finds what lies under a
 * place of the screen.
 */

import * as THREE from "three";
import type { GroundPlane, View } from "../wire";
import type { Mesh } from "../wire/decode";
import type { Vec } from "../base/vec";
import { Bodies, type Body } from "./bodies";
import { Extent } from "./extent";
import { Ground, type Plane } from "./ground";
import { newInk, readPalette } from "./ink";
import { drawCurve } from "./curves";
import { Lines } from "./lines";
import { PointMark, PointMarks } from "./points";
import { axesOf, between, copyPose, firstPose, looking, place, turnedDown, type Pose, type ViewName } from "./pose";
import { solidMesh } from "./solids";
import { Spot } from "./spot";
import { surfaceOf } from "./surface";

export type Layer = "tubes" | "plates" | "skins" | "people" | "wheels" | "masses" | "ground" | "points" | "curves" | "built";
export const LAYERS: readonly Layer[] = ["tubes", "plates", "skins", "people", "wheels", "masses", "ground", "points", "curves", "built"];

/** What is drawn of the state, and how. */
export interface Scene {
  view: View;
  meshes: ReadonlyMap<string, Mesh>;
  layers: Readonly<Record<Layer, boolean>>;
  /** Bits of {@link Mark} for each body. */
  mark: (name: string) => number;
  pointMark: (name: string) => number;
  /** Whether a point is drawn, if the layer is. */
  pointShown: (name: string) => boolean;
  ground: GroundPlane | Plane | null;
  /** What lies beyond this is cut away. */
  cut: Plane | null;
  /** Further lines over the drawing. */
  over: readonly { line: readonly Vec[]; tone: "accent" | "warn" | "ink" | "faint"; width: number }[];
  /** Distance of the lines on the ground, m. */
  every: number;
}

export interface Under {
  kind: "point" | "tube";
  name: string;
  /** The place of it that is nearest to the pointer, m. */
  at: Vec;
}

const MOVE_MS = 380;

export class Drawing {
  pose: Pose = firstPose();
  readonly canvas: HTMLCanvasElement;
  private readonly renderer: THREE.WebGLRenderer;
  private readonly camera = new THREE.OrthographicCamera();
  private readonly ink = newInk();
  /** For what a section leaves whole: the ground, and what is drawn over the frame. */
  private readonly uncut = { ...this.ink, cut: { value: new THREE.Vector4(0, 0, 0, 1) } };
  private readonly skins = new Bodies(this.ink, true, true);
  private readonly solids = new Bodies(this.ink, true);
  private readonly frame = new Bodies(this.ink, false);
  private readonly ground = new Ground(this.uncut);
  private readonly overScene = new THREE.Scene();
  private readonly over = new Lines(this.uncut, undefined, true);
  private readonly points = new PointMarks(this.ink);
  private readonly spot = new Spot();
  private readonly seen = new Extent();
  private readonly heard = new Set<() => void>();
  private scene: Scene | null = null;
  private solidKey = "";
  private wide = 1;
  private tall = 1;
  private asked = 0;
  private moving: { from: Pose; way: Pose[]; since: number } | null = null;
  private fitted = false;
  /** Counts drawn frames. */
  drawn = 0;

  constructor(private readonly host: HTMLElement) {
    this.renderer = new THREE.WebGLRenderer({ antialias: true });
    this.renderer.autoClear = false;
    this.canvas = this.renderer.domElement;
    host.prepend(this.canvas);
    this.overScene.add(this.over.mesh, this.points.mesh);
    this.canvas.addEventListener("webglcontextrestored", () => this.refresh());
    this.size();
    this.style();
  }

  onFrame(listener: () => void): () => void {
    this.heard.add(listener);
    return () => this.heard.delete(listener);
  }

  end(): void {
    cancelAnimationFrame(this.asked);
    this.renderer.dispose();
    this.canvas.remove();
  }

  /** Takes the canvas's size from what it stands in. */
  size(): void {
    const { clientWidth, clientHeight } = this.host;
    if (clientWidth === 0 || clientHeight === 0) return;
    this.wide = clientWidth;
    this.tall = clientHeight;
    const ratio = Math.min(2, window.devicePixelRatio || 1);
    this.renderer.setPixelRatio(ratio);
    this.renderer.setSize(this.wide, this.tall);
    this.ink.ratio.value = ratio;
    this.ink.screen.value.set(this.wide * ratio, this.tall * ratio);
    this.refresh();
  }

  /** Reads the colours anew. */
  style(): void {
    readPalette(this.ink, getComputedStyle(this.host));
    this.refresh();
  }

  show(scene: Scene): void {
    const before = this.scene;
    this.scene = scene;
    const { view, meshes, layers } = scene;
    if (before?.view !== view || before.meshes !== meshes || before.layers !== layers) {
      const tubes: Body[] = [];
      const skins: Body[] = [];
      for (const head of view.bodies) {
        const mesh = meshes.get(head.key);
        if (!mesh) continue;
        const body = { name: head.name, key: head.key, surface: surfaceOf(mesh) };
        if (head.kind === "skin") skins.push(body);
        else if (head.kind === "plate" ? layers.plates : layers.tubes) tubes.push(body);
      }
      this.frame.take(tubes);
      this.skins.take(skins);
      this.skins.visible = layers.skins;
      const wanted = view.solids.filter((s) => (s.kind === "person" ? layers.people : s.kind === "wheel" ? layers.wheels : layers.masses));
      const solidKey = JSON.stringify(wanted);
      if (solidKey !== this.solidKey) {
        this.solidKey = solidKey;
        this.solids.take(
          wanted.map((s) => ({ name: s.name, key: JSON.stringify(s.shape), surface: surfaceOf(solidMesh(s.shape)) })),
        );
      }
      this.seen.measure(view);
    }
    this.frame.mark(scene.mark);
    const points = layers.points ? view.points.filter((p) => scene.pointShown(p.name)) : [];
    this.points.take(points.map((p) => ({ at: p.at, mark: scene.pointMark(p.name) || (p.free ? PointMark.plain : PointMark.placed) })));
    this.ground.lay(layers.ground && scene.ground ? { normal: scene.ground.normal, height: scene.ground.height } : null, this.seen.box, scene.every);
    const cut = scene.cut;
    this.ink.cut.value.set(...(cut ? cut.normal : ([0, 0, 0] as const)), cut ? cut.height : 1);
    this.over.clear();
    if (layers.curves) for (const curve of view.curves) drawCurve(this.over, curve);
    for (const { line, tone, width } of scene.over) this.over.through(line, tone, width);
    this.over.done();
    if (!this.fitted && !this.seen.isEmpty) {
      this.fitted = true;
      this.pose = this.fittedPose(this.pose);
    }
    this.refresh();
  }

  /** Asks for a new picture. */
  refresh(): void {
    if (this.asked === 0) this.asked = requestAnimationFrame((now) => this.step(now));
  }

  // --- looking ---

  setPose(pose: Pose): void {
    this.moving = null;
    this.pose = pose;
    this.refresh();
  }

  /** Moves there in a short while, or at once where motion is not wanted. */
  go(...way: Pose[]): void {
    const last = way.at(-1);
    if (!last) return;
    if (matchMedia("(prefers-reduced-motion: reduce)").matches) {
      this.setPose(last);
      return;
    }
    this.moving = { from: copyPose(this.pose), way, since: performance.now() };
    this.refresh();
  }

  look(view: ViewName): void {
    this.go(this.fittedPose(looking(this.pose, view)));
  }

  fit(): void {
    this.go(this.fittedPose(this.pose));
  }

  /** Puts a place in the middle, near enough to see it. */
  goTo(at: Vec, near: number): void {
    this.go({ ...copyPose(this.pose), target: new THREE.Vector3(...at), tall: Math.min(this.pose.tall, near) });
  }

  /** Brings a direction down on the screen, by way of others. */
  turnDown(down: Vec, way: readonly Vec[] = []): void {
    let pose = this.pose;
    const poses: Pose[] = [];
    for (const next of [...way, down]) {
      const up = turnedDown(next, pose.up);
      if (up.angleTo(pose.up) < 1e-6) continue;
      pose = this.fittedPose({ ...copyPose(pose), up });
      poses.push(pose);
    }
    if (poses.length === 0) this.go(this.fittedPose(this.pose));
    else this.go(...poses);
  }

  orbit(dx: number, dy: number): void {
    const limit = Math.PI / 2;
    const rise = Math.min(limit, Math.max(-limit, this.pose.rise + dy));
    this.setPose({ ...copyPose(this.pose), turn: this.pose.turn - dx, rise });
  }

  /** Moves the paper by pixels. */
  pan(dx: number, dy: number): void {
    const [right, up] = axesOf(this.pose);
    const size = this.metresPerPixel;
    const pose = copyPose(this.pose);
    pose.target.addScaledVector(right, -dx * size).addScaledVector(up, dy * size);
    this.setPose(pose);
  }

  /** Brings it nearer, keeping what is at a place of the canvas there. */
  zoom(by: number, x = this.wide / 2, y = this.tall / 2): void {
    const tall = Math.min(60, Math.max(0.02, this.pose.tall / by));
    const [right, up] = axesOf(this.pose);
    const k = (this.pose.tall - tall) / this.tall;
    const pose = copyPose(this.pose);
    pose.target.addScaledVector(right, (x - this.wide / 2) * k).addScaledVector(up, (this.tall / 2 - y) * k);
    pose.tall = tall;
    this.setPose(pose);
  }

  // --- places ---

  get metresPerPixel(): number {
    return this.pose.tall / this.tall;
  }

  get width(): number {
    return this.wide;
  }

  get height(): number {
    return this.tall;
  }

  /** Where a place is on the canvas, px; the third number grows towards the eye. */
  project(p: Vec): [number, number, number] {
    const [right, up, out] = axesOf(this.pose);
    const d = new THREE.Vector3(...p).sub(this.pose.target);
    const k = 1 / this.metresPerPixel;
    return [this.wide / 2 + d.dot(right) * k, this.tall / 2 - d.dot(up) * k, d.dot(out)];
  }

  /** A direction as pixels for a metre. */
  direction(d: Vec): [number, number] {
    const [right, up] = axesOf(this.pose);
    const v = new THREE.Vector3(...d);
    const k = 1 / this.metresPerPixel;
    return [v.dot(right) * k, -v.dot(up) * k];
  }

  /** The place under a pixel that is as far from the eye as another place, or on a plane. */
  unproject(x: number, y: number, on: Plane | Vec): Vec {
    const [right, up, out] = axesOf(this.pose);
    const size = this.metresPerPixel;
    const p = this.pose.target
      .clone()
      .addScaledVector(right, (x - this.wide / 2) * size)
      .addScaledVector(up, (this.tall / 2 - y) * size);
    if ("normal" in on) {
      const n = new THREE.Vector3(...on.normal);
      const along = out.dot(n);
      if (Math.abs(along) > 1e-3) p.addScaledVector(out, (on.height - p.dot(n)) / along);
    } else {
      p.addScaledVector(out, new THREE.Vector3(...on).sub(p).dot(out));
    }
    return [p.x, p.y, p.z];
  }

  get lookingAlong(): Vec {
    const out = axesOf(this.pose)[2];
    return [-out.x, -out.y, -out.z];
  }

  get upward(): Vec {
    const up = new THREE.Vector3(0, 0, 1).applyQuaternion(this.pose.up);
    return [up.x, up.y, up.z];
  }

  /** Extent of everything, m. */
  get extent(): THREE.Box3 {
    return this.seen.box;
  }

  /** The name of the body drawn at a pixel, or within a few of it. */
  bodyAt(x: number, y: number): string | null {
    if (!this.scene) return null;
    this.placeCamera();
    const number = this.spot.read(this.renderer, this.frame.numbers, this.camera, [this.wide, this.tall], x, y);
    return number === null ? null : (this.frame.names[number] ?? null);
  }

  /** A copy of the drawing as it is now, in the colours of the page as they are now, for paper. */
  copy(): HTMLCanvasElement {
    readPalette(this.ink, getComputedStyle(this.host));
    this.render();
    const copy = document.createElement("canvas");
    copy.width = this.canvas.width;
    copy.height = this.canvas.height;
    // At once: what is drawn is gone when the browser next shows the page.
    copy.getContext("2d")?.drawImage(this.canvas, 0, 0);
    return copy;
  }

  // --- drawing ---

  private fittedPose(pose: Pose): Pose {
    return this.seen.fitted(pose, this.wide, this.tall);
  }

  private placeCamera(): void {
    const reach = this.seen.reach(this.pose);
    // Lines stand a millimetre before what they lie on.
    this.ink.lift.value = 0.001 / reach;
    place(this.camera, this.pose, this.wide / this.tall, reach);
  }

  private step(now: number): void {
    this.asked = 0;
    if (this.moving) {
      const { from, way, since } = this.moving;
      const at = Math.max(0, (now - since) / MOVE_MS);
      const leg = Math.min(way.length - 1, Math.floor(at));
      const a = leg === 0 ? from : (way[leg - 1] as Pose);
      const k = Math.min(1, at - leg);
      this.pose = between(a, way[leg] as Pose, k * k * (3 - 2 * k));
      if (at >= way.length) {
        this.pose = way[way.length - 1] as Pose;
        this.moving = null;
      } else {
        this.refresh();
      }
    }
    this.render();
    this.drawn += 1;
    for (const hear of this.heard) hear();
  }

  private render(): void {
    const r = this.renderer;
    this.placeCamera();
    const [, , out] = axesOf(this.pose);
    this.ground.lookAlong(out);
    // The colour goes to the screen as it is: the renderer would change it on the way.
    const paper = this.ink.palette.value[0] as THREE.Color;
    r.setClearColor(paper.clone().convertSRGBToLinear(), 1);
    r.clear();
    r.render(this.ground.scene, this.camera);
    for (const bodies of [this.solids, this.frame, this.skins]) {
      if (!bodies.scene.visible) continue;
      r.clearDepth();
      r.render(bodies.scene, this.camera);
    }
    r.render(this.overScene, this.camera);
  }
}
