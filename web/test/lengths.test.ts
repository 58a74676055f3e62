import { describe, expect, it } from "vitest";
import { apart, boxText, fineText, lengthText, lengthWords, parseLength, snap, type Ruler } from "../src/base/lengths";

const mm: Ruler = { unit: "mm", unitSize: 0.001, step: 0.0005 };
const inch: Ruler = { unit: "in", unitSize: 0.0254, step: 0.0254 / 16 };
const decimal: Ruler = { unit: "in", unitSize: 0.0254, step: 0.00254 };

describe("lengths as they are read", () => {
  it.each([
    [0.8625, "862.5"],
    [0.86274, "862.5"],
    [-0.0405, "−40.5"],
    [-0.0001, "0.0"],
    [NaN, "–"],
  ])("mm: %f", (m, text) => expect(lengthText(m, mm)).toBe(text));

  it.each([
    [1.75, "1 3/4"],
    [0.375, "3/8"],
    [-2.5, "−2 1/2"],
    [12, "12"],
    [11.99, "12"],
    [0.01, "0"],
    [-0.01, "0"],
    [40.0625, "40 1/16"],
  ])("inch fractions: %f", (inches, text) => expect(lengthText(inches * 0.0254, inch)).toBe(text));

  it("writes decimal inches where the step is no fraction", () => {
    expect(lengthText(1.74 * 0.0254, decimal)).toBe("1.7");
    expect(lengthWords(1.74 * 0.0254, decimal)).toBe("1.7 in");
  });

  it("reads what is measured finer than what is set", () => {
    expect(fineText(0.123456, mm)).toBe("123.45");
    expect(fineText(1.7654 * 0.0254, inch)).toBe("1.765");
  });

  it("says in a box what is so: a step where it is on one, decimals where not", () => {
    expect(boxText(11.8125 * 0.0254, inch)).toBe("11 13/16");
    expect(boxText(11.81102 * 0.0254, inch)).toBe("11.811");
    expect(boxText(0.8625, mm)).toBe("862.5");
    expect(boxText(0.86234, mm)).toBe("862.35");
  });

  it("gives metres as they are written, so that 12 in stays 12 in the file", () => {
    expect(parseLength("12", inch)).toEqual({ ok: true, metres: 0.3048 });
    expect(parseLength("-11 13/16", inch)).toEqual({ ok: true, metres: -0.3000375 });
    expect(parseLength("862.7", mm)).toEqual({ ok: true, metres: 0.8627 });
    expect(snap(0.30479, inch)).toBe(0.3048);
    expect(snap(0.8626, mm)).toBe(0.8625);
  });

  it("takes a plain number behind feet for inches", () => {
    for (const text of ["1' 8 3/8", "1 ft 8 3/8", "1' 8 3/8\""]) {
      const read = parseLength(text, inch);
      expect(read.ok && read.metres / 0.0254).toBeCloseTo(20.375, 9);
    }
    expect(parseLength("1' 8", mm)).toEqual({ ok: true, metres: expect.closeTo(0.508, 9) });
    for (const text of ["8 3/8 1'", "1' 2 3", "1\" 2"]) expect(parseLength(text, inch).ok).toBe(false);
  });

  it("takes a worded length apart", () => {
    expect(apart("15 15/16 (15.969) in")).toEqual({ figure: "15 15/16", fine: "15.969", unit: "in" });
    expect(apart("862.5 mm")).toEqual({ figure: "862.5", fine: "", unit: "mm" });
    expect(apart("90 in")).toEqual({ figure: "90", fine: "", unit: "in" });
    expect(apart("none")).toEqual({ figure: "none", fine: "", unit: "" });
  });

  it("snaps to the step", () => {
    expect(snap(0.12326, mm)).toBeCloseTo(0.1235, 12);
    expect(snap(1.76 * 0.0254, inch) / 0.0254).toBeCloseTo(1.75, 12);
  });
});

describe("lengths as they are typed", () => {
  const metres = (text: string, ruler: Ruler): number => {
    const read = parseLength(text, ruler);
    if (!read.ok) throw new Error(read.why);
    return read.metres;
  };

  it.each([
    ["862.5", mm, 0.8625],
    ["862,5", mm, 0.8625],
    ["-40", mm, -0.04],
    ["−40", mm, -0.04],
    ["1 3/4 in", mm, 1.75 * 0.0254],
    ["1 3/4", inch, 1.75 * 0.0254],
    ["1-3/4", inch, 1.75 * 0.0254],
    ["3/8", inch, 0.375 * 0.0254],
    ["-2 1/2", inch, -2.5 * 0.0254],
    ["45 mm", inch, 1.77165 * 0.0254],
    ['1.75"', mm, 1.75 * 0.0254],
    ["20 ft", mm, 6.096],
    ["5 ft 10 in", mm, 70 * 0.0254],
    ["5' 10 1/2\"", mm, 70.5 * 0.0254],
    [".5", mm, 0.0005],
  ])("%s", (text, ruler, m) => expect(metres(text, ruler)).toBeCloseTo(m, 12));

  it.each(["", "x", "1 2", "1/0", "3 4/", "5 in 2 ft", "2000 m", "1..2", "5 10 in", "45 mm 3", "1e3"])(
    "refuses “%s” with a reason",
    (text) => {
      const read = parseLength(text, mm);
      expect(read.ok).toBe(false);
      if (!read.ok) expect(read.why).not.toBe("");
    },
  );

  it("reads back what it writes", () => {
    for (let k = -400; k < 400; k += 7) {
      for (const ruler of [mm, inch]) {
        const m = k * ruler.step;
        expect(metres(lengthText(m, ruler), ruler)).toBeCloseTo(m, 12);
      }
    }
  });
});
