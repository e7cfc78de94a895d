// View: the lit relief as the server draws it, and the sheets for the bench.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Model } from "../state/model";
import { Icon } from "../view/icons";
import { narrow } from "../view/narrow";
import { Section } from "../view/section";
import { NoPattern, useStudio } from "../view/shared-parts";

const VIEW_PX = 1400;

export function ViewPage() {
  const model = useStudio().model.value;
  if (!model) return null;
  if (!model.setup.accepted) return <NoPattern />;
  return (
    <main class="page">
      <Lit model={model} />
      <section class={narrow.value ? "panel short" : "panel"} aria-label="Sheets">
        <div class="panel-body">
          <Sheets model={model} />
        </div>
      </section>
    </main>
  );
}

function Lit({ model }: { model: Model }) {
  const waiting = useSignal(true);
  const failed = useSignal(false);
  const address = `/api/view.png?px=${VIEW_PX}&r=${model.revision}`;
  useEffect(() => {
    waiting.value = true;
    failed.value = false;
  }, [address]);
  return (
    <div class="view-page">
      {failed.value ? (
        <p class="soft">The view could not be drawn. Change something, or open the page again.</p>
      ) : (
        <img
          src={address}
          class={waiting.value ? "waiting" : undefined}
          alt={`${model.setup.title || "The work"} as a relief in its woods, lit from the upper left`}
          onLoad={() => {
            waiting.value = false;
          }}
          onError={() => {
            failed.value = true;
          }}
        />
      )}
    </div>
  );
}

const PAPERS = [
  ["a4", "A4"],
  ["letter", "Letter, 8 1/2 × 11 in"],
  ["a3", "A3"],
  ["legal", "Legal, 8 1/2 × 14 in"],
  ["tabloid", "Tabloid, 11 × 17 in"],
  ["a2", "A2"],
  ["a1", "A1"],
  ["a0", "A0"],
  ["a5", "A5"],
] as const;

function Sheets({ model }: { model: Model }) {
  const studio = useStudio();
  const paper = useSignal<string>(model.setup.unit === "mm" ? "a4" : "letter");
  const made = useSignal<number | null>(null);
  const busy = studio.acts.runs("sheets");
  const last = studio.acts.last.value;
  useEffect(() => {
    if (last?.name === "sheets" && last.ok) made.value = studio.model.value?.revision ?? null;
  }, [last]);
  return (
    <>
      <Section title="Pattern book">
        <p class="soft small">
          True-scale prints to glue on the wood, maps, labels and the cut list. Print at 100 %, then measure
          the ruler on it.
        </p>
        <label class="field">
          <span>Paper</span>
          <select
            value={paper.value}
            onChange={(event) => {
              paper.value = event.currentTarget.value;
            }}
          >
            {PAPERS.map(([key, name]) => (
              <option key={key} value={key}>
                {name}
              </option>
            ))}
          </select>
        </label>
        <button
          type="button"
          class="button main"
          disabled={busy}
          onClick={() => studio.sheets({ paper: paper.value, only: [], many: true })}
        >
          <Icon name="pattern" /> {busy ? "Making…" : "Make the pattern book"}
        </button>
      </Section>
      {made.value !== null && (
        <Section
          title="To download"
          aside={made.value === model.revision ? "as it is now" : "older than the work"}
        >
          <Download file="book.pdf" name="Pattern book, PDF" />
          <Download file="pattern.svg" name="Pattern, SVG" />
          <Download file="pieces.csv" name="List of pieces, CSV" />
        </Section>
      )}
      <p class="soft small">
        Saws, sanders, wood dust, glues and finishes can hurt. The sheets carry the usual cautions; they do
        not replace the labels of your products, the manuals of your machines, your local rules or licensed
        practice.
      </p>
    </>
  );
}

function Download({ file, name }: { file: string; name: string }) {
  return (
    <a class="button start-aligned" href={`/api/sheets/${file}`} download>
      <Icon name="down" /> {name}
    </a>
  );
}
