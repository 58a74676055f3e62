import { apply } from "../base/theme";
import type { Drawing } from "../drawing/Drawing";

/** Puts a copy of the drawing into the page while it is printed: dark ink on light paper, whatever the screen shows. */
export function printable(drawing: Drawing, host: HTMLElement): () => void {
  let copy: HTMLCanvasElement | null = null;
  const before = (): void => {
    document.documentElement.dataset["theme"] = "light";
    copy?.remove();
    copy = drawing.copy();
    copy.className = "printed";
    host.append(copy);
  };
  const after = (): void => {
    copy?.remove();
    copy = null;
    apply();
    drawing.style();
  };
  window.addEventListener("beforeprint", before);
  window.addEventListener("afterprint", after);
  return () => {
    window.removeEventListener("beforeprint", before);
    window.removeEventListener("afterprint", after);
  };
}
