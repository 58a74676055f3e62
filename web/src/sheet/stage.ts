import type { Drawing } from "../drawing/Drawing";

/** The one drawing, while it is there. */
export const stage: { drawing: Drawing | null } = { drawing: null };
