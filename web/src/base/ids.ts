/** An id that nobody else makes. (On plain http there is no `crypto.randomUUID`.) */
export function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}
