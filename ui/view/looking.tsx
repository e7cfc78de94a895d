// What every form about a photograph ends with: the white that lies in it, and the buttons that look.

import type { Signal } from "@preact/signals";
import { Icon } from "./icons";

/** What the white gives back: from memory, as the command has it. */
const WHITES = [
  { key: "paper", says: "White copy paper", reflects: 0.9 },
  { key: "card", says: "A photographer's grey card, 18 %", reflects: 0.18 },
] as const;

export type White = (typeof WHITES)[number]["key"];

export function reflects(white: White): number {
  return (WHITES.find((each) => each.key === white) ?? WHITES[0]).reflects;
}

interface LookingProps {
  /** What is looked at, for the button. */
  what: string;
  white: Signal<White>;
  /** Whether all is there that a look needs. */
  whole: boolean;
  working: boolean;
  /** What was found no longer holds. */
  stale: () => void;
  /** Leaves the photograph. */
  done: () => void;
}

export function Looking({ what, white, whole, working, stale, done }: LookingProps) {
  return (
    <>
      <label class="field">
        <span>The white is</span>
        <select
          value={white.value}
          onChange={(event) => {
            white.value = event.currentTarget.value as White;
            stale();
          }}
        >
          {WHITES.map((each) => (
            <option key={each.key} value={each.key}>
              {each.says}
            </option>
          ))}
        </select>
      </label>
      <p class="row">
        <button type="submit" class="button main" disabled={!whole || working}>
          <Icon name="view" /> {working ? "Looking…" : `Look at the ${what}`}
        </button>
        <button type="button" class="button" onClick={done}>
          Leave it
        </button>
      </p>
    </>
  );
}
