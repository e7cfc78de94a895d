// Words that come and go: refusals with their ways out, long work with its stop, the server away.

import { useEffect } from "preact/hooks";
import { doing, SEEN, said } from "../state/acts";
import { Icon } from "./icons";
import { place, useStudio } from "./shared";
import { Following } from "./subject";

export function Notes() {
  return (
    <div class="notes">
      <Away />
      {place.value === "picture" && <Following />}
      {place.value === "pattern" && <Drawing />}
      <Progress />
      <Told />
    </div>
  );
}

function Away() {
  const { link } = useStudio();
  if (link.value === "live") return null;
  const words =
    link.value === "lost"
      ? "spelk does not answer. Everything confirmed is on disk; this page comes back by itself as soon as spelk runs again."
      : "This window belongs to an earlier start of spelk. Use the window that spelk opened last, or run `spelk studio` again.";
  return (
    <div class="note grave" role="alert">
      <Icon name="warn" />
      <p>{words}</p>
    </div>
  );
}

/** Says that the draft wished for is not there yet. */
function Drawing() {
  if (!useStudio().drawing.value) return null;
  return (
    <div class="note late" role="status">
      <Icon name="info" />
      <p>Drawing it…</p>
      <progress aria-label="Drawing it" />
    </div>
  );
}

function Progress() {
  const studio = useStudio();
  const away = place.value !== "view";
  const shown = studio.acts.lasting().filter((act) => !away || !SEEN.includes(act.name));
  return (
    <>
      {shown.map((act) => (
        <div class="note" role="status" key={act.id}>
          <Icon name="info" />
          <p>{said(act)}</p>
          <button type="button" class="button" onClick={() => studio.stop(act.id)}>
            <Icon name="stop" /> Stop
          </button>
          <progress max={1} value={act.done} aria-label={doing(act.name)} />
        </div>
      ))}
    </>
  );
}

/** Words without a way to choose go by themselves after this, ms: as long as two lines take to read twice. */
const READ_MS = 8000;
/** Those that offer undo stay longer: it has to be thought of and reached. */
const UNDO_MS = 20_000;

function Told() {
  const studio = useStudio();
  const said = studio.said.value;
  const passing = said !== null && !said.grave && (said.trouble?.ways.length ?? 0) === 0;
  useEffect(() => {
    if (!passing) return;
    const timer = setTimeout(
      () => {
        if (studio.said.peek() === said) studio.said.value = null;
      },
      said.undoes === undefined ? READ_MS : UNDO_MS,
    );
    return () => clearTimeout(timer);
  }, [said]);
  if (!said) return null;
  const away = () => {
    studio.said.value = null;
  };
  return (
    <div class={said.grave ? "note grave" : "note"} role={said.grave ? "alert" : "status"}>
      <Icon name={said.grave ? "warn" : "info"} />
      <p>{said.what}</p>
      <button type="button" class="button quiet" onClick={away} aria-label="Put this note away">
        <Icon name="close" />
      </button>
      {said.undoes !== undefined && said.undoes === studio.model.value?.step && (
        <div class="ways">
          <button type="button" class="button" onClick={() => studio.undo()}>
            <Icon name="undo" /> Undo
          </button>
        </div>
      )}
      {said.trouble && said.trouble.ways.length > 0 && (
        <Ways
          ways={said.trouble.ways}
          taken={() => {
            studio.said.value = null;
          }}
        />
      )}
    </div>
  );
}

/** A mend of which the pattern shows nothing. */
function turnsGrain(edit: unknown): boolean {
  return (
    typeof edit === "object" && edit !== null && "wood" in edit && JSON.stringify(edit).includes('"grain"')
  );
}

/** Ways out: those with edits are buttons, the others are words. */
export function Ways({
  ways,
  taken,
}: {
  ways: readonly { says: string; edits: readonly unknown[] }[];
  taken?: () => void;
}) {
  const studio = useStudio();
  return (
    <ul class="ways">
      {ways.map((way) => (
        <li key={way.says}>
          {way.edits.length === 0 ? (
            <p class="soft small">{way.says}</p>
          ) : (
            <button
              type="button"
              class="button"
              onClick={async () => {
                taken?.();
                const done = await studio.edit(...(way.edits as never[]));
                if (done && way.edits.some(turnsGrain))
                  studio.tell(`Done: ${way.says.replace(/\.$/, "")}. Woods and View show the grain.`);
              }}
            >
              {way.says}
            </button>
          )}
        </li>
      ))}
    </ul>
  );
}
