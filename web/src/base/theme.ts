import { Store } from "./store";

/** Light or dark; `system` follows what the machine is set to. */
export type Theme = "system" | "light" | "dark";

const KEY = "tubewright.theme";

function stored(): Theme {
  try {
    const theme = localStorage.getItem(KEY);
    return theme === "light" || theme === "dark" ? theme : "system";
  } catch {
    return "system";
  }
}

export const theme = new Store<{ theme: Theme }>({ theme: stored() });

export function apply(): void {
  const { theme: t } = theme.get();
  if (t === "system") delete document.documentElement.dataset["theme"];
  else document.documentElement.dataset["theme"] = t;
}

export function setTheme(t: Theme): void {
  theme.set({ theme: t });
  try {
    localStorage.setItem(KEY, t);
  } catch {
    // It then lasts as long as the page is open.
  }
  apply();
}
