/** What is to be seen of a design, and from how far. */

import * as THREE from "three";
import type { View } from "../wire";
import { axesOf, copyPose, type Pose } from "./pose";

/** Room round what is seen. */
const MARGIN = 1.12;
const ROOM = 0.03;
/** Places of a wheel's rim that are to be seen. */
const RIM = 12;

export class Extent {
  /** Everything, m. */
  readonly box = new THREE.Box3();
  private places: THREE.Vector3[] = [];

  get isEmpty(): boolean {
    return this.box.isEmpty();
  }

  measure(view: View): void {
    this.box.makeEmpty();
    this.places = [];
    for (const tube of view.tubes) for (const at of tube.line) this.places.push(new THREE.Vector3(...at));
    for (const curve of view.curves) for (const at of curve.line) this.places.push(new THREE.Vector3(...at));
    for (const point of view.points) this.places.push(new THREE.Vector3(...point.at));
    if (this.places.length === 0) return;
    for (const { shape } of view.solids) {
      if (shape.shape !== "disc") continue;
      const axis = new THREE.Vector3(...shape.axis).normalize();
      const side = new THREE.Vector3(Math.abs(axis.x) < 0.9 ? 1 : 0, 0, Math.abs(axis.x) < 0.9 ? 0 : 1).cross(axis).normalize();
      for (let k = 0; k < RIM; k++) {
        const rim = side.clone().multiplyScalar(shape.radius).applyAxisAngle(axis, (k * 2 * Math.PI) / RIM);
        for (const half of [-0.5, 0.5]) {
          this.places.push(rim.clone().addScaledVector(axis, half * shape.width).add(new THREE.Vector3(...shape.centre)));
        }
      }
    }
    this.box.setFromPoints(this.places).expandByScalar(ROOM);
  }

  /** A pose turned as another, from which all of it is on a canvas of a width and a height. */
  fitted(pose: Pose, wide: number, tall: number): Pose {
    if (this.isEmpty) return pose;
    const [right, up] = axesOf(pose);
    let [a0, a1, b0, b1] = [Infinity, -Infinity, Infinity, -Infinity];
    const middle = this.box.getCenter(new THREE.Vector3());
    for (const place of this.places) {
      const [a, b] = [place.dot(right) - middle.dot(right), place.dot(up) - middle.dot(up)];
      [a0, a1] = [Math.min(a0, a), Math.max(a1, a)];
      [b0, b1] = [Math.min(b0, b), Math.max(b1, b)];
    }
    middle.addScaledVector(right, (a0 + a1) / 2).addScaledVector(up, (b0 + b1) / 2);
    return { ...copyPose(pose), target: middle, tall: Math.max(b1 - b0, ((a1 - a0) * tall) / wide, 0.05) * MARGIN };
  }

  /** How far the eye must reach from what it looks at, m. */
  reach(pose: Pose): number {
    if (this.isEmpty) return 5.5;
    return this.box.getSize(new THREE.Vector3()).length() * 1.5 + pose.target.distanceTo(this.box.getCenter(new THREE.Vector3())) + 1;
  }
}
