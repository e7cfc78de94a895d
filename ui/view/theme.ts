// Light or dark: as the system says, or as the maker switched it. Kept in a cookie, since the port changes with each start.

import { effect, type Signal, signal } from "@preact/signals";

export type Theme = "system" | "light" | "dark";

const NAME = "spelk_theme";
const YEAR_SECONDS = 31_536_000;

export const THEMES: readonly Theme[] = ["system", "light", "dark"];

export const theme: Signal<Theme> = signal(kept());

export function nextTheme(): void {
  theme.value = THEMES[(THEMES.indexOf(theme.value) + 1) % THEMES.length] ?? "system";
}

export function keepTheme(): () => void {
  return effect(() => {
    const value = theme.value;
    if (value === "system") delete document.documentElement.dataset.theme;
    else document.documentElement.dataset.theme = value;
    if (value !== kept()) write(value);
  });
}

function write(value: Theme): void {
  // biome-ignore lint/suspicious/noDocumentCookie: the Cookie Store is not in every browser.
  document.cookie = `${NAME}=${value}; Max-Age=${YEAR_SECONDS}; SameSite=Strict; Path=/`;
}

function kept(): Theme {
  const found = new RegExp(`${NAME}=(\\w+)`).exec(globalThis.document?.cookie ?? "")?.[1];
  return THEMES.find((known) => known === found) ?? "system";
}
