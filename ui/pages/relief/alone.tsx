// What is said of one piece or part alone: that it stands at a height, or between two.

import { useSignal } from "@preact/signals";
import { lengthBare, lengthTyped } from "../../state/length";
import type { Model } from "../../state/model";
import type { Piece, Says } from "../../state/wire";
import { Icon } from "../../view/icons";
import { useStudio } from "../../view/shared-parts";
import { Strongly, strengthOf, useStrong } from "./strong";
import { Who, whomsOf } from "./who";

export function Alone({ model, piece }: { model: Model; piece: Piece }) {
  const studio = useStudio();
  const { unit, stock } = model.setup;
  const whoms = whomsOf(piece, model);
  const at = useSignal(whoms.length > 1 ? 1 : 0);
  const between = useSignal(true);
  const least = useSignal(lengthBare(stock.lowest, unit));
  const most = useSignal(lengthBare(stock.highest, unit));
  const strong = useStrong();
  const whom = whoms[at.value] ?? { piece: piece.number };
  const [low, high] = [lengthTyped(least.value, unit), lengthTyped(most.value, unit)];
  const strength = strengthOf(strong);
  const says: Says | null = between.value
    ? low !== null && high !== null
      ? { within: [whom, low, high] }
      : null
    : low !== null
      ? { at: [whom, low] }
      : null;
  const ready = says !== null && strength !== null;
  return (
    <fieldset class="stack">
      <legend class="legend">It stands</legend>
      <div class="row">
        <Who
          model={model}
          label="Who stands so"
          among={whoms}
          at={at.value}
          choose={(chosen) => {
            at.value = chosen;
          }}
        />
        <select
          class="input grow"
          aria-label="How it stands"
          value={between.value ? "between" : "at"}
          onChange={(event) => {
            between.value = event.currentTarget.value === "between";
          }}
        >
          <option value="between">between</option>
          <option value="at">at</option>
        </select>
      </div>
      <div class="row end">
        <Figure word={between.value ? "From" : "Height"} unit={unit} text={least} />
        {between.value && <Figure word="To" unit={unit} text={most} />}
        <button
          type="button"
          class="button"
          disabled={!ready}
          onClick={() => ready && void studio.edit({ relief: { relate: { says, strength } } })}
        >
          <Icon name="check" /> Say it stands so
        </button>
      </div>
      <Strongly strong={strong} />
    </fieldset>
  );
}

function Figure({ word, unit, text }: { word: string; unit: string; text: { value: string } }) {
  return (
    <label class="field grow">
      <span>
        {word}, {unit === "mm" ? "mm" : "inches"}
      </span>
      <input
        value={text.value}
        onInput={(event) => {
          text.value = event.currentTarget.value;
        }}
      />
    </label>
  );
}
