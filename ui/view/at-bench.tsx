// How far pieces are at the bench: cut, shaped or set, noted when it is done and taken back where it was not so.

import { useSignal } from "@preact/signals";
import { BEGUN, type Begun, furthest, noted, notYet, takenBack } from "../state/benching";
import { lengthTyped } from "../state/length";
import type { Date as Day, Piece, Unit } from "../state/wire";
import { Icon } from "./icons";
import { useStudio } from "./shared";
import { pieces } from "./words";

interface AtBenchProps {
  list: readonly Piece[];
  unit: Unit;
}

/** What can be noted of these pieces. */
export function AtBench({ list, unit }: AtBenchProps) {
  const studio = useStudio();
  const measured = useSignal("");
  const one = list.length === 1 ? list[0] : undefined;
  const height = one && measured.value.trim() !== "" ? lengthTyped(measured.value, unit) : null;
  const wrong = one !== undefined && measured.value.trim() !== "" && height === null;
  const last = furthest(list);
  const note = async (state: Begun) => {
    const count = notYet(list, state).length;
    if (await studio.edit(...noted(list, state, today(), height))) {
      measured.value = "";
      studio.tellDone(`${called(list, count)} ${count === 1 ? "is" : "are"} noted as ${state}.`);
    }
  };
  return (
    <div class="stack at-bench">
      <fieldset class="row even" aria-label="At the bench">
        {BEGUN.map((state) => {
          const count = notYet(list, state).length;
          const says = `Note that ${said(list, count)} ${count === 1 ? "is" : "are"} ${state}`;
          return (
            <button
              key={state}
              type="button"
              class="button grow"
              disabled={count === 0 || wrong}
              aria-label={count === 0 ? `Noted already as ${state} or further` : says}
              title={count === 0 ? `Noted already as ${state} or further` : says}
              onClick={() => void note(state)}
            >
              <StateMark state={state} /> {WORDS[state]}
            </button>
          );
        })}
      </fieldset>
      {one && notYet(list, "set").length > 0 && (
        <label class="field">
          <span>Its height as measured, {unit === "mm" ? "mm" : "inches"}; need not be given</span>
          <input
            class="input short"
            inputMode={unit === "mm" ? "decimal" : "text"}
            value={measured.value}
            aria-invalid={wrong}
            onInput={(event) => {
              measured.value = event.currentTarget.value;
            }}
          />
        </label>
      )}
      {last && (
        <button
          type="button"
          class="button start-aligned"
          onClick={() => studio.edit(...takenBack(last.those))}
        >
          <Icon name="undo" /> {backSaid(list, last.those, last.state)}
        </button>
      )}
    </div>
  );
}

const WORDS: Readonly<Record<Begun, string>> = { cut: "Cut", shaped: "Shaped", set: "Set" };

/** "Piece 12", "3 of the pieces", "All 12 pieces". */
function called(list: readonly Piece[], count: number): string {
  const words = said(list, count);
  return words.charAt(0).toUpperCase() + words.slice(1);
}

function said(list: readonly Piece[], count: number): string {
  if (list.length === 1) return `piece ${list[0]?.number}`;
  return count === list.length ? `all ${pieces(count)}` : `${count} of ${pieces(list.length)}`;
}

function backSaid(list: readonly Piece[], those: readonly Piece[], state: Begun): string {
  if (list.length === 1) return `Piece ${those[0]?.number} is not ${state} after all`;
  if (those.length === 1) return `Piece ${those[0]?.number}: not ${state} after all`;
  return `${pieces(those.length)}: not ${state} after all`;
}

/** By the maker's own calendar. */
function today(): Day {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()];
}

/** The marks of what is cut, shaped and set, as they lie on the pattern: strokes, crossed strokes, ticks. */
export const MARKS: Readonly<Record<Begun, string>> = {
  cut: "M-2 18 18 -2M-2 2 2 -2M14 18 18 14",
  shaped: "M-2 18 18 -2M-2 2 2 -2M14 18 18 14M-2 -2 18 18M-2 14 2 18M14 -2 18 2",
  set: "M3 8.500 6.500 12 13 4.500",
};

export function StateMark({ state }: { state: Begun }) {
  return (
    <svg class="state-mark" viewBox="0 0 16 16" aria-hidden="true">
      <rect width="16" height="16" />
      <path d={MARKS[state]} />
    </svg>
  );
}
