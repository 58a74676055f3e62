/** The road under a car that drives over an obstacle: the car stays where it is on the paper, the road goes by. */

import { add, cross, scale, type Vec } from "../base/vec";

type Flat = readonly [number, number];

export interface Place {
  /** Hubs of the front and the rear axle: distance past where the obstacle begins, and height over the level, m. */
  hubs: [Flat, Flat];
  clearance: string;
  over: boolean;
  of: string;
}

export interface DriveAnswer {
  road: Flat[];
  /** The hubs as it stands on the level: distance along `forward` from the origin, and height over the ground, m. */
  hubs: [Flat, Flat];
  forward: Vec;
  up: Vec;
  ground: number;
  steps: Place[];
  told: number | null;
}

export interface Drive {
  stance: string;
  over: string;
  way: DriveAnswer;
  step: number;
}

/** Half of the road's width that is drawn, m. */
const HALF = 0.95;
/** Road that is drawn before and behind the hubs, m. */
const ROOM = 1.6;

/** The road under the car at a step, in the frame's axes: both edges and lines across at its corners. */
export function roadLines({ way, step }: Drive): Vec[][] {
  const place = way.steps[step];
  if (!place) return [];
  const [front, rear] = way.hubs;
  const [f, r] = place.hubs;
  // What turns the axles of the step into those of the car as it is drawn.
  const turn = Math.atan2(front[1] - rear[1], front[0] - rear[0]) - Math.atan2(f[1] - r[1], f[0] - r[0]);
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  const side = cross(way.up, way.forward);
  const at = (p: Flat, across: number): Vec => {
    const [x, h] = [p[0] - f[0], p[1] - f[1]];
    const along = front[0] + c * x - s * h;
    const over = front[1] + s * x + c * h + way.ground;
    return add(add(scale(way.forward, along), scale(way.up, over)), scale(side, across));
  };
  const road = within(way.road, Math.min(r[0], f[0]) - ROOM, Math.max(r[0], f[0]) + ROOM);
  const corners = road.filter((_, i) => i === 0 || i === road.length - 1 || bends(road, i));
  return [road.map((p) => at(p, HALF)), road.map((p) => at(p, -HALF)), ...corners.map((p) => [at(p, HALF), at(p, -HALF)])];
}

/** The stretch of a road between two distances; beyond its ends it is level. */
function within(road: readonly Flat[], low: number, high: number): Flat[] {
  const height = (x: number): number => {
    const i = road.findIndex((p) => p[0] >= x);
    if (i < 0) return road.at(-1)?.[1] ?? 0;
    const [a, b] = [road[i - 1], road[i] as Flat];
    return !a || b[0] === a[0] ? (a ?? b)[1] : a[1] + ((b[1] - a[1]) * (x - a[0])) / (b[0] - a[0]);
  };
  return [[low, height(low)], ...road.filter((p) => p[0] > low && p[0] < high), [high, height(high)]];
}

/** Whether a road turns sharply at a place. */
function bends(road: readonly Flat[], i: number): boolean {
  const [a, b, d] = [road[i - 1], road[i], road[i + 1]];
  if (!a || !b || !d) return false;
  const u = Math.atan2(b[1] - a[1], b[0] - a[0]);
  const v = Math.atan2(d[1] - b[1], d[0] - b[0]);
  return Math.abs(u - v) > 0.03;
}
