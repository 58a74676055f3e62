/** Bends as a bender reads them: headings, and a row for each. */
export function BendTable({ headings, bends }: { headings: readonly string[]; bends: readonly (readonly string[])[] }) {
  return (
    <div className="wide">
      <table>
        <thead>
          <tr>{headings.map((h, i) => <th key={i}>{h}</th>)}</tr>
        </thead>
        <tbody>
          {bends.map((bend, i) => (
            <tr key={i}>{bend.map((cell, k) => <td key={k} className="number">{cell}</td>)}</tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
