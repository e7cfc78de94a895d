// What becomes of dark drawn lines: at the next trace, and in the pattern that is there.

import type { Model } from "../../state/model";
import type { InkChoice } from "../../state/wire";
import { LengthField } from "../../view/length-field";
import { Section } from "../../view/section";
import { useStudio } from "../../view/shared";

const INK: readonly (readonly [InkChoice, string])[] = [
  ["leave", "are a colour as any other"],
  ["close", "are closed: pieces meet at their middle"],
  ["open", "stay open: gaps as wide as they are, or shadow"],
  ["alone", "are closed, and they alone part the picture"],
];

/** A wider break is no slip of the pen, µm. */
const BRIDGED = 20_000;

export function inkOptions() {
  return INK.map(([choice, said]) => (
    <option key={choice} value={choice}>
      {said}
    </option>
  ));
}

/** How wide breaks in lines are bridged at the next trace. */
export function BridgeField({ model }: { model: Model }) {
  const studio = useStudio();
  return (
    <LengthField
      word="Bridge breaks in lines (0 for none)"
      um={model.setup.trace.bridge ?? 0}
      unit={model.setup.unit}
      within={[0, BRIDGED]}
      take={(width) => studio.edit({ picture: { bridge: width } })}
    />
  );
}

export function Ink({ model }: { model: Model }) {
  const studio = useStudio();
  const { accepted, trace } = model.setup;
  const { ink } = trace;
  const drawn = [...model.borders.values()].some((border) => border.ink > 0);
  return (
    <Section title="Ink">
      <label class="field">
        <span>Dark drawn lines</span>
        <select
          value={ink}
          onChange={(event) => {
            const chosen = event.currentTarget.value as InkChoice;
            const now = chosen === "open" || chosen === "close";
            // Where borders follow lines already, they open and close at once.
            if (drawn && now && ink !== "alone" && ink !== "leave")
              void studio.edit({ pattern: { ink: { open: chosen === "open" } } });
            else void studio.edit({ picture: { ink: chosen } });
          }}
        >
          {inkOptions()}
        </select>
      </label>
      {accepted && (
        <p class="soft small">
          {drawn && ink !== "alone" && ink !== "leave"
            ? "Closed or open counts at once, anything else at the next drawing of the pattern."
            : "What you choose here counts at the next drawing; the present pattern stays as it is."}
        </p>
      )}
      {ink !== "leave" && <BridgeField model={model} />}
      {drawn && <OfParts model={model} />}
    </Section>
  );
}

/** A part may have its lines otherwise than the whole. */
function OfParts({ model }: { model: Model }) {
  const studio = useStudio();
  const { ink, open_parts = {} } = model.setup.trace;
  const job = ink === "open" ? "open" : "closed";
  return (
    <>
      {model.parts.map((part) => {
        const open = open_parts[part.id];
        return (
          <label key={part.id} class="field">
            <span>Lines about {part.name}</span>
            <select
              value={open === undefined ? "" : open ? "open" : "close"}
              onChange={(event) => {
                const chosen = event.currentTarget.value;
                if (chosen !== "")
                  void studio.edit({ pattern: { ink: { part: part.id, open: chosen === "open" } } });
              }}
            >
              {open === undefined && <option value="">as all others: {job}</option>}
              <option value="open">stay open as gaps</option>
              <option value="close">are closed</option>
            </select>
          </label>
        );
      })}
    </>
  );
}
