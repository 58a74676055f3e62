import { useRef } from "react";
import { Plain } from "../base/controls";
import { Store, useStore } from "../base/store";
import { Words } from "../base/Words";
import type { Act, Cell, ReadingChange, Row, Table } from "../wire";
import { act, actWords } from "./acts";
import { desk, live, pick, type Desk } from "./desk";
import { column, useFit } from "./fit";

/** Whether an act has a button of its own: a piece opens with its row. */
const offered = (act: Row["act"]): boolean => act != null && act.act !== "piece";

interface Column {
  words: string;
  unit: string;
}

/**
 * A table of an answer: text left, numbers right in figures of one width. One that is too wide is folded: each row is a
 * few lines then, and each number has its column's words before it.
 */
export function PageTable({ table }: { table: Table }) {
  const open = useStore(opened, (o) => o.keys.has(table.key));
  if (!table.folded) return <WholeTable table={table} />;
  return (
    <section className="table fold">
      <h3>
        <button type="button" className="link" aria-expanded={open} onClick={() => turn(table.key)}>
          <span aria-hidden>{open ? "▾" : "▸"}</span> {table.title} <span className="quiet">{table.rows.length}</span>
        </button>
      </h3>
      {open ? <WholeTable table={table} /> : null}
    </section>
  );
}

/** Folded tables that stand open, whichever design's. */
const opened = new Store<{ keys: ReadonlySet<string> }>({ keys: new Set() });

function turn(key: string): void {
  const keys = new Set(opened.get().keys);
  if (!keys.delete(key)) keys.add(key);
  opened.set({ keys });
}

function WholeTable({ table }: { table: Table }) {
  const acts = table.rows.some((row) => offered(row.act));
  const right = table.columns.map((_, i) => table.rows.some((row) => row.cells[i] && "number" in (row.cells[i] as Cell)));
  const box = useRef<HTMLDivElement>(null);
  const fit = useFit(box);
  const unit = useStore(live.store, (s) => s.view?.unit ?? "");
  const columns = table.columns.map((c) => column(c, unit));
  return (
    <section className="table" id={`table-${table.key}`}>
      {table.folded ? null : <h3>{table.title}</h3>}
      {table.note ? <p className="note"><Words>{table.note}</Words></p> : null}
      <div className={`wide ${fit}`} ref={box} tabIndex={0} role="group" aria-label={table.title}>
        <table role="table">
          <thead role="rowgroup">
            <tr role="row">
              {table.columns.map((column, i) => (
                <th key={i} scope="col" role="columnheader" className={right[i] ? "right" : undefined}>
                  {column}
                </th>
              ))}
              {acts ? <th role="columnheader"><span className="unseen">what can be done</span></th> : null}
            </tr>
          </thead>
          <tbody role="rowgroup">
            {table.rows.map((row, i) => (
              <TableRow key={`${i} ${row.key}`} row={row} acts={acts} columns={columns} />
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}

/** Whether what a row shows in the drawing is there. */
function isShown(d: Desk, act: Row["act"]): boolean {
  if (act?.act === "moved") return d.moved?.load === act.load;
  if (act?.act === "crushed") return d.crush?.load === act.load;
  return act?.act === "drive" && d.drive?.over === act.over && d.drive.stance === act.stance;
}

function TableRow({ row, acts, columns }: { row: Row; acts: boolean; columns: readonly Column[] }) {
  const tube = row.tubes[0];
  const picked = useStore(desk, (d) => tube !== undefined && d.picked?.kind === "tube" && row.tubes.length === 1 && d.picked.name === tube);
  const shown = useStore(desk, (d) => isShown(d, row.act));
  const point = (): void => desk.set({ pointed: row.tubes, pointedAt: row.at ?? null });
  const leave = (): void => desk.set({ pointed: [], pointedAt: null });
  const piece = row.act?.act === "piece" ? row.act : null;
  const open = piece ? () => act(piece) : tube !== undefined ? () => pick({ kind: "tube", name: tube }) : null;
  return (
    <tr
      role="row"
      className={`${open ? "can" : ""} ${picked ? "picked" : ""}`}
      onPointerEnter={point}
      onPointerLeave={leave}
      onFocus={point}
      onBlur={leave}
      onClick={open ?? undefined}
    >
      {row.cells.map((cell, i) =>
        i === 0 && open ? (
          <td key={i} role="cell" {...told(cell, columns[i])}>
            <button type="button" className="link" onClick={(e) => (e.stopPropagation(), open())}>
              {textOf(cell)}
            </button>
          </td>
        ) : (
          <CellOf key={i} cell={cell} column={columns[i]} />
        ),
      )}
      {acts ? (
        <td role="cell" className="right acts">
          {row.act?.act === "reading" ? (
            <ReadingActs act={row.act} />
          ) : offered(row.act) ? (
            <Plain className="small" onPress={() => act(row.act as NonNullable<Row["act"]>)}>
              {shown ? "put away" : actWords(row.act as NonNullable<Row["act"]>)}
            </Plain>
          ) : null}
        </td>
      ) : null}
    </tr>
  );
}

/** A reading is left out first, and taken out of the sheet only then. */
function ReadingActs({ act: { table, name, used } }: { act: Extract<Act, { act: "reading" }> }) {
  const change = (to: ReadingChange): void => {
    // The button goes with what it does: its table's heading box takes the focus, so that the keys go on from there.
    (document.activeElement?.closest<HTMLElement>(".wide") ?? null)?.focus({ preventScroll: true });
    void live.changeReading(table, name, to);
  };
  if (used) {
    return (
      <Plain className="small" aria-label={`leave out ${table} ${name}`} onPress={() => change("leave_out")}>
        leave out
      </Plain>
    );
  }
  return (
    <>
      <Plain className="small" aria-label={`use it again: ${table} ${name}`} onPress={() => change("use")}>
        use it
      </Plain>{" "}
      <Plain className="small" aria-label={`take it out of the sheet: ${table} ${name}`} onPress={() => change("take_out")}>
        take it out
      </Plain>
    </>
  );
}

function textOf(cell: Cell): string {
  if ("text" in cell) return cell.text;
  if ("number" in cell) return cell.number;
  if ("over" in cell) return cell.over;
  return cell.not_checked;
}

/** What a folded row shows round a cell: its column's words before it, its unit behind it. */
function told(cell: Cell, column: Column | undefined): Record<string, string> {
  if (textOf(cell) === "") return { "data-empty": "" };
  return { "data-column": column?.words ?? "", "data-unit": column?.unit ? ` ${column.unit}` : "" };
}

function CellOf({ cell, column }: { cell: Cell; column: Column | undefined }) {
  const more = told(cell, column);
  if ("text" in cell) return <td role="cell" {...more}>{cell.text}</td>;
  if ("number" in cell) return <td role="cell" className="right number" {...more}>{cell.number}</td>;
  if ("over" in cell) {
    return (
      <td role="cell" className="right number over" {...more}>
        <span className="level mend" role="img" aria-label="over a limit" /> {cell.over}
      </td>
    );
  }
  return (
    <td role="cell" className="right" data-column={more["data-column"]}>
      <span className="unchecked">{cell.not_checked}</span>
    </td>
  );
}
