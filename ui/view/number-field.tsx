// A figure without a unit of length that is taken once it is typed whole.

import { useStudio } from "./shared";

interface NumberFieldProps {
  readonly word: string;
  readonly value: number;
  readonly within: readonly [number, number];
  /** Only whole figures. */
  readonly whole?: boolean;
  readonly take: (value: number) => void;
}

export function NumberField({ word, value, within, whole = false, take }: NumberFieldProps) {
  const studio = useStudio();
  const [least, most] = within;
  return (
    <label class="field">
      <span>{word}</span>
      <input
        inputMode={whole ? "numeric" : "decimal"}
        value={value}
        onChange={(event) => {
          const field = event.currentTarget;
          const typed = field.value.trim() === "" ? Number.NaN : Number(field.value.replace(",", "."));
          if (typed >= least && typed <= most && (!whole || Number.isInteger(typed))) return take(typed);
          field.value = String(value);
          studio.tell(`${word}: ${least} to ${most}${whole ? ", without a fraction" : ""}.`);
        }}
      />
    </label>
  );
}
