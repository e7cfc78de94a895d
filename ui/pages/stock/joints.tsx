// How neighbours meet: on their shared line, or one fitted to the other's finished edge.

import { useSignal } from "@preact/signals";
import { lengthSaid } from "../../state/length";
import type { Model } from "../../state/model";
import type { SawEdit } from "../../state/wire";
import { Section } from "../../view/section";
import { useStudio } from "../../view/shared-parts";

/** Shown at first; the rest on asking. */
const FIRST = 6;

export function Joints({ model }: { model: Model }) {
  const studio = useStudio();
  const piece = useSignal<number | null>(null);
  const other = useSignal<number | null>(null);
  const how = useSignal<"cut_to" | "let_in">("cut_to");
  const most = useSignal(FIRST);
  const { fits, spare, unit } = model.setup;
  const beside = piece.value === null ? [] : neighbours(model, piece.value);
  const to = other.value !== null && beside.includes(other.value) ? other.value : null;
  const fit = () => {
    if (piece.value === null || to === null) return;
    const edit: SawEdit =
      how.value === "cut_to"
        ? { cut_to: { piece: piece.value, to } }
        : { let_in: { piece: piece.value, into: to } };
    void studio.edit({ saw: edit });
  };
  return (
    <Section title="How pieces meet" aside={fits.length === 0 ? "all on the line" : `${fits.length} fitted`}>
      <Numbers
        says="Piece to fit"
        numbers={[...model.pieces.values()].filter((one) => one.state === "planned").map((one) => one.number)}
        value={piece}
      />
      {piece.value !== null && (
        <>
          <label class="field">
            <span>Is</span>
            <select
              value={how.value}
              onChange={(event) => {
                how.value = event.currentTarget.value === "let_in" ? "let_in" : "cut_to";
              }}
            >
              <option value="cut_to">cut to the finished edge of</option>
              <option value="let_in">let into an opening of</option>
            </select>
          </label>
          <Numbers says="Its neighbour" numbers={beside} value={other} />
          <button type="button" class="button" disabled={to === null} onClick={fit}>
            Fit it
          </button>
        </>
      )}
      <ul class="list">
        {fits.slice(0, most.value).map((one) => (
          <li key={`${one.later} ${one.first}`} class="told">
            <span class="grow">
              {one.meets === "cut_to"
                ? `${one.later} is cut to ${one.first}`
                : `${one.first} is let into ${one.later}`}
            </span>
            <button
              type="button"
              class="button"
              aria-label={`Saw ${one.later} and ${one.first} on their line`}
              onClick={() => studio.edit({ saw: { on_line: { piece: one.later, with: one.first } } })}
            >
              On the line
            </button>
          </li>
        ))}
      </ul>
      {fits.length > most.value && (
        <button
          type="button"
          class="button quiet"
          onClick={() => {
            most.value = fits.length;
          }}
        >
          Show all {fits.length}
        </button>
      )}
      <p class="soft small">
        Sawn on their shared line two pieces stand one kerf apart. A piece that is fitted is sawn with{" "}
        {lengthSaid(spare, unit)} of spare wood at that joint and lies so on its board; next to no gap is
        left.
      </p>
    </Section>
  );
}

function Numbers({
  says,
  numbers,
  value,
}: {
  says: string;
  numbers: readonly number[];
  value: { value: number | null };
}) {
  return (
    <label class="field">
      <span>{says}</span>
      <select
        value={value.value ?? ""}
        onChange={(event) => {
          value.value = event.currentTarget.value === "" ? null : Number(event.currentTarget.value);
        }}
      >
        <option value="">choose</option>
        {numbers.map((number) => (
          <option key={number} value={number}>
            {number}
          </option>
        ))}
      </select>
    </label>
  );
}

/** The pieces that touch a piece without a gap, in the order of their numbers. */
function neighbours(model: Model, piece: number): number[] {
  const number = (area: number | null) => (area === null ? null : (model.areas.get(area)?.number ?? null));
  const found = new Set<number>();
  for (const border of model.borders.values()) {
    if (border.gap > 0) continue;
    const [left, right] = [number(border.left), number(border.right)];
    if (left === piece && right !== null && right !== piece) found.add(right);
    if (right === piece && left !== null && left !== piece) found.add(left);
  }
  return [...found].sort((a, b) => a - b);
}
