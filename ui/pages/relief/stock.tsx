// What heights can be built of: thicknesses, raisers and the range, each of which the maker may widen.

import { type Signal, useSignal } from "@preact/signals";
import { lengthBare, lengthSaid, lengthTyped, rangeSaid } from "../../state/length";
import type { Model } from "../../state/model";
import type { Stock, Unit } from "../../state/wire";
import { Collapsible } from "../../view/section";
import { useStudio } from "../../view/shared-parts";

export function StockAndRange({ model }: { model: Model }) {
  const { unit, stock } = model.setup;
  return (
    <Collapsible title="Stock and range" aside={rangeSaid(stock.lowest, stock.highest, unit)} folded>
      <Fields key={JSON.stringify([stock, unit])} model={model} stock={stock} />
    </Collapsible>
  );
}

function Fields({ model, stock }: { model: Model; stock: Stock }) {
  const studio = useStudio();
  const { unit } = model.setup;
  const listed = (lengths: readonly number[]) => lengths.map((one) => lengthBare(one, unit)).join("; ");
  const texts = {
    thicknesses: useSignal(listed(stock.thicknesses)),
    raisers: useSignal(listed(stock.raisers.filter((raiser) => raiser > 0))),
    lowest: useSignal(lengthBare(stock.lowest, unit)),
    highest: useSignal(lengthBare(stock.highest, unit)),
  };
  const next = other(stock, unit, texts);
  const boards = [...new Set([...model.boards.values()].map((board) => board.thickness))].sort(
    (a, b) => a - b,
  );
  const set = (event: Event) => {
    event.preventDefault();
    if (next) void studio.edit({ setup: { stock: next } });
  };
  return (
    <form class="stack" onSubmit={set}>
      <Field word={`Thicknesses, ${named(unit)}, with ; between them`} text={texts.thicknesses} />
      <Field word={`Raisers, ${named(unit)}`} text={texts.raisers} />
      <div class="row end">
        <Field word={`Lowest top, ${named(unit)}`} text={texts.lowest} />
        <Field word={`Highest top, ${named(unit)}`} text={texts.highest} />
        <button type="submit" class="button" disabled={next === null}>
          Set the stock
        </button>
      </div>
      {boards.length > 0 && (
        <p class="soft small">
          Boards on the rack count besides, for pieces of their wood:{" "}
          {boards.map((one) => lengthSaid(one, unit)).join(", ")} thick.
        </p>
      )}
    </form>
  );
}

function named(unit: Unit): string {
  return unit === "mm" ? "mm" : "inches";
}

function Field({ word, text }: { word: string; text: Signal<string> }) {
  return (
    <label class="field grow">
      <span>{word}</span>
      <input
        value={text.value}
        onInput={(event) => {
          text.value = event.currentTarget.value;
        }}
      />
    </label>
  );
}

type Texts = Record<"thicknesses" | "raisers" | "lowest" | "highest", Signal<string>>;

/** The stock as typed; null while a figure is no length. A figure that was left as it is shown stays exact. */
function other(stock: Stock, unit: Unit, texts: Texts): Stock | null {
  const exact = (known: readonly number[]) => (text: string) =>
    known.find((one) => lengthBare(one, unit) === text.trim()) ?? lengthTyped(text, unit);
  const list = (text: string, known: readonly number[]) => {
    const typed = text.split(";").filter((one) => one.trim() !== "");
    const lengths = typed.map(exact(known));
    return lengths.includes(null) ? null : ([...new Set(lengths)] as number[]).sort((a, b) => a - b);
  };
  const thicknesses = list(texts.thicknesses.value, stock.thicknesses);
  const raisers = list(texts.raisers.value, stock.raisers);
  const lowest = exact([stock.lowest])(texts.lowest.value);
  const highest = exact([stock.highest])(texts.highest.value);
  if (thicknesses === null || raisers === null || lowest === null || highest === null) return null;
  return { ...stock, thicknesses, raisers: [0, ...raisers.filter((raiser) => raiser > 0)], lowest, highest };
}
