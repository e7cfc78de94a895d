// A length that is typed before a button takes it.

import { type Signal, useSignal } from "@preact/signals";
import { lengthBare, lengthTyped } from "../state/length";
import type { Unit } from "../state/wire";

/** One that is left as it was shown stays exact, though inches are shown to a 64th; and follows a change of the unit. */
export interface Typed {
  /** Null while nothing is typed. */
  readonly text: Signal<string | null>;
  readonly known: number | null;
  readonly unit: Unit;
}

export function useTyped(known: number | null, unit: Unit): Typed {
  return { text: useSignal<string | null>(null), known, unit };
}

/** What its field shows. */
export function shownOf({ text, known, unit }: Typed): string {
  return text.value ?? (known === null ? "" : lengthBare(known, unit));
}

/** µm; null where it is no length. */
export function umOf(typed: Typed): number | null {
  const { text, known, unit } = typed;
  if (text.value === null || (known !== null && text.value.trim() === lengthBare(known, unit))) return known;
  return lengthTyped(text.value, unit);
}
