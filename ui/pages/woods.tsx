// Woods: which wood each piece is sawn from, chosen by an act or by hand.

import { useSignal } from "@preact/signals";
import type { Model } from "../state/model";
import { surface, YEARS_AFTER } from "../state/surface";
import type { Piece, Wood, WoodEdit } from "../state/wire";
import { Bench } from "../view/bench";
import { give } from "../view/brushing";
import { tools } from "../view/canvas";
import { Findings } from "../view/findings";
import { Icon } from "../view/icons";
import { Panel } from "../view/panel";
import { Photographed } from "../view/photographed";
import { Begun, Pieces, Swatch } from "../view/pieces";
import { Collapsible, Section } from "../view/section";
import { NoPattern, useStudio } from "../view/shared-parts";
import { PartVariants } from "../view/variants";
import { pieces, planned, woodName } from "../view/words";
import { PieceGrain, Strokes } from "./woods/grain";
import { Near } from "./woods/near";
import { LeftOpen, type Testing } from "./woods/open";
import { TestPhotoPanel } from "./woods/test-photo";
import { Tones } from "./woods/tones";

const KINDS = ["low_contrast", "unsure_colour", "too_many_woods", "hazard", "protected"] as const;

export function WoodsPage() {
  const through = useSignal(0);
  const testing = useSignal<Testing | null>(null);
  const model = useStudio().model.value;
  if (!model) return null;
  if (!model.setup.accepted) return <NoPattern />;
  if (testing.value)
    return (
      <main class="page">
        <Photographed photo={testing.value.photo} />
        <Panel name="Woods" open>
          <TestPhotoPanel
            model={model}
            testing={testing.value}
            done={() => {
              testing.value = null;
            }}
          />
        </Panel>
      </main>
    );
  return (
    <Bench name="Woods" fill="wood" through={through} findings={false} more="woods">
      <Choose model={model} />
      <ForPicked model={model} />
      <Strokes model={model} />
      <Tones model={model} />
      <Used model={model} />
      <LeftOpen model={model} testing={testing} />
      <Findings kinds={KINDS} title="What to look at" />
      <Pieces model={model} about="wood" />
    </Bench>
  );
}

function Choose({ model }: { model: Model }) {
  const studio = useStudio();
  const busy = studio.acts.runs("choose_woods");
  const open = [...model.pieces.values()].filter((piece) => piece.wood === null).length;
  return (
    <Section title="Choosing woods" aside={open === 0 ? "all decided" : `${pieces(open)} undecided`}>
      <label class="field">
        <span>At most this many woods</span>
        <select
          value={model.setup.woods_most}
          onChange={(event) => studio.edit({ setup: { woods_most: Number(event.currentTarget.value) } })}
        >
          {Array.from({ length: 19 }, (_, at) => at + 2).map((count) => (
            <option key={count} value={count}>
              {count}
            </option>
          ))}
        </select>
      </label>
      <label class="field">
        <span>Finish</span>
        <select
          value={model.setup.finish}
          onChange={(event) => studio.edit({ setup: { finish: event.currentTarget.value } })}
        >
          {model.setup.finishes.map(([key, name]) => (
            <option key={key} value={key}>
              {name}
            </option>
          ))}
        </select>
      </label>
      <label class="field">
        <span>Woods shown</span>
        <select
          value={String(surface.value)}
          onChange={(event) => {
            const typed = event.currentTarget.value;
            surface.value = typed === "raw" || typed === "finished" ? typed : Number(typed);
          }}
        >
          <option value="raw">raw, as sanded</option>
          <option value="finished">under the finish</option>
          {YEARS_AFTER.map((years, at) => (
            <option key={years} value={at}>
              after {years === 1 ? "a year" : `${years} years`} on a wall
            </option>
          ))}
        </select>
      </label>
      <button type="button" class="button main" disabled={busy} onClick={() => studio.ask("choose_woods")}>
        <Icon name="wood" /> {busy ? "Choosing…" : "Choose woods and grain"}
      </button>
      <p class="soft small">Pinned pieces keep their wood. Colours are shown as far as they are known.</p>
    </Section>
  );
}

