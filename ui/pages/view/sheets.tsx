// The sheets for the bench: the pattern book, and what is made only when it is asked for.

import { useSignal } from "@preact/signals";
import type { Model } from "../../state/model";
import { type Asked, fileSaid, SHEETS } from "../../state/sheets";
import { Icon } from "../../view/icons";
import { Section } from "../../view/section";
import { useStudio } from "../../view/shared-parts";

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

export function Sheets({ model }: { model: Model }) {
  const studio = useStudio();
  const paper = useSignal<string>(model.setup.unit === "mm" ? "a4" : "letter");
  const asked = useSignal<Asked | null>(null);
  const busy = studio.acts.runs("sheets");
  const made = studio.made.value;
  const boxed = (model.findings ?? []).filter((finding) => finding.kind === "no_letters");
  const make = (one: Asked) => {
    asked.value = one;
    void studio.sheets({ paper: paper.value, only: [...one.only], many: true });
  };
  return (
    <>
      <Section title="Sheets for the bench">
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
        {SHEETS.map((one) => (
          <div class="stack" key={one.word}>
            <button
              type="button"
              class={one.only.length === 0 ? "button main" : "button"}
              disabled={busy}
              onClick={() => make(one)}
            >
              <Icon name="pattern" /> {busy && asked.value === one ? "Making…" : `Make the ${one.word}`}
            </button>
            <p class="soft small">{one.holds}</p>
          </div>
        ))}
        <p class="soft small">Print at 100 %, then measure the ruler on the sheet.</p>
      </Section>
      {made && (
        <Section
          title="To download"
          aside={made.revision === model.revision ? "as it is now" : "older than the work"}
        >
          {made.files.map((file) => (
            <div class="stack" key={file}>
              <a class="button start-aligned" href={`/api/sheets/${file}`} download={file}>
                <Icon name="down" /> {fileSaid(file)}
              </a>
              <p class="soft small">This saves {file} among your browser’s downloads.</p>
            </div>
          ))}
        </Section>
      )}
      {boxed.length > 0 && (
        <Section title="Prints as boxes">
          <ul class="list">
            {boxed.map((finding) => (
              <li key={finding.key}>
                <p class="small">{finding.why}</p>
                <p class="soft small">{finding.ways.map((way) => way.says).join(" ")}</p>
              </li>
            ))}
          </ul>
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
