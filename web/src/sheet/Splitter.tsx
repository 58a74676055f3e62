import { useRef, useState } from "react";

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
  const [share, setShare] = useState(30);
  const now = (px: number): void => {
    setWidth(px);
    setShare(Math.round((100 * width()) / window.innerWidth));
  };
  return (
    <div
      className="splitter"
      ref={host}
      role="separator"
      tabIndex={0}
      aria-orientation="vertical"
      aria-label="Width of the answer"
      aria-valuenow={share}
      aria-valuemin={0}
      aria-valuemax={60}
      aria-valuetext={`${share} % of the page`}
      onPointerDown={(e) => e.currentTarget.setPointerCapture(e.pointerId)}
      onPointerMove={(e) => e.currentTarget.hasPointerCapture(e.pointerId) && now(window.innerWidth - e.clientX)}
      onDoubleClick={() => document.documentElement.style.removeProperty("--answer")}
      onKeyDown={(e) => {
        if (e.key === "ArrowLeft") now(width() + STEP);
        else if (e.key === "ArrowRight") now(width() - STEP);
        else return;
        e.preventDefault();
        e.stopPropagation();
      }}
    />
  );
}
