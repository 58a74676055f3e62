/** A sentence with what stands in backticks as code. */
export function Words({ children }: { children: string }) {
  return <>{children.split("`").map((part, i) => (i % 2 === 1 ? <code key={i}>{part}</code> : part))}</>;
}
