// The picture's colours gathered into tones: how much of the work each is, and the woods that carry it.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Model } from "../../state/model";
import type { Piece, Tone } from "../../state/wire";
import { Swatch } from "../../view/pieces";
import { Collapsible } from "../../view/section";
import { useStudio } from "../../view/shared-parts";
import { pieces, woodName } from "../../view/words";

/** Woods that are named beside a tone; more are counted. */
const NAMED = 3;

export function Tones({ model }: { model: Model }) {
  const studio = useStudio();
  const tones = useSignal<readonly Tone[]>([]);
  const { picture } = model.setup;
  useEffect(() => {
    let over = false;
    if (picture)
      void studio.tones().then((found) => {
        if (!over) tones.value = found;
      });
    return () => {
      over = true;
    };
  }, [picture?.hash, model.revision]);
  if (!picture) return null;
  return (
    <Collapsible title="Tones of the picture" aside={`${tones.value.length}`} folded>
      <p class="soft small">
        Choose a tone to pick the pieces that show most of it, then give them a wood under Picked.
      </p>
      <ul class="list">
        {tones.value.map((tone) => (
          <li key={tone.name}>
            <Row tone={tone} model={model} />
          </li>
        ))}
      </ul>
    </Collapsible>
  );
}

function Row({ tone, model }: { tone: Tone; model: Model }) {
  const { picking } = useStudio();
  const its = tone.pieces.flatMap((number) => model.pieces.get(number) ?? []);
  return (
    <button
      type="button"
      class="wood-choice"
      disabled={its.length === 0}
      onClick={() => picking.these(its.map((piece) => piece.area))}
    >
      <Swatch colour={tone.colour} />
      <span>
        {tone.name}
        <span class="soft small block">
          {its.length === 0 ? "the most of no piece" : carried(its, model)}
        </span>
      </span>
      <span class="soft small">
        {Math.round(tone.share * 100)} %{its.length > 0 && `, ${pieces(its.length)}`}
      </span>
    </button>
  );
}

/** The woods of some pieces, the most used first. */
function carried(its: readonly Piece[], model: Model): string {
  const counts = new Map<string, number>();
  for (const { wood } of its) if (wood) counts.set(wood.value, (counts.get(wood.value) ?? 0) + 1);
  if (counts.size === 0) return "no wood yet";
  const most = [...counts].sort((a, b) => b[1] - a[1] || a[0].localeCompare(b[0])).map(([key]) => key);
  const first = most.slice(0, NAMED).map((key) => woodName(key, model));
  return `${first.join(", ")}${most.length > NAMED ? ` and ${most.length - NAMED} more` : ""}`;
}
