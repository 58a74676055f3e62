/** Plain solids as surfaces: people, wheels, masses. */

import * as THREE from "three";
import type { SolidShape } from "../wire";
import type { Mesh } from "../wire/decode";

function from(geometry: THREE.BufferGeometry, matrix: THREE.Matrix4): Mesh {
  geometry.applyMatrix4(matrix);
  const points = new Float32Array(geometry.getAttribute("position").array);
  const index = geometry.getIndex();
  const triangles = index ? new Uint32Array(index.array) : Uint32Array.from({ length: points.length / 3 }, (_, i) => i);
  geometry.dispose();
  return { points, triangles };
}

const v = (a: readonly number[]): THREE.Vector3 => new THREE.Vector3(a[0], a[1], a[2]);
const Y = new THREE.Vector3(0, 1, 0);

export function solidMesh(shape: SolidShape): Mesh {
  const matrix = new THREE.Matrix4();
  switch (shape.shape) {
    case "ball":
      return from(new THREE.SphereGeometry(shape.radius, 28, 18), matrix.setPosition(v(shape.centre)));
    case "capsule": {
      const [a, b] = [v(shape.ends[0]), v(shape.ends[1])];
      const way = b.clone().sub(a);
      const long = way.length();
      const turn = new THREE.Quaternion();
      if (long > 0) turn.setFromUnitVectors(Y, way.clone().divideScalar(long));
      matrix.compose(a.add(b).multiplyScalar(0.5), turn, new THREE.Vector3(1, 1, 1));
      return from(new THREE.CapsuleGeometry(shape.radius, long, 8, 24), matrix);
    }
    case "disc": {
      const turn = new THREE.Quaternion().setFromUnitVectors(Y, v(shape.axis).normalize());
      matrix.compose(v(shape.centre), turn, new THREE.Vector3(1, 1, 1));
      return from(new THREE.CylinderGeometry(shape.radius, shape.radius, shape.width, 64), matrix);
    }
    case "block": {
      const [x, y, z] = [v(shape.axes[0]), v(shape.axes[1]), v(shape.axes[2])];
      matrix.makeBasis(x, y, z).setPosition(v(shape.centre));
      const [a, b, c] = shape.half;
      return from(new THREE.BoxGeometry(2 * a, 2 * b, 2 * c), matrix);
    }
  }
}
