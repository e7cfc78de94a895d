// Lines of the drawing that part nothing, each with what becomes of it.

import type { Model } from "../../state/model";
import type { LineBecomes, LineSeen, Unit } from "../../state/wire";
import { viewport } from "../../view/canvas";
import { LengthField } from "../../view/length-field";
import { Collapsible } from "../../view/section";
import { useStudio } from "../../view/shared";

const BECOMES: Readonly<Record<LineBecomes, string>> = {
  left_out: "is left out",
  slot: "is sawn as a slot",
  burnt: "is burnt in",
};
/** µm, as for gaps: a finer one is no kerf, a wider one a shadow. */
const WITHIN = [300, 3000] as const;

export function LooseLines({ model }: { model: Model }) {
  const inside = model.lines.map((line, at) => ({ line, at })).filter(({ line }) => line.piece !== null);
  if (inside.length === 0) return null;
  const kept = inside.filter(({ line }) => line.becomes !== "left_out").length;
  return (
    <Collapsible
      title="Lines that part nothing"
      aside={kept === 0 ? `${inside.length} left out` : `${kept} of ${inside.length} kept`}
    >
      <p class="soft small">
        A slot is sawn in from the border and shows the shadow behind; what it leaves of the piece is checked
        as a neck. A burnt line is drawn on the face after sanding.
      </p>
      {inside.map(({ line, at }) => (
        <LineRow key={at} line={line} at={at} unit={model.setup.unit} />
      ))}
    </Collapsible>
  );
}

function LineRow({ line, at, unit }: { line: LineSeen; at: number; unit: Unit }) {
  const studio = useStudio();
  const set = (becomes: LineBecomes, width?: number) =>
    studio.edit({ pattern: { line: { line: at, becomes, ...(width === undefined ? {} : { width }) } } });
  const [x, y] = line.at_mm;
  return (
    <div class="line-row" onFocusIn={() => viewport.show({ x, y })}>
      <label class="field grow">
        <span>
          In piece {line.piece}
          <span class="unseen">
            , {x.toFixed(0)} mm from the left and {y.toFixed(0)} mm from the top, the line
          </span>
        </span>
        <select value={line.becomes} onChange={(event) => void set(event.currentTarget.value as LineBecomes)}>
          {Object.entries(BECOMES).map(([becomes, said]) => (
            <option key={becomes} value={becomes}>
              {said}
            </option>
          ))}
        </select>
      </label>
      {line.becomes !== "left_out" && (
        <div class="width">
          <LengthField
            word="Width"
            heard={`Width in piece ${line.piece}`}
            um={line.width}
            unit={unit}
            within={WITHIN}
            take={(width) => void set(line.becomes, width)}
          />
        </div>
      )}
    </div>
  );
}
