// A length that is taken once it is typed whole: in the job's unit, or in another that is typed with it.

import { lengthBare, lengthSaid, lengthTyped } from "../state/length";
import type { Unit } from "../state/wire";
import { useHeld } from "./held";
import { useStudio } from "./shared";

interface LengthFieldProps {
  readonly word: string;
  /** What those who hear the page hear in its place, where the word alone says too little. */
  readonly heard?: string;
  readonly um: number;
  readonly unit: Unit;
  /** The least and the most, µm. */
  readonly within: readonly [number, number];
  readonly take: (um: number) => unknown;
}

export function LengthField({ word, heard, um, unit, within, take }: LengthFieldProps) {
  const studio = useStudio();
  const named = unit === "mm" ? "mm" : "inches";
  const [least, most] = within;
  const held = useHeld(lengthBare(um, unit), (text) => {
    const typed = lengthTyped(text, unit);
    if (typed !== null && typed >= least && typed <= most) return take(typed);
    return studio.tell(`${heard ?? word}: ${lengthSaid(least, unit)} to ${lengthSaid(most, unit)}.`);
  });
  return (
    <label class="field">
      <span>
        {word}, {named}
      </span>
      <input
        aria-label={heard && `${heard}, ${named}`}
        inputMode={unit === "mm" ? "decimal" : "text"}
        {...held}
      />
    </label>
  );
}
