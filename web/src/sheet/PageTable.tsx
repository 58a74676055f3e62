import { Plain } from "../base/controls";
import { useStore } from "../base/store";
import type { Cell, Row, Table } from "../wire";
import { act, actWords } from "./acts";
import { Words } from "../base/Words";
import { desk, pick, type Desk } from "./desk";

/** Whether an act has a button of its own: a piece opens with its row. */
const offered = (act: Row["act"]): boolean => act != null && act.act !== "piece";

/** A table of an answer: text left, numbers right in figures of one width. */
export function PageTable({ table }: { table: Table }) {
  const acts = table.rows.some((row) => offered(row.act));
  const right = table.columns.map((_, i) => table.rows.some((row) => row.cells[i] && "number" in (row.cells[i] as Cell)));
  return (
    <section className="table" id={`table-${table.key}`}>
      <h3>{table.title}</h3>
      {table.note ? <p className="note"><Words>{table.note}</Words></p> : null}
      <div className="wide" tabIndex={0} role="group" aria-label={table.title}>
        <table>
          <thead>
            <tr>
              {table.columns.map((column, i) => (
                <th key={i} scope="col" className={right[i] ? "right" : undefined}>
                  {column}
                </th>
              ))}
              {acts ? <th><span className="unseen">what can be done</span></th> : null}
            </tr>
          </thead>
          <tbody>
            {table.rows.map((row, i) => (
              <TableRow key={`${i} ${row.key}`} row={row} acts={acts} />
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

function TableRow({ row, acts }: { row: Row; acts: boolean }) {
  const tube = row.tubes[0];
  const picked = useStore(desk, (d) => tube !== undefined && d.picked?.kind === "tube" && row.tubes.length === 1 && d.picked.name === tube);
  const shown = useStore(desk, (d) => isShown(d, row.act));
  const point = (): void => desk.set({ pointed: row.tubes, pointedAt: row.at ?? null });
  const leave = (): void => desk.set({ pointed: [], pointedAt: null });
  const piece = row.act?.act === "piece" ? row.act : null;
  const open = piece ? () => act(piece) : tube !== undefined ? () => pick({ kind: "tube", name: tube }) : null;
  return (
    <tr
      className={`${open ? "can" : ""} ${picked ? "picked" : ""}`}
      onPointerEnter={point}
      onPointerLeave={leave}
      onFocus={point}
      onBlur={leave}
      onClick={open ?? undefined}
    >
      {row.cells.map((cell, i) =>
        i === 0 && open ? (
          <td key={i}>
            <button type="button" className="link" onClick={(e) => (e.stopPropagation(), open())}>
              {textOf(cell)}
            </button>
          </td>
        ) : (
          <CellOf key={i} cell={cell} />
        ),
      )}
      {acts ? (
        <td className="right">
          {offered(row.act) ? (
            <Plain className="small" onPress={() => act(row.act as NonNullable<Row["act"]>)}>
              {shown ? "put away" : actWords(row.act as NonNullable<Row["act"]>)}
            </Plain>
          ) : null}
        </td>
      ) : null}
    </tr>
  );
}

function textOf(cell: Cell): string {
  if ("text" in cell) return cell.text;
  if ("number" in cell) return cell.number;
  if ("over" in cell) return cell.over;
  return cell.not_checked;
}

function CellOf({ cell }: { cell: Cell }) {
  if ("text" in cell) return <td>{cell.text}</td>;
  if ("number" in cell) return <td className="right number">{cell.number}</td>;
  if ("over" in cell) {
    return (
      <td className="right number over">
        <span className="level mend" role="img" aria-label="over a limit" /> {cell.over}
      </td>
    );
  }
  return (
    <td className="right">
      <span className="unchecked">{cell.not_checked}</span>
    </td>
  );
}
