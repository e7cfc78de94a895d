// Picture: what of it becomes wood, and what becomes of its ink.

import { useSignal } from "@preact/signals";
import type { FramedPicture } from "../state/framing";
import type { Model } from "../state/model";
import type { GroundChoice } from "../state/wire";
import { Bench } from "../view/bench";
import { Icon } from "../view/icons";
import { MaskField } from "../view/mask";
import { Section } from "../view/section";
import { goTo, useStudio } from "../view/shared";
import { FramingFolded, FramingOpen, framedOf } from "./picture/framing";
import { Ink } from "./picture/ink";
import { SheetPage } from "./picture/sheet";

export function PicturePage() {
  const through = useSignal(1);
  const framed = useSignal<FramedPicture | null>(null);
  const model = useStudio().model.value;
  if (!model) return null;
  const { picture, trace } = model.setup;
  if (!picture && trace.paper) return <SheetPage model={model} paper={trace.paper} />;
  if (!picture)
    return (
      <main class="page">
        <p class="soft page-note">
          This pattern is your own drawing: there is no picture whose subject could be marked.
        </p>
      </main>
    );
  if (framed.value)
    return (
      <FramingOpen
        model={model}
        framed={framed.value}
        done={() => {
          framed.value = null;
        }}
      />
    );
  return (
    <Bench name="Picture" more="subject" fill="picture" through={through} findings={false} subject>
      <FramingFolded
        model={model}
        open={() => {
          framed.value = framedOf(model);
        }}
      />
      <Marks model={model} />
      <Ink model={model} />
      <Drawn model={model} />
    </Bench>
  );
}

function Marks({ model }: { model: Model }) {
  const studio = useStudio();
  const { subject = [], ground } = model.setup.trace;
  const strokes = subject.reduce((sum, round) => sum + round.keep.length + round.drop.length, 0);
  return (
    <Section
      title="Subject"
      aside={strokes === 0 ? "no marks" : strokes === 1 ? "1 mark" : `${strokes} marks`}
    >
      <p class="soft small">
        What is veiled is ground: nothing is sawn there. Mark what becomes wood (K) and what is ground (G);
        the edges between them are found, and each further mark mends the last result. Undo takes a mark back.
      </p>
      {strokes === 0 ? (
        <label class="field">
          <span>A plain or transparent ground</span>
          <select
            value={ground}
            onChange={(event) => {
              const chosen = event.currentTarget.value as GroundChoice;
              void studio.edit({ picture: { ground: chosen } });
            }}
          >
            <option value="drop">is left out</option>
            <option value="keep">becomes wood too</option>
          </select>
        </label>
      ) : (
        <button type="button" class="button" onClick={() => void studio.edit({ picture: "unmark" })}>
          <Icon name="bin" /> Take all marks away
        </button>
      )}
      <MaskField take={(mask) => void studio.mask(mask)} />
      {model.setup.picture?.unmasked && (
        <button type="button" class="button" onClick={() => void studio.mask(null)}>
          <Icon name="bin" /> Take the mask away
        </button>
      )}
    </Section>
  );
}

function Drawn({ model }: { model: Model }) {
  const studio = useStudio();
  const { accepted, trace } = model.setup;
  return (
    <Section title="Pattern">
      <p class="soft small">
        {accepted
          ? "The present pattern stays as it is until you accept another drawing."
          : "The pattern is drawn on what is not veiled."}
      </p>
      <button
        type="button"
        class="button main"
        onClick={() => {
          goTo("pattern");
          void studio.wish(trace.pieces);
        }}
      >
        <Icon name="pattern" /> {accepted ? "Draw the pattern anew" : "Draw the pattern"}
      </button>
    </Section>
  );
}
