// Figures that the maker types, and the line of them that says something of heights.

import { type Signal, useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { lengthBare, lengthTyped } from "../../state/length";
import type { Unit } from "../../state/wire";
import { Icon } from "../../view/icons";
import { type Strong, Strongly, strengthOf } from "./strong";

/** A length as it is typed. One that is left as it was shown stays exact, though inches are shown to a 64th. */
export interface Typed {
  readonly text: Signal<string>;
  readonly known: number | null;
  readonly unit: Unit;
}

export function useTyped(known: number | null, unit: Unit): Typed {
  return { text: useSignal(shown(known, unit)), known, unit };
}

const shown = (known: number | null, unit: Unit) => (known === null ? "" : lengthBare(known, unit));

/** Drops what was typed: it was refused. */
export function shownAgain({ text, known, unit }: Typed): void {
  text.value = shown(known, unit);
}

/** µm; null where it is no length. */
export function umOf({ text, known, unit }: Typed): number | null {
  if (known !== null && text.value.trim() === lengthBare(known, unit)) return known;
  return lengthTyped(text.value, unit);
}

interface FigureProps {
  readonly word: string;
  readonly typed: Typed;
  readonly hint?: string;
}

export function Figure({ word, typed, hint }: FigureProps) {
  return (
    <label class="field grow">
      <span>
        {word}, {typed.unit === "mm" ? "mm" : "inches"}
      </span>
      <input
        value={typed.text.value}
        placeholder={hint}
        onInput={(event) => {
          typed.text.value = event.currentTarget.value;
        }}
      />
    </label>
  );
}

interface LineProps {
  readonly figures: readonly { readonly word: string; readonly typed: Typed }[];
  readonly strong: Strong;
  /** What the button says. */
  readonly word: string;
  /** What is said of these lengths. */
  readonly say: (figures: readonly number[], strength: NonNullable<ReturnType<typeof strengthOf>>) => void;
  /** Beside the button. */
  readonly children?: ComponentChildren;
}

/** Figures, how strongly, and the button that says it. */
export function SaidLine({ figures, strong, word, say, children }: LineProps) {
  const values = figures.map(({ typed }) => umOf(typed));
  const strength = strengthOf(strong);
  const known = values.filter((value) => value !== null);
  const ready = strength !== null && known.length === values.length;
  return (
    <form
      class="stack"
      onSubmit={(event) => {
        event.preventDefault();
        if (ready) say(known, strength);
      }}
    >
      <div class="row end">
        {figures.map(({ word: name, typed }) => (
          <Figure key={name} word={name} typed={typed} />
        ))}
      </div>
      <Strongly strong={strong} />
      <div class="row end">
        <button type="submit" class="button main grow" disabled={!ready}>
          <Icon name="check" /> {word}
        </button>
        {children}
      </div>
    </form>
  );
}
