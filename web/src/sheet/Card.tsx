import type { ReactNode } from "react";
import { Plain } from "../base/controls";
import { letGo } from "./desk";

/** A card on the drawing. */
export function Card(props: { title: string; sub?: string; children: ReactNode; onClose?: () => void }) {
  return (
    <aside className="picked-card" aria-label={props.title}>
      <header>
        <h2>{props.title}</h2>
        <Plain className="small" aria-label="let go" onPress={() => (props.onClose ? props.onClose() : void letGo())}>
          ×
        </Plain>
      </header>
      {props.sub ? <p className="sub">{props.sub}</p> : null}
      {props.children}
    </aside>
  );
}
