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
  const meant = inside.filter(({ line }) => !line.writing);
  const written = inside.filter(({ line }) => line.writing);
  return (
    <>
      <Lines title="Lines that part nothing" lines={meant} unit={model.setup.unit}>
        A slot is sawn in from the border and shows the shadow behind; what it leaves of the piece is checked
        as a neck. A burnt line is drawn on the face after sanding.
      </Lines>
      <Lines title="Taken as writing" lines={written} unit={model.setup.unit} folded>
        Small strokes that touch no line, such as numbers. One that is meant can be sawn or burnt all the
        same.
      </Lines>
    </>
  );
}

interface LinesProps {
  title: string;
  lines: readonly { line: LineSeen; at: number }[];
  unit: Unit;
  folded?: boolean;
  children: string;
}

function Lines({ title, lines, unit, folded = false, children }: LinesProps) {
  if (lines.length === 0) return null;
  const kept = lines.filter(({ line }) => line.becomes !== "left_out").length;
  return (
    <Collapsible
      title={title}
      aside={kept === 0 ? `${lines.length} left out` : `${kept} of ${lines.length} kept`}
      folded={folded}
    >
      <p class="soft small">{children}</p>
      {lines.map(({ line, at }) => (
        <LineRow key={at} line={line} at={at} unit={unit} />
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
