// Grain: strokes drawn over the subject and spread over the pieces; one piece's grain by hand.

import type { Model } from "../../state/model";
import { grainShown } from "../../state/surface";
import type { Piece } from "../../state/wire";
import { tools } from "../../view/canvas";
import { Icon } from "../../view/icons";
import { Collapsible } from "../../view/section";
import { useStudio } from "../../view/shared-parts";
import { planned } from "../../view/words";

export function Strokes({ model }: { model: Model }) {
  const studio = useStudio();
  const { strokes } = model.setup;
  const busy = studio.acts.runs("turn_grain");
  const turning = tools.tool.value === "grain";
  return (
    <Collapsible
      title="Grain over the subject"
      aside={
        strokes.length === 0 ? "no strokes" : strokes.length === 1 ? "1 stroke" : `${strokes.length} strokes`
      }
      folded
    >
      <p class="soft small">
        Draw how the grain shall run: along a wing, around a pot. Between strokes it turns smoothly, and each
        piece takes the direction that it has there. Pieces turned by hand stay; without strokes grain runs
        along the length of a piece.
      </p>
      <label class="choice">
        <input
          type="checkbox"
          checked={grainShown.value}
          onChange={(event) => {
            grainShown.value = event.currentTarget.checked;
          }}
        />
        Show grain and strokes on the pattern
      </label>
      <div class="row">
        <button
          type="button"
          class="button grow"
          aria-pressed={turning}
          onClick={() => {
            grainShown.value = true;
            tools.take(turning ? "pick" : "grain");
          }}
        >
          <Icon name="grain" /> Draw strokes
        </button>
        <button
          type="button"
          class="button grow"
          disabled={busy}
          onClick={() => {
            grainShown.value = true;
            void studio.ask("turn_grain");
          }}
        >
          {busy ? "Turning…" : "Spread over the pieces"}
        </button>
      </div>
      {strokes.length > 0 && (
        <ul class="list" aria-label="Strokes of grain">
          {strokes.map((stroke, at) => (
            <li key={at} class="list-row">
              <span class="grow">
                Stroke {at + 1} <span class="soft small">{headed(stroke)}</span>
              </span>
              <button
                type="button"
                class="button quiet"
                aria-label={`Take stroke ${at + 1} away`}
                title={`Take stroke ${at + 1} away`}
                onClick={() => studio.edit({ wood: { unstroke: at } })}
              >
                <Icon name="bin" />
              </button>
            </li>
          ))}
        </ul>
      )}
    </Collapsible>
  );
}

/** Which way a stroke runs, from its first point to its last. */
function headed(stroke: Model["setup"]["strokes"][number]): string {
  const [from, to] = [stroke[0], stroke.at(-1)];
  if (!from || !to) return "";
  const degrees = (Math.atan2(from[1] - to[1], to[0] - from[0]) * 180) / Math.PI;
  return `${Math.round((degrees + 360) % 180)}°`;
}

export function PieceGrain({ piece }: { piece: Piece }) {
  const studio = useStudio();
  const { number, grain_deg: degrees, grain_by: by } = piece;
  const whom = { piece: number };
  const turn = (value: number) =>
    studio.edit({ wood: { grain: { whom, axis: Math.round(value * 100) % 18_000 } } });
  return (
    <>
      <label class="field">
        <span>
          Grain: {degrees === null ? "undecided" : `${Math.round(degrees)}°, turned left from lying flat`}
          {by === "hand" ? ", by hand" : ""}
        </span>
        <input
          type="range"
          min="0"
          max="175"
          step="5"
          value={degrees ?? 0}
          disabled={!planned(piece)}
          onChange={(event) => turn(Number(event.currentTarget.value))}
        />
      </label>
      {planned(piece) && <p class="soft small">Or turn the arrow on the piece.</p>}
      {planned(piece) && by === "hand" && (
        <button type="button" class="button" onClick={() => studio.edit({ wood: { ungrain: whom } })}>
          Let an act turn it again
        </button>
      )}
    </>
  );
}
