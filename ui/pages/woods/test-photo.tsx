// The panel beside the photograph of finished test pieces: whose test it is, what it shows, and its way into the job.

import { useSignal } from "@preact/signals";
import { offSaid, offTitle } from "../../state/colour";
import type { Model } from "../../state/model";
import type { TestLook } from "../../state/wire";
import { Icon } from "../../view/icons";
import { Looking, reflects, type White } from "../../view/looking";
import { Swatch } from "../../view/pieces";
import { Section } from "../../view/section";
import { useStudio } from "../../view/shared-parts";
import { woodName } from "../../view/words";
import type { Testing } from "./open";

export function TestPhotoPanel({
  model,
  testing,
  done,
}: {
  model: Model;
  testing: Testing;
  done: () => void;
}) {
  const studio = useStudio();
  const { photo, pair } = testing;
  const [by, on, coats] = [useSignal(""), useSignal(today()), useSignal(String(pair.coats))];
  const white = useSignal<White>("card");
  const working = useSignal(false);
  const whole = by.value.trim() !== "" && on.value !== "" && Number(coats.value) >= 1;
  const look = async () => {
    working.value = true;
    const found = await studio.lookAtTest(photo.file, photo.file.name, {
      white: photo.places.white.value,
      reflects: reflects(white.value),
      pieces: [
        { wood: photo.woods[0], corners: photo.places.one.value },
        { wood: photo.woods[1], corners: photo.places.other.value },
      ],
    });
    working.value = false;
    photo.foundIs(found);
  };
  const take = async ({ pieces }: TestLook) => {
    const from = `${by.value.trim()}, ${on.value}`;
    const tested = pieces.map(({ wood, lab }) => ({
      wood: { tested: { wood, lab, coats: Number(coats.value), from } },
    }));
    if (await studio.edit(...tested)) done();
  };
  return (
    <>
      <Section title="A test by its photograph">
        <p class="soft small">
          Drag the corners marked A and B to a plain part of each piece, clear of edges and mirrored lamps,
          and the others to a plain part of the card. Or reach them with Tab and move them with the arrow
          keys.
        </p>
        <form
          class="section-body"
          onSubmit={(event) => {
            event.preventDefault();
            void look();
          }}
        >
          <label class="field">
            <span>Who made the test</span>
            <input
              value={by.value}
              maxLength={80}
              onInput={(event) => {
                by.value = event.currentTarget.value;
              }}
            />
          </label>
          <label class="field">
            <span>When</span>
            <input
              type="date"
              value={on.value}
              onInput={(event) => {
                on.value = event.currentTarget.value;
              }}
            />
          </label>
          <label class="field">
            <span>Coats of the finish</span>
            <input
              type="number"
              min="1"
              max="20"
              value={coats.value}
              onInput={(event) => {
                coats.value = event.currentTarget.value;
              }}
            />
          </label>
          <Looking
            what="pieces"
            white={white}
            whole={whole}
            working={working.value}
            stale={() => photo.foundIs(null)}
            done={done}
          />
        </form>
      </Section>
      {photo.look.value && <Shown model={model} look={photo.look.value} take={take} />}
    </>
  );
}

interface ShownProps {
  model: Model;
  look: TestLook;
  take: (look: TestLook) => Promise<void>;
}

function Shown({ model, look, take }: ShownProps) {
  return (
    <Section title="What it shows">
      <ul class="list">
        {look.pieces.map(({ wood, colour, off }) => (
          <li key={wood} class="found-colour" title={offTitle(off)}>
            <Swatch colour={colour} />
            <span>
              {woodName(wood, model)}: {offSaid(off)} beside what the job has of it under its finish
            </span>
          </li>
        ))}
      </ul>
      <button type="button" class="button main" onClick={() => void take(look)}>
        <Icon name="check" /> Take these colours in this job
      </button>
    </Section>
  );
}

/** The day, as a field for dates wants it. */
function today(): string {
  const now = new Date();
  return new Date(now.getTime() - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10);
}
