import type { ShopEnd } from "../wire";

/** So much of an angle, or of a line of a set-up, fits into half the width. */
const ANGLE = 8;
const LINE = 44;

/** Whether what is said of the ends of a piece needs the whole width, one end below the other. */
export const roomy = (ends: readonly ShopEnd[]): boolean => ends.some((e) => e.angle.length > ANGLE || e.setups.some((line) => line.length > LINE));
