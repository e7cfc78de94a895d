// What the woods leave open: backers side by side, and pairs that only a test on offcuts can tell.

import { type Signal, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { TestPhoto } from "../../state/board-photo";
import { offSaid, offTitle } from "../../state/colour";
import { lengthSaid } from "../../state/length";
import type { Model } from "../../state/model";
import type { BehindSeen, Judged, TestPair } from "../../state/wire";
import { Icon } from "../../view/icons";
import { PHOTOGRAPHS } from "../../view/photographed";
import { Swatch } from "../../view/pieces";
import { Collapsible } from "../../view/section";
import { useStudio } from "../../view/shared-parts";
import { pieces, woodName } from "../../view/words";

/** A change rests so long before the woods are judged anew, ms. */
const REST_MS = 300;

export interface Testing {
  readonly pair: TestPair;
  readonly photo: TestPhoto;
}

export function LeftOpen({ model, testing }: { model: Model; testing: Signal<Testing | null> }) {
  const studio = useStudio();
  const judged = useSignal<Judged | null>(null);
  useEffect(() => {
    let over = false;
    const rested = setTimeout(async () => {
      const found = await studio.judged();
      if (!over) judged.value = found;
    }, REST_MS);
    return () => {
      over = true;
      clearTimeout(rested);
    };
  }, [model.revision]);
  if (!judged.value) return null;
  const { tests, backers, grounds } = judged.value;
  return (
    <>
      <Collapsible
        title="To be told on offcuts"
        aside={tests.length === 0 ? "nothing" : `${tests.length}`}
        folded
      >
        <Tests model={model} tests={tests} testing={testing} />
      </Collapsible>
      <Collapsible title="Backers side by side" aside={woodName(model.setup.backer, model)} folded>
        <p class="soft small">
          The share is of the border along openings where the backer is told apart from the piece.
        </p>
        <Side model={model} shown={backers} becomes="shadow" now={model.setup.backer} />
      </Collapsible>
      {grounds.length > 0 && (
        <Collapsible
          title="Behind the ground, side by side"
          aside={model.setup.ground === null ? "plain" : woodName(model.setup.ground, model)}
          folded
        >
          <Side model={model} shown={grounds} becomes="ground" now={model.setup.ground} />
        </Collapsible>
      )}
    </>
  );
}

interface SideProps {
  model: Model;
  shown: readonly BehindSeen[];
  becomes: "shadow" | "ground";
  now: string | null;
}

function Side({ model, shown, becomes, now }: SideProps) {
  const studio = useStudio();
  const take = (wood: string) =>
    studio.edit({ setup: becomes === "shadow" ? { backer: wood } : { ground: wood } });
  if (shown.every((one) => one.nearest === null))
    return (
      <p class="soft small">No piece with a wood borders an opening yet: nothing is to be told apart.</p>
    );
  return (
    <ul class="side-by-side">
      {shown.map((one) => (
        <li key={one.wood}>
          <Behind model={model} wood={one.wood} becomes={becomes} />
          <strong>{woodName(one.wood, model)}</strong>
          <span class="small">apart along {Math.round(100 * one.told_apart)} %</span>
          {one.nearest && (
            <span class="soft small" title={offTitle(one.nearest[1])}>
              nearest: piece {one.nearest[0]}, {offSaid(one.nearest[1])}
            </span>
          )}
          {one.unsure.length > 0 && (
            <button
              type="button"
              class="button quiet"
              onClick={() => studio.picking.these(areasOf(model, one.unsure))}
            >
              {pieces(one.unsure.length)} unsure
            </button>
          )}
          <button type="button" class="button" disabled={one.wood === now} onClick={() => take(one.wood)}>
            {one.wood === now ? "Chosen" : "Take it"}
          </button>
        </li>
      ))}
    </ul>
  );
}

function areasOf(model: Model, numbers: readonly number[]): number[] {
  return numbers.flatMap((number) => model.pieces.get(number)?.area ?? []);
}

/** The whole pattern, small, with a wood where it is open. */
function Behind({ model, wood, becomes }: { model: Model; wood: string; becomes: SideProps["becomes"] }) {
  const { width, height } = model.setup.panel;
  const behind = model.woods.find((each) => each.key === wood)?.finished ?? "none";
  return (
    <svg
      viewBox={`0 0 ${width / 1000} ${height / 1000}`}
      role="img"
      aria-label={`On ${woodName(wood, model)}`}
    >
      {[...model.areas.values()].map((area) => (
        <path
          key={area.id}
          d={area.d}
          fill-rule="evenodd"
          fill={
            area.becomes === becomes ? behind : area.becomes === "piece" ? (area.look ?? "#d9cfbf") : "none"
          }
        />
      ))}
    </svg>
  );
}

interface TestsProps {
  model: Model;
  tests: readonly TestPair[];
  testing: Signal<Testing | null>;
}

function Tests({ model, tests, testing }: TestsProps) {
  const { picking } = useStudio();
  const look = (key: string) => model.woods.find((each) => each.key === key)?.finished ?? null;
  return (
    <>
      <p class="soft small">
        What is known of these colours cannot tell the two apart, or the same. Finish an offcut of each board
        as the work will be, lay both beside a grey card in even light, and photograph them: what is measured
        replaces the table in this job.
      </p>
      <ul class="list">
        {tests.map((test) => {
          const [one, other] = test.woods;
          const names: [string, string] = [woodName(one, model), woodName(other, model)];
          return (
            <li key={test.woods.join()} class="list-row">
              <button
                type="button"
                class="wood-choice grow"
                onClick={() => picking.these(areasOf(model, test.pieces.flat()))}
              >
                <span class="row">
                  <Swatch colour={look(one)} />
                  <Swatch colour={look(other)} />
                </span>
                <span>
                  {names.join(" beside ")}
                  <span class="soft small block" title={offTitle(test.difference)}>
                    {test.coats} coats; {lengthSaid(Math.round(test.border_mm) * 1000, model.setup.unit)} of
                    border; {offSaid(test.difference)} by what is known
                  </span>
                </span>
              </button>
              <label class="button quiet" title={`Photograph of ${names.join(" and ")}`}>
                <Icon name="picture" />
                <span class="unseen">Photograph of the test of {names.join(" and ")}</span>
                <input
                  type="file"
                  accept={PHOTOGRAPHS}
                  class="unseen"
                  onChange={(event) => {
                    const file = event.currentTarget.files?.[0];
                    if (file) testing.value = { pair: test, photo: new TestPhoto(file, [one, other], names) };
                  }}
                />
              </label>
            </li>
          );
        })}
      </ul>
    </>
  );
}
