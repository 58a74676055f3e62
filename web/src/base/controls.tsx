import { useEffect, useState, type ReactNode } from "react";
import {
  Button,
  Checkbox,
  Dialog,
  FieldError,
  Heading,
  Input,
  Label,
  ListBox,
  ListBoxItem,
  Modal,
  ModalOverlay,
  Popover,
  Select,
  SelectValue,
  TextField,
  type ButtonProps,
} from "react-aria-components";
import { boxText, parseLength, type Ruler } from "./lengths";

export function Plain(props: ButtonProps & { strong?: boolean }) {
  const { strong, className, ...rest } = props;
  return <Button {...rest} className={`button ${strong ? "strong" : ""} ${typeof className === "string" ? className : ""}`} />;
}

/** One of several words. */
export function Choice<T extends string>(props: {
  label: string;
  value: T | null;
  items: readonly { id: T; words: string }[];
  onChange: (value: T) => void;
  hideLabel?: boolean;
}) {
  return (
    <Select
      className="choice"
      aria-label={props.hideLabel ? props.label : undefined}
      value={props.value}
      onChange={(key) => key !== null && props.onChange(key as T)}
    >
      {props.hideLabel ? null : <Label>{props.label}</Label>}
      <Button className="button select">
        <SelectValue />
        <span aria-hidden className="down">
          ▾
        </span>
      </Button>
      <Popover className="popover">
        <ListBox className="list" items={props.items}>
          {(item) => (
            <ListBoxItem id={item.id} textValue={item.words}>
              {item.words}
            </ListBoxItem>
          )}
        </ListBox>
      </Popover>
    </Select>
  );
}

export function Tick(props: { checked: boolean; onChange: (checked: boolean) => void; children: ReactNode }) {
  return (
    <Checkbox className="tick" isSelected={props.checked} onChange={props.onChange}>
      <span className="box" aria-hidden />
      {props.children}
    </Checkbox>
  );
}

/**
 * A length in the design's units: Enter or leaving the box sets it, the arrow keys move it by a step, Escape puts the
 * old one back.
 */
export function LengthBox(props: {
  label: string;
  value: number | null;
  ruler: Ruler;
  onSet: (metres: number) => void;
  /** Called while the arrow keys move it. */
  onMove?: (metres: number) => void;
  onEscape?: () => void;
  /** Told whether what stands in it is no length. */
  onWrong?: (wrong: boolean) => void;
  unit?: boolean;
  isDisabled?: boolean;
}) {
  const { value, ruler, onSet, onMove } = props;
  const shown = value === null ? "" : boxText(value, ruler);
  const [typed, setTyped] = useState<string | null>(null);
  const [moved, setMoved] = useState<number | null>(null);
  useEffect(() => {
    setTyped(null);
    setMoved(null);
  }, [shown, ruler.unit]);
  const read = typed === null ? null : parseLength(typed, ruler);
  const wrong = read !== null && !read.ok ? read.why : null;
  useEffect(() => props.onWrong?.(wrong !== null), [wrong !== null]);
  const set = (): void => {
    if (moved !== null) onSet(moved);
    else if (read?.ok && (value === null || boxText(read.metres, ruler) !== shown)) onSet(read.metres);
    setTyped(null);
    setMoved(null);
  };
  return (
    <TextField
      className="field length"
      value={typed ?? (moved === null ? shown : boxText(moved, ruler))}
      onChange={(text) => {
        setMoved(null);
        setTyped(text);
      }}
      isInvalid={wrong !== null}
      isDisabled={props.isDisabled}
      // What is no length stays, with the reason under it, until it is mended or Escape is pressed.
      onBlur={() => wrong === null && set()}
      onKeyDown={(e) => {
        if (e.key === "Enter") {
          if (wrong === null) set();
        } else if (e.key === "Escape") {
          setTyped(null);
          setMoved(null);
          props.onEscape?.();
        } else if ((e.key === "ArrowUp" || e.key === "ArrowDown") && onMove) {
          const by = (e.key === "ArrowUp" ? 1 : -1) * ruler.step * (e.shiftKey ? 10 : 1);
          const from = moved ?? (read?.ok ? read.metres : value);
          if (from === null) return;
          e.preventDefault();
          setTyped(null);
          setMoved(from + by);
          onMove(from + by);
        } else {
          e.continuePropagation();
        }
      }}
    >
      <Label>{props.label}</Label>
      <Input inputMode={ruler.unit === "mm" ? "decimal" : "text"} autoComplete="off" />
      {props.unit ? <span className="unit">{ruler.unit}</span> : null}
      <FieldError>{wrong}</FieldError>
    </TextField>
  );
}

/** A text that is set with Enter or by leaving the box. */
export function TextBox(props: {
  label: string;
  value: string;
  onSet: (text: string) => void;
  trouble?: (text: string) => string | null;
  /** Told whether what stands in it can't be set. */
  onWrong?: (wrong: boolean) => void;
  placeholder?: string;
}) {
  const [typed, setTyped] = useState<string | null>(null);
  useEffect(() => setTyped(null), [props.value]);
  const wrong = typed !== null && typed !== props.value ? (props.trouble?.(typed) ?? null) : null;
  useEffect(() => props.onWrong?.(wrong !== null), [wrong !== null]);
  const set = (): void => {
    if (typed !== null && typed !== props.value && wrong === null) props.onSet(typed);
  };
  return (
    <TextField
      className="field"
      value={typed ?? props.value}
      onChange={setTyped}
      isInvalid={wrong !== null}
      onBlur={set}
      onKeyDown={(e) => {
        if (e.key === "Enter") set();
        else if (e.key === "Escape") setTyped(null);
        else e.continuePropagation();
      }}
    >
      <Label>{props.label}</Label>
      <Input autoComplete="off" spellCheck={false} placeholder={props.placeholder} />
      <FieldError>{wrong}</FieldError>
    </TextField>
  );
}

/** A sheet laid over the right of the page. */
export function Sheet(props: { title: string; open: boolean; onClose: () => void; children: ReactNode }) {
  return (
    <ModalOverlay className="laid-over" isOpen={props.open} onOpenChange={(open) => !open && props.onClose()} isDismissable>
      <Modal className="sheet">
        <Dialog>
          <header>
            <Heading slot="title">{props.title}</Heading>
            <Plain onPress={props.onClose}>close</Plain>
          </header>
          {props.children}
        </Dialog>
      </Modal>
    </ModalOverlay>
  );
}
