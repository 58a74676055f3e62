import { parseLength, type Ruler } from "../base/lengths";

/** A measured length that is off by more than this part is asked about: it may be another piece's, or a slip. */
const FAR = 0.1;

/** Whether a length as it was typed is far from what is wanted; what can't be read is not. */
export function isFar(text: string, wanted: string, ruler: Ruler): boolean {
  // A fraction has its decimal behind it: 15 15/16 (15.969) in.
  const [read, is] = [parseLength(text, ruler), parseLength(wanted.replace(/\(.*?\)/, ""), ruler)];
  return read.ok && is.ok && Math.abs(read.metres - is.metres) > FAR * is.metres;
}
