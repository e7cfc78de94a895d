// What is being typed into a field that is taken whole: whatever the page shows anew meanwhile, it stays in the field.

import { useSignal } from "@preact/signals";

/** The properties of such a field: what it shows while nothing is typed, and what is done with what was typed. */
export function useHeld(shown: string, take: (typed: string) => unknown) {
  const text = useSignal<string | null>(null);
  return {
    value: text.value ?? shown,
    onInput: (event: InputEvent & { currentTarget: HTMLInputElement }) => {
      text.value = event.currentTarget.value;
    },
    onChange: async () => {
      if (text.value !== null) await take(text.value);
      text.value = null;
    },
    onBlur: () => {
      if (text.value === shown) text.value = null;
    },
  };
}
