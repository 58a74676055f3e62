import { useEffect, useState } from "react";
import { FieldError, Input, Label, TextField } from "react-aria-components";

const TURN = 360;

/** Degrees as they are typed: `30`, `-7.5`; null if it is none. */
export function parseDegrees(text: string): number | null {
  const plain = text.trim().replace("°", "").replace(",", ".").replace("−", "-");
  const value = Number(plain);
  return plain !== "" && Number.isFinite(value) && Math.abs(value) <= TURN ? value : null;
}

/** An angle in rad, shown and typed in degrees: Enter or leaving the box sets it, Escape puts the old one back. */
export function AngleBox({ label, value, onSet }: { label: string; value: number; onSet: (radians: number) => void }) {
  const shown = String(Math.round((value * 180e6) / Math.PI) / 1e6);
  const [typed, setTyped] = useState<string | null>(null);
  useEffect(() => setTyped(null), [shown]);
  const read = typed === null ? null : parseDegrees(typed);
  const wrong = typed !== null && read === null ? `“${typed.trim()}” is not an angle in degrees` : null;
  const set = (): void => {
    // What is no angle stays, with the reason under it, until it is mended or Escape is pressed.
    if (wrong !== null) return;
    if (read !== null && String(read) !== shown) onSet((read * Math.PI) / 180);
    setTyped(null);
  };
  return (
    <TextField
      className="field"
      value={typed ?? shown}
      onChange={setTyped}
      isInvalid={wrong !== null}
      onBlur={set}
      onKeyDown={(e) => {
        if (e.key === "Enter") {
          if (wrong === null) set();
        } else if (e.key === "Escape") setTyped(null);
        else e.continuePropagation();
      }}
    >
      <Label>{label}</Label>
      <Input inputMode="decimal" autoComplete="off" />
      <FieldError>{wrong}</FieldError>
    </TextField>
  );
}
