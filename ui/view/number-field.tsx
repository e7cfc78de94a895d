// A figure without a unit of length that is taken once it is typed whole.

import { useHeld } from "./held";
import { useStudio } from "./shared";

interface NumberFieldProps {
  readonly word: string;
  readonly value: number;
  readonly within: readonly [number, number];
  /** Only whole figures. */
  readonly whole?: boolean;
  readonly off?: boolean;
  readonly take: (value: number) => unknown;
}

export function NumberField({ word, value, within, whole = false, off = false, take }: NumberFieldProps) {
  const studio = useStudio();
  const [least, most] = within;
  const held = useHeld(String(value), (text) => {
    const typed = text.trim() === "" ? Number.NaN : Number(text.replace(",", "."));
    if (typed >= least && typed <= most && (!whole || Number.isInteger(typed))) return take(typed);
    return studio.tell(`${word}: ${least} to ${most}${whole ? ", without a fraction" : ""}.`);
  });
  return (
    <label class="field">
      <span>{word}</span>
      <input inputMode={whole ? "numeric" : "decimal"} disabled={off} {...held} />
    </label>
  );
}
