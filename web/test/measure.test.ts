import { describe, expect, it } from "vitest";
import { crossings, measure, nearestOfStretches, nearestOnLine, placeAlong, type Measurable } from "../src/base/measure";
import { distance, mix, type Vec } from "../src/base/vec";

const tube = (name: string, ...line: Vec[]): Measurable => ({ is: "tube", name, line });
const point = (name: string, at: Vec): Measurable => ({ is: "point", name, at });
const ground: Measurable = { is: "plane", name: "ground", normal: [0, 0, 1], height: -0.3 };

describe("a place along a line", () => {
  const line: Vec[] = [[0, 0, 0], [1, 0, 0], [1, 2, 0]];
  it.each<[number, Vec]>([
    [-1, [0, 0, 0]],
    [0.25, [0.25, 0, 0]],
    [2.5, [1, 1.5, 0]],
    [9, [1, 2, 0]],
  ])("%f m", (along, at) => expect(placeAlong(line, along)).toEqual(at));
  it("is the way back from what is nearest", () => expect(nearestOnLine(line, placeAlong(line, 1.75)).along).toBeCloseTo(1.75, 12));
});

describe("measuring", () => {
  it("between points, with the parts along the axes", () => {
    const m = measure(point("a", [1, 2, 3]), point("b", [2, 4, 1]));
    expect(m.distance).toBeCloseTo(3, 12);
    expect(m.parts).toEqual([1, 2, -2]);
    expect(m.angle).toBeNull();
    expect(m.words).toBe("between the point a and the point b");
  });

  it("between crossing tubes that pass at a distance, with their angle", () => {
    const m = measure(tube("a", [-1, 0, 0], [1, 0, 0]), tube("b", [0, -1, 0.25], [1, 1, 0.25]));
    expect(m.distance).toBeCloseTo(0.25, 12);
    expect(m.angle).toBeCloseTo(Math.atan2(2, 1), 12);
    expect(m.words).toContain("centreline of a");
  });

  it("between parallel tubes that overlap, and that do not", () => {
    const a = tube("a", [0, 0, 0], [1, 0, 0]);
    expect(measure(a, tube("b", [0.5, 0.3, 0], [2, 0.3, 0])).distance).toBeCloseTo(0.3, 12);
    expect(measure(a, tube("b", [4, 4, 0], [5, 4, 0])).distance).toBeCloseTo(5, 12);
    expect(measure(a, tube("b", [0.5, 0.3, 0], [2, 0.3, 0])).angle).toBeCloseTo(0, 12);
  });

  it("takes the nearest leg of a bent tube", () => {
    const bent = tube("hoop", [0, 0, 0], [0, 0, 1], [0, 1, 1]);
    const m = measure(point("p", [0.2, 0.5, 1]), bent);
    expect(m.distance).toBeCloseTo(0.2, 12);
    expect(m.to).toEqual([0, 0.5, 1]);
  });

  it("to a plane, either way round", () => {
    const m = measure(point("p", [1, 1, 0.5]), ground);
    expect(m.distance).toBeCloseTo(0.8, 12);
    expect(m.parts[2]).toBeCloseTo(-0.8, 12);
    expect(measure(ground, point("p", [1, 1, 0.5])).parts[2]).toBeCloseTo(0.8, 12);
    const leaning = measure(tube("t", [0, 0, 0], [1, 0, 1]), ground);
    expect(leaning.distance).toBeCloseTo(0.3, 12);
    expect(leaning.angle).toBeCloseTo(Math.PI / 4, 12);
    expect(measure(tube("t", [0, 0, -1], [1, 0, 1]), ground).distance).toBeCloseTo(0, 12);
  });

  it("between planes: parallel or crossing", () => {
    const datum: Measurable = { is: "plane", name: "datum", normal: [0, 0, 1], height: 0.1 };
    expect(measure(ground, datum).distance).toBeCloseTo(0.4, 12);
    const tilted: Measurable = { is: "plane", name: "tilted", normal: [Math.SQRT1_2, 0, Math.SQRT1_2], height: 0 };
    expect(measure(ground, tilted).distance).toBeNaN();
    expect(measure(ground, tilted).angle).toBeCloseTo(Math.PI / 4, 12);
  });

  it("agrees with a search over both stretches", () => {
    let seed = 7;
    const random = (): number => (seed = (seed * 16807) % 2147483647) / 2147483647;
    const some = (): Vec => [random(), random(), random()];
    for (let n = 0; n < 60; n++) {
      const [a, b, c, d] = [some(), some(), some(), some()];
      const [p, q] = nearestOfStretches(a, b, c, d);
      let least = Infinity;
      for (let i = 0; i <= 200; i++)
        for (let j = 0; j <= 200; j++) least = Math.min(least, distance(mix(a, b, i / 200), mix(c, d, j / 200)));
      expect(distance(p, q)).toBeLessThanOrEqual(least + 1e-12);
      expect(distance(p, q)).toBeGreaterThan(least - 0.02);
    }
  });

  it("finds places along a line", () => {
    const near = nearestOnLine([[0, 0, 0], [0, 0, 1], [0, 1, 1]], [0.1, 0.5, 1.2]);
    expect(near.stretch).toBe(1);
    expect(near.along).toBeCloseTo(1.5, 12);
    expect(crossings([[0, 0, 0], [0, 0, 1], [0, 1, 0]], [0, 0, 1], 0.25)).toHaveLength(2);
  });
});
