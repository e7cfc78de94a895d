// What a check found, gravest first; each picks its pieces and shows its mends.

import { useSignal } from "@preact/signals";
import type { Finding, Grave, Kind } from "../state/wire";
import { viewport } from "./canvas";
import { Icon } from "./icons";
import { Ways } from "./notes";
import { Collapsible } from "./section";
import { useStudio } from "./shared";

const WORDS: Readonly<Record<Grave, string>> = {
  grave: "Cannot be made so",
  doubt: "May disappoint",
  note: "Good to know",
};
/** Shown at first; more on asking, so that a long list stays quick. */
const FIRST = 12;

export function Findings({ kinds, title = "Findings" }: { kinds?: readonly Kind[]; title?: string }) {
  const studio = useStudio();
  const all = studio.model.value?.findings ?? [];
  const list = kinds ? all.filter((finding) => kinds.includes(finding.kind)) : all;
  const most = useSignal(FIRST);
  const told = studio.picking.told.value;
  const opened = list.find((finding) => finding.key === told);
  const shown = list.slice(0, most.value);
  const aside = studio.checking.value ? "checking…" : list.length === 0 ? "none" : `${list.length}`;
  return (
    <Collapsible title={title} aside={aside}>
      {list.length === 0 && !studio.checking.value && (
        <p class="soft small">Nothing found that will not work.</p>
      )}
      <ul class="list">
        {(opened && !shown.includes(opened) ? [opened, ...shown] : shown).map((finding) => (
          <li key={finding.key}>
            <FindingRow finding={finding} open={finding.key === told} />
          </li>
        ))}
      </ul>
      {list.length > most.value && (
        <button
          type="button"
          class="button quiet"
          onClick={() => {
            most.value += 40;
          }}
        >
          Show {Math.min(40, list.length - most.value)} more of {list.length}
        </button>
      )}
    </Collapsible>
  );
}

function FindingRow({ finding, open }: { finding: Finding; open: boolean }) {
  const { picking } = useStudio();
  const toggle = () => {
    if (open) {
      picking.told.value = null;
      return;
    }
    picking.finding(finding.key);
    const at = finding.at_mm[0];
    if (at) viewport.nearTo({ x: at[0], y: at[1] });
  };
  return (
    <div class={`finding of-${finding.grave}`}>
      <button type="button" class="finding-head" aria-expanded={open} onClick={toggle}>
        <span class="dot" />
        <span>
          <span class="unseen">{WORDS[finding.grave]}: </span>
          {finding.what}
          <span class="soft small block">{where(finding)}</span>
        </span>
        <Icon name={open ? "up" : "fold"} />
      </button>
      {open && (
        <div class="finding-body">
          <p>{finding.why}</p>
          <Ways ways={finding.ways} />
        </div>
      )}
    </div>
  );
}

const NAMED = 6;

function where({ pieces }: Finding): string {
  if (pieces.length === 0) return "the whole work";
  const named = pieces.slice(0, NAMED).join(", ");
  return `${pieces.length === 1 ? "piece" : "pieces"} ${named}${pieces.length > NAMED ? " and more" : ""}`;
}
