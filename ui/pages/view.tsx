// View: the relief lit or turned in 3D, in the light of the wall; and the sheets for the bench.

import { useSignal } from "@preact/signals";
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
import { Sheets } from "./view/sheets";

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
