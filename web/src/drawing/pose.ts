/** Where the drawing is looked at from. Always square on, without perspective: what is parallel stays so. */

import * as THREE from "three";

export type ViewName = "front" | "rear" | "left" | "right" | "top" | "bottom" | "three-quarter";
export const VIEWS: readonly ViewName[] = ["three-quarter", "front", "rear", "left", "right", "top", "bottom"];

const RIGHT_ANGLE = Math.PI / 2;
/** Turn about up and height over the horizon of each view, rad. */
const LOOKS: Record<ViewName, [number, number]> = {
  front: [0, 0],
  rear: [Math.PI, 0],
  left: [RIGHT_ANGLE, 0],
  right: [-RIGHT_ANGLE, 0],
  top: [-RIGHT_ANGLE, RIGHT_ANGLE],
  bottom: [-RIGHT_ANGLE, -RIGHT_ANGLE],
  "three-quarter": [-0.86, 0.42],
};

export interface Pose {
  /** What is in the middle, m. */
  target: THREE.Vector3;
  /** Turn about up, rad. */
  turn: number;
  /** Height over the horizon, rad. */
  rise: number;
  /** From the frame's axes to those in which z is up on the screen. */
  up: THREE.Quaternion;
  /** Height of the canvas, m. */
  tall: number;
}

export function firstPose(): Pose {
  const [turn, rise] = LOOKS["three-quarter"];
  return { target: new THREE.Vector3(), turn, rise, up: new THREE.Quaternion(), tall: 3 };
}

export const copyPose = (p: Pose): Pose => ({ ...p, target: p.target.clone(), up: p.up.clone() });

export function looking(pose: Pose, view: ViewName): Pose {
  const [turn, rise] = LOOKS[view];
  return { ...copyPose(pose), turn, rise };
}

/** Axes of the screen in the frame's axes: to the right, upward, out of it. */
export function axesOf(pose: Pose): [THREE.Vector3, THREE.Vector3, THREE.Vector3] {
  const [ct, st, cr, sr] = [Math.cos(pose.turn), Math.sin(pose.turn), Math.cos(pose.rise), Math.sin(pose.rise)];
  const out = new THREE.Vector3(cr * ct, cr * st, sr);
  const right = new THREE.Vector3(-st, ct, 0);
  const up = new THREE.Vector3().crossVectors(out, right);
  return [right.applyQuaternion(pose.up), up.applyQuaternion(pose.up), out.applyQuaternion(pose.up)];
}

/** The view that a pose is, if it is one of those with a name. */
export function viewOf(pose: Pose): ViewName | null {
  for (const view of VIEWS) {
    const [turn, rise] = LOOKS[view];
    const off = Math.abs(Math.atan2(Math.sin(turn - pose.turn), Math.cos(turn - pose.turn)));
    if (off < 1e-3 && Math.abs(rise - pose.rise) < 1e-3) return view;
  }
  return null;
}

/** The pose on the way from one to another, the short way round. */
export function between(a: Pose, b: Pose, k: number): Pose {
  const turn = Math.atan2(Math.sin(b.turn - a.turn), Math.cos(b.turn - a.turn));
  return {
    target: a.target.clone().lerp(b.target, k),
    turn: a.turn + turn * k,
    rise: a.rise + (b.rise - a.rise) * k,
    up: a.up.clone().slerp(b.up, k),
    tall: a.tall * (b.tall / a.tall) ** k,
  };
}

/** The turn that brings a direction of the frame down on the screen, the shortest from another turn. */
export function turnedDown(down: readonly [number, number, number], from: THREE.Quaternion): THREE.Quaternion {
  const was = new THREE.Vector3(0, 0, -1).applyQuaternion(from);
  const want = new THREE.Vector3(...down).normalize();
  const swing = new THREE.Quaternion().setFromUnitVectors(was, want);
  return swing.multiply(from.clone());
}

export function place(camera: THREE.OrthographicCamera, pose: Pose, aspect: number, reach: number): void {
  const [right, up, out] = axesOf(pose);
  camera.quaternion.setFromRotationMatrix(new THREE.Matrix4().makeBasis(right, up, out));
  camera.position.copy(pose.target).addScaledVector(out, reach);
  camera.top = pose.tall / 2;
  camera.bottom = -pose.tall / 2;
  camera.right = (pose.tall / 2) * aspect;
  camera.left = -camera.right;
  camera.near = 0;
  camera.far = 2 * reach;
  camera.updateProjectionMatrix();
  camera.updateMatrixWorld(true);
}
