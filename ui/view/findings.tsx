// What a check found, gravest first; each picks its pieces and shows its mends.

import { useSignal } from "@preact/signals";
import { type Gathered, gathered, type Told } from "../state/findings";
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
/** A kind with more is folded. */
const FEW = 3;
/** Shown of a kind at first; more on asking, so that a long list stays quick. */
const FIRST = 12;
const MORE = 40;

export function Findings({ kinds, title = "Findings" }: { kinds?: readonly Kind[]; title?: string }) {
  const studio = useStudio();
  const all = studio.model.value?.findings ?? [];
  const groups = gathered(kinds ? all.filter((finding) => kinds.includes(finding.kind)) : all);
  const count = groups.reduce((sum, group) => sum + group.told.length, 0);
  const aside = studio.checking.value ? "checking…" : count === 0 ? "none" : `${count}`;
  return (
    <Collapsible title={title} aside={aside}>
      {count === 0 && !studio.checking.value && <p class="soft small">Nothing found that will not work.</p>}
      <ul class="list">
        {groups.map((group) => (
          <li key={`${group.kind} ${group.what}`}>
            {group.told.length === 1 && group.told[0] ? (
              <Row told={group.told[0]} what={group.what} />
            ) : (
              <Group group={group} />
            )}
          </li>
        ))}
      </ul>
    </Collapsible>
  );
}

/** All of one kind under one heading. */
function Group({ group }: { group: Gathered }) {
  const { picking } = useStudio();
  const shown = useSignal<boolean | null>(null);
  const most = useSignal(FIRST);
  const opened = group.told.find((told) => isOpen(told, picking.told.value));
  const open = shown.value ?? (opened !== undefined || group.told.length <= FEW);
  const list = group.told.slice(0, most.value);
  return (
    <div class={`finding-kind of-${group.grave}`}>
      <button
        type="button"
        class="finding-head"
        aria-expanded={open}
        onClick={() => {
          shown.value = !open;
        }}
      >
        <span class="dot" />
        <span>
          <span class="unseen">{WORDS[group.grave]}: </span>
          {group.what} <span class="soft small">{group.told.length}</span>
        </span>
        <Icon name={open ? "up" : "fold"} />
      </button>
      {open && (
        <ul>
          {(opened && !list.includes(opened) ? [opened, ...list] : list).map((told) => (
            <li key={told.key}>
              <Row told={told} />
            </li>
          ))}
        </ul>
      )}
      {open && group.told.length > most.value && (
        <button
          type="button"
          class="button quiet"
          onClick={() => {
            most.value += MORE;
          }}
        >
          Show {Math.min(MORE, group.told.length - most.value)} more of {group.told.length}
        </button>
      )}
    </div>
  );
}

const isOpen = (told: Told, key: string | null) => told.findings.some((finding) => finding.key === key);

/** One finding; below the heading of its kind it is told by where it is. */
function Row({ told, what }: { told: Told; what?: string }) {
  const { picking } = useStudio();
  const [first] = told.findings;
  if (!first) return null;
  const open = isOpen(told, picking.told.value);
  const toggle = () => {
    if (open) {
      picking.told.value = null;
      return;
    }
    picking.finding(first.key);
    const at = first.at_mm[0];
    if (at) viewport.nearTo({ x: at[0], y: at[1] });
  };
  return (
    <div class={`finding of-${first.grave}`}>
      <button type="button" class="finding-head" aria-expanded={open} onClick={toggle}>
        <span class={what === undefined ? "dot small-dot" : "dot"} />
        <span>
          <span class="unseen">{WORDS[first.grave]}: </span>
          {what ?? where(told)}
          {what !== undefined && <span class="soft small block">{where(told)}</span>}
        </span>
        <Icon name={open ? "up" : "fold"} />
      </button>
      {open && (
        <div class="finding-body">
          {told.findings.map((finding) => (
            <Mends key={finding.key} finding={finding} />
          ))}
        </div>
      )}
    </div>
  );
}

function Mends({ finding }: { finding: Finding }) {
  return (
    <>
      <p>{finding.why}</p>
      <Ways ways={finding.ways} />
    </>
  );
}

const NAMED = 6;

function where({ findings }: Told): string {
  const [first] = findings;
  const pieces = first?.pieces ?? [];
  // What speaks of no piece is told apart by its first words.
  if (pieces.length === 0) return first?.why.replace(/(?<=[.:;]) .*$/, "") ?? "";
  const named = pieces.slice(0, NAMED).join(", ");
  const places = findings.length > 1 ? `, in ${findings.length} places` : "";
  return `${pieces.length === 1 ? "piece" : "pieces"} ${named}${pieces.length > NAMED ? " and more" : ""}${places}`;
}
