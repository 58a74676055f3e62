/** Which body lies under a pixel: a few pixels are drawn with the bodies' numbers for colours, and read back. */

import * as THREE from "three";

const SIZE = 9;
const HALF = (SIZE - 1) / 2;

export class Spot {
  private readonly target = new THREE.WebGLRenderTarget(SIZE, SIZE);

  /** The number of the body at a pixel of a canvas, or of the nearest within a few pixels; null if there is none. */
  read(renderer: THREE.WebGLRenderer, numbers: THREE.Scene, camera: THREE.OrthographicCamera, canvas: [number, number], x: number, y: number): number | null {
    const before = renderer.getRenderTarget();
    camera.setViewOffset(canvas[0], canvas[1], Math.round(x) - HALF, Math.round(y) - HALF, SIZE, SIZE);
    camera.updateProjectionMatrix();
    renderer.setRenderTarget(this.target);
    renderer.setClearColor(0x000000, 0);
    renderer.clear();
    renderer.render(numbers, camera);
    const read = new Uint8Array(SIZE * SIZE * 4);
    renderer.readRenderTargetPixels(this.target, 0, 0, SIZE, SIZE, read);
    renderer.setRenderTarget(before);
    camera.clearViewOffset();
    camera.updateProjectionMatrix();
    let best: number | null = null;
    let least = Infinity;
    for (let i = 0; i < SIZE * SIZE; i++) {
      const number = (read[4 * i] as number) + 256 * (read[4 * i + 1] as number);
      if (number === 0) continue;
      const off = ((i % SIZE) - HALF) ** 2 + (Math.floor(i / SIZE) - HALF) ** 2;
      if (off < least) {
        least = off;
        best = number - 1;
      }
    }
    return best;
  }
}
