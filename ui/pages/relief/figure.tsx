// Figures that the maker types, and the line of them that says something of heights.

import type { ComponentChildren } from "preact";
import { Icon } from "../../view/icons";
import { shownOf, type Typed, umOf } from "../../view/typed";
import { type Strong, Strongly, strengthOf } from "./strong";

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
        value={shownOf(typed)}
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
