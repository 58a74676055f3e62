import { useRef } from "react";

const LEAST = 320;
const STEP = 24;

function setWidth(px: number): void {
  const most = window.innerWidth * 0.6;
  document.documentElement.style.setProperty("--answer", `${Math.round(Math.min(most, Math.max(LEAST, px)))}px`);
}

/** The line between drawing and answer, to be dragged. */
export function Splitter() {
  const host = useRef<HTMLDivElement>(null);
  const width = (): number => window.innerWidth - (host.current?.getBoundingClientRect().right ?? window.innerWidth);
  return (
    <div
      className="splitter"
      ref={host}
      role="separator"
      tabIndex={0}
      aria-orientation="vertical"
      aria-label="Width of the answer"
      onPointerDown={(e) => e.currentTarget.setPointerCapture(e.pointerId)}
      onPointerMove={(e) => e.currentTarget.hasPointerCapture(e.pointerId) && setWidth(window.innerWidth - e.clientX)}
      onDoubleClick={() => document.documentElement.style.removeProperty("--answer")}
      onKeyDown={(e) => {
        if (e.key === "ArrowLeft") setWidth(width() + STEP);
        else if (e.key === "ArrowRight") setWidth(width() - STEP);
        else return;
        e.preventDefault();
        e.stopPropagation();
      }}
    />
  );
}