function ForPicked({ model }: { model: Model }) {
  const studio = useStudio();
  const list = studio.picking.pieces.value;
  const one = list.length === 1 ? list[0] : undefined;
  const wood = list.every((piece) => piece.wood?.value === list[0]?.wood?.value)
    ? (list[0]?.wood?.value ?? "")
    : "";
  const free = list.filter(planned);
  const pinned = free.length > 0 && free.every((piece) => piece.wood?.by === "hand");
  const part = model.parts.find(({ id }) => list.every((piece) => piece.part === id));
  const each = (edit: (whom: { piece: number }) => WoodEdit) =>
    studio.edit(...free.map((piece) => ({ wood: edit({ piece: piece.number }) })));
  return (
    <Section
      title="Picked"
      aside={list.length === 0 ? "nothing yet" : one ? `piece ${one.number}` : pieces(list.length)}
    >
      {list.length === 0 ? (
        <p class="soft small">Pick pieces on the pattern or in the list to give them a wood.</p>
      ) : (
        <>
          <Begun pieces={list} stays="wood and grain stay as they are" />
          <label class="field">
            <span>Wood</span>
            <select
              value={wood}
              disabled={free.length === 0}
              onChange={(event) => {
                const value = event.currentTarget.value;
                void each((whom) => (value === "" ? { unchoose: whom } : { choose: { whom, wood: value } }));
              }}
            >
              <option value="">undecided</option>
              {model.woods.map((each) => (
                <option key={each.key} value={each.key}>
                  {each.name}
                </option>
              ))}
            </select>
          </label>
          <p class="row">
            <button
              type="button"
              class="button grow"
              disabled={free.length === 0 || free.some((piece) => piece.wood === null) || pinned}
              aria-pressed={pinned}
              onClick={() =>
                studio.edit(
                  ...free.map((piece) => ({
                    wood: { choose: { whom: { piece: piece.number }, wood: piece.wood?.value ?? "" } },
                  })),
                )
              }
            >
              <Icon name="pin" /> {pinned ? "Pinned" : "Pin"}
            </button>
            <button
              type="button"
              class="button grow"
              disabled={free.every((piece) => piece.wood === null)}
              onClick={() => each((whom) => ({ unchoose: whom }))}
            >
              Leave undecided
            </button>
          </p>
          <GiveBrushed model={model} pieces={free} />
          {one && <PieceGrain piece={one} />}
          {part && <PartVariants part={part} />}
          {free.length > 0 && (
            <Near
              model={model}
              pieces={free.map((piece) => piece.number)}
              take={(wood) => void each((whom) => ({ choose: { whom, wood } }))}
            />
          )}
        </>
      )}
    </Section>
  );
}

/** The wood on the brush for all that is picked. */
function GiveBrushed({ model, pieces }: { model: Model; pieces: readonly Piece[] }) {
  const studio = useStudio();
  const wood = tools.wood.value;
  if (wood === null || pieces.every((piece) => piece.wood?.value === wood)) return null;
  return (
    <button type="button" class="button" onClick={() => give(studio, tools)}>
      <Icon name="brush" /> Give {woodName(wood, model)}
    </button>
  );
}

function Used({ model }: { model: Model }) {
  const counts = new Map<string, number>();
  for (const { wood } of model.pieces.values())
    if (wood) counts.set(wood.value, (counts.get(wood.value) ?? 0) + 1);
  const used = model.woods.filter((wood) => counts.has(wood.key));
  const rest = model.woods.filter((wood) => !counts.has(wood.key));
  const over = used.length - model.setup.woods_most;
  return (
    <>
      <Collapsible title="In use" aside={`${used.length} of at most ${model.setup.woods_most}`}>
        {over > 0 && (
          <p class="small caution">
            {over === 1 ? "One wood" : `${over} woods`} more than you set: give the pieces of one another
            wood, or allow more.
          </p>
        )}
        <WoodList woods={used} counts={counts} model={model} />
      </Collapsible>
      {rest.length > 0 && (
        <Collapsible title="Other woods" aside={`${rest.length}`} folded>
          <WoodList woods={rest} counts={counts} model={model} />
        </Collapsible>
      )}
      <p class="soft small backer">The backer shows {woodName(model.setup.backer, model)}.</p>
    </>
  );
}

function WoodList({
  woods,
  counts,
  model,
}: {
  woods: readonly Wood[];
  counts: Map<string, number>;
  model: Model;
}) {
  const { picking } = useStudio();
  return (
    <ul class="list">
      {woods.map((wood) => {
        const count = counts.get(wood.key) ?? 0;
        const pick = () =>
          picking.these(
            [...model.pieces.values()]
              .filter((each) => each.wood?.value === wood.key)
              .map((each) => each.area),
          );
        return (
          <li key={wood.key} class="list-row">
            <button type="button" class="wood-choice grow" disabled={count === 0} onClick={pick}>
              <Swatch colour={wood.finished} />
              <span>
                {wood.name}
                {!wood.measured && <span class="soft small block">colour from memory: try an offcut</span>}
                {wood.hazard && (
                  <span class="caution small" title={wood.hazard}>
                    {wood.hazard}
                  </span>
                )}
                {wood.protected && (
                  <span class="caution small" title={wood.protected}>
                    {wood.protected}
                  </span>
                )}
              </span>
              <span class="soft small">{count === 0 ? "" : pieces(count)}</span>
            </button>
            <button
              type="button"
              class="button quiet"
              aria-pressed={tools.tool.value === "wood" && tools.wood.value === wood.key}
              aria-label={`Brush ${wood.name} over pieces`}
              title={`Brush ${wood.name} over pieces`}
              onClick={() => tools.dip(wood.key)}
            >
              <Icon name="brush" />
            </button>
          </li>
        );
      })}
    </ul>
  );
}
