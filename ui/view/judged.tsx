// What is judged in the lit picture: light and dark, from afar, a part alone, beside the picture, on other backers.

import type { Model } from "../state/model";
import { type Beside, type Seeing, seeing } from "../state/seeing";
import type { WoodId } from "../state/wire";
import { Section } from "./section";
import { woodName } from "./words";

/** From where works are looked at, mm: 0 close up. */
const FROM_MM = [0, 1000, 2500, 5000] as const;
const FROM_FEET = [0, 3, 8, 16] as const;
const FOOT_MM = 304.8;
/** Backers that are shown at first beside the job's own: from near black to middling. */
const OTHERS = ["wenge", "walnut-black", "cherry-black", "maple-hard"] as const;
const MOST = 3;

function set(some: Partial<Seeing>): void {
  seeing.value = { ...seeing.value, ...some };
}

export function Judged({ model }: { model: Model }) {
  const { greys, away, part, set: only, frame, beside } = seeing.value;
  const far = model.setup.unit === "mm" ? FROM_MM : FROM_FEET.map((feet) => Math.round(feet * FOOT_MM));
  const said = (mm: number) =>
    mm === 0 ? "close up" : model.setup.unit === "mm" ? `${mm / 1000} m` : `${Math.round(mm / FOOT_MM)} ft`;
  return (
    <Section title="To judge by">
      <label class="check">
        <input
          type="checkbox"
          checked={greys}
          onChange={(event) => set({ greys: event.currentTarget.checked })}
        />
        Light and dark alone
      </label>
      {model.setup.frame && (
        <label class="check">
          <input
            type="checkbox"
            checked={frame}
            onChange={(event) => set({ frame: event.currentTarget.checked })}
          />
          In its frame
        </label>
      )}
      <label class="field">
        <span>As the eye sees it from</span>
        <select value={away} onChange={(event) => set({ away: Number(event.currentTarget.value) })}>
          {far.map((mm) => (
            <option key={mm} value={mm}>
              {said(mm)}
            </option>
          ))}
        </select>
      </label>
      <label class="field">
        <span>Of the work</span>
        <select
          value={only ? "set" : (part ?? "all")}
          onChange={(event) => {
            const typed = event.currentTarget.value;
            set({ set: typed === "set", part: typed === "all" || typed === "set" ? null : Number(typed) });
          }}
        >
          <option value="all">all</option>
          <option value="set">what is glued so far</option>
          {model.parts.map((one) => (
            <option key={one.id} value={one.id}>
              {one.name} alone
            </option>
          ))}
        </select>
      </label>
      <Compared model={model} beside={beside} />
    </Section>
  );
}

function Compared({ model, beside }: { model: Model; beside: Beside }) {
  const kept = model.parts.filter((part) => part.variants.length > 0);
  const chosen =
    typeof beside === "string" ? beside : "backers" in beside ? "backers" : String(beside.variants);
  const choose = (typed: string) => {
    if (typed === "nothing" || typed === "picture") set({ beside: typed });
    else if (typed === "backers") set({ beside: { backers: backersFirst(model) } });
    else set({ beside: { variants: typed.split(",").map(Number) } });
  };
  return (
    <>
      <label class="field">
        <span>Side by side</span>
        <select value={chosen} onChange={(event) => choose(event.currentTarget.value)}>
          <option value="nothing">nothing</option>
          <option value="picture">with the picture</option>
          <option value="backers">on three backers</option>
          {kept.map((part) => (
            <option key={part.id} value={String(part.variants.slice(0, MOST - 1).map(([id]) => id))}>
              {part.name} as it is, then{" "}
              {part.variants
                .slice(0, MOST - 1)
                .map(([, name]) => name)
                .join(", ")}
            </option>
          ))}
        </select>
      </label>
      {typeof beside === "object" && "backers" in beside && (
        <Backers model={model} backers={beside.backers} />
      )}
    </>
  );
}

/** The job's own backer, then two that differ from it. */
function backersFirst(model: Model): readonly WoodId[] {
  const there = OTHERS.filter((key) => model.woods.some((wood) => wood.key === key));
  return [model.setup.backer, ...there.filter((key) => key !== model.setup.backer)].slice(0, MOST);
}

const PLACES = ["Left", "Middle", "Right"] as const;

function Backers({ model, backers }: { model: Model; backers: readonly WoodId[] }) {
  return (
    <>
      {backers.map((backer, at) => (
        <label key={PLACES[at]} class="field">
          <span>{PLACES[at]}</span>
          <select
            value={backer}
            onChange={(event) => {
              const other = event.currentTarget.value;
              set({ beside: { backers: backers.map((one, place) => (place === at ? other : one)) } });
            }}
          >
            <Woods model={model} />
          </select>
        </label>
      ))}
    </>
  );
}

/** The woods of the job as options. */
export function Woods({ model }: { model: Model }) {
  return (
    <>
      {model.woods.map((wood) => (
        <option key={wood.key} value={wood.key}>
          {woodName(wood.key, model)}
        </option>
      ))}
    </>
  );
}
