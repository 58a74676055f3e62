/** Questions to the server outside the live connection. */

export type Got<T> = { is: "there"; value: T } | { is: "absent" } | { is: "failed"; why: string };

/** After this no answer is expected any more, ms. */
const LONGEST = 20000;

async function get<T>(path: string, read: (response: Response) => Promise<T>): Promise<Got<T>> {
  try {
    const response = await fetch(path, { headers: { accept: "*/*" }, signal: AbortSignal.timeout(LONGEST) });
    if (response.status === 404) return { is: "absent" };
    if (!response.ok) return { is: "failed", why: `the server answered ${response.status}` };
    return { is: "there", value: await read(response) };
  } catch {
    return { is: "failed", why: "the server was not reached" };
  }
}

export const getJson = <T>(path: string): Promise<Got<T>> => get(path, async (r) => (await r.json()) as T);
export const getText = (path: string): Promise<Got<string>> => get(path, (r) => r.text());
