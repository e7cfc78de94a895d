// The plans of a part that were kept under a name: keep the present one, put one back, throw one away.

import { useSignal } from "@preact/signals";
import type { Part } from "../state/wire";
import { Icon } from "./icons";
import { useStudio } from "./shared-parts";

export function PartVariants({ part }: { part: Part }) {
  const studio = useStudio();
  const name = useSignal("");
  const keep = async (event: Event) => {
    event.preventDefault();
    const typed = name.value.trim();
    if (typed !== "" && (await studio.edit({ part: { keep: { part: part.id, name: typed } } })))
      name.value = "";
  };
  return (
    <details class="under">
      <summary class="soft small">
        {part.variants.length === 0
          ? "Keep its plan under a name"
          : `Plans kept: ${part.variants.map(([, said]) => said).join(", ")}`}
      </summary>
      <ul class="list">
        {part.variants.map(([id, said]) => (
          <li key={id} class="list-row">
            <button
              type="button"
              class="button quiet grow start-aligned"
              title="Its woods, grain and heights as they were kept"
              onClick={() => studio.edit({ part: { put_back: id } })}
            >
              Put back {said}
            </button>
            <button
              type="button"
              class="button quiet"
              title={`Throw ${said} away`}
              aria-label={`Throw ${said} away`}
              onClick={() => studio.edit({ part: { forget: id } })}
            >
              <Icon name="bin" />
            </button>
          </li>
        ))}
      </ul>
      <form class="row" onSubmit={keep}>
        <input
          class="input grow"
          aria-label={`Name for the present plan of ${part.name}`}
          placeholder="darker wings…"
          value={name.value}
          onInput={(event) => {
            name.value = event.currentTarget.value;
          }}
        />
        <button type="submit" class="button" disabled={name.value.trim() === ""}>
          Keep
        </button>
      </form>
    </details>
  );
}
