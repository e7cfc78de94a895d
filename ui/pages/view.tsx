// View: the relief lit or turned in 3D, in the light of the wall; and the sheets for the bench.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Model } from "../state/model";
import { Icon } from "../view/icons";
import { Judged } from "../view/judged";
import { Lamp } from "../view/lamp";
import { Lit } from "../view/lit";
import { Mounting } from "../view/mounting";
import { Panel } from "../view/panel";
import { Section } from "../view/section";
import { NoPattern, useStudio } from "../view/shared-parts";
import { Turned } from "../view/turned";

export function ViewPage() {
  const model = useStudio().model.value;
  const turned = useSignal(false);
  const why = useSignal("");
  if (!model) return null;
  if (!model.setup.accepted) return <NoPattern />;
  const without = (reason: string) => {
    turned.value = false;
    why.value = reason;
  };
  return (
    <main class="page">
      <div class="view-page">
        {turned.value ? <Turned model={model} without={without} /> : <Lit model={model} />}
      </div>
      <Panel name="View and sheets">
        <Section title="Seen" aside={open(model)}>
          <div class="ways-of-seeing">
            <Way name="Lit picture" icon="sun" on={!turned.value} choose={() => without("")} />
            <Way
              name="Turn in 3D"
              icon="view"
              on={turned.value}
              choose={() => {
                turned.value = true;
                why.value = "";
              }}
            />
          </div>
          {why.value !== "" && (
            <p class="soft small" role="status">
              {why.value}
            </p>
          )}
        </Section>
        <Lamp flat={!turned.value} />
        {!turned.value && <Judged model={model} />}
        <Mounting model={model} />
        <Sheets model={model} />
      </Panel>
    </main>
  );
}

/** What the view has to assume. */
function open(model: Model): string {
  const all = [...model.pieces.values()];
  const [flat, plain] = [
    all.filter((piece) => !piece.height).length,
    all.filter((piece) => !piece.wood).length,
  ];
  const told = [
    flat > 0 ? `${flat} without height: flat` : "",
    plain > 0 ? `${plain} without wood: plain` : "",
  ];
  return told.filter((words) => words !== "").join(", ");
}

interface WayProps {
  name: string;
  icon: "sun" | "view";
  on: boolean;
  choose: () => void;
}

function Way({ name, icon, on, choose }: WayProps) {
  return (
    <button type="button" class="button" aria-pressed={on} onClick={choose}>
      <Icon name={icon} /> {name}
    </button>
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
  const boxed = (model.findings ?? []).filter((finding) => finding.kind === "no_letters");
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
