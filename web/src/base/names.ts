/** Names as people read them: `upper_stay~` is `upper stay ~`. */
export function readable(name: string): string {
  return name.replaceAll("_", " ").replace(/~$/, " ~");
}

const NAME = /^[A-Za-z][A-Za-z0-9_-]{0,47}$/;

/** Why something can't be a name; null if it can. */
export function nameTrouble(name: string, taken: (name: string) => boolean): string | null {
  if (!NAME.test(name)) return "use letters a to z, digits, _ and -, starting with a letter";
  if (taken(name)) return `there is a ${name} already`;
  return null;
}

/** A name like this one that is free. */
export function freeName(base: string, taken: (name: string) => boolean): string {
  for (let k = 1; ; k++) {
    const name = `${base}_${k}`;
    if (!taken(name)) return name;
  }
}

export const withoutTwin = (name: string): string => name.replace(/~$/, "");

/** Time of day, as a clock in the shop shows it. */
export function clock(at: number | Date): string {
  const date = new Date(at);
  return `${date.getHours()}:${String(date.getMinutes()).padStart(2, "0")}`;
}

const MANY = 4;

/** The first few of many names. */
export function some(names: readonly string[]): string {
  const shown = names.length > MANY + 1 ? names.slice(0, MANY) : names;
  const more = names.length - shown.length;
  return shown.map(readable).join(", ") + (more > 0 ? ` and ${more} more` : "");
}
