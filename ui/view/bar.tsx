// The bar above every page: the work's title, the pages, undo and redo by their names.

import type { ComponentChildren } from "preact";
import type { Unit } from "../state/wire";
import { keysShown } from "./help";
import { Icon, type IconName } from "./icons";
import { narrow } from "./narrow";
import { PLACES, type Place, place, useStudio } from "./shared";
import { nextTheme, theme } from "./theme";

const NAMES: Readonly<Record<Place, [string, IconName]>> = {
  picture: ["Picture", "picture"],
  pattern: ["Pattern", "pattern"],
  woods: ["Woods", "wood"],
  relief: ["Relief", "relief"],
  stock: ["Stock", "stock"],
  view: ["View", "view"],
};

export function Bar() {
  const { model, sending, link } = useStudio();
  const job = model.value;
  return (
    <header class="bar">
      <a class="mark" href="#/start" aria-label="The desk: other jobs, a new picture">
        <img src={new URL("../look/spelk.svg", import.meta.url).href} alt="" />
      </a>
      <h1 class="title">{job ? job.setup.title || "Untitled" : "spelk"}</h1>
      {job && (
        <span class="kept" role="status" title={job.path}>
          {link.value !== "live" ? "Not connected" : sending.value > 0 ? "Keeping…" : "Kept on disk"}
        </span>
      )}
      {job && !narrow.value && <Tabs />}
      <Tools />
    </header>
  );
}

/** The pages as links; in the bar, or along the lower edge where it is narrow. */
export function Tabs() {
  return (
    <nav class="tabs" aria-label="Pages">
      {PLACES.map((each) => (
        <a key={each} class="tab" href={`#/${each}`} aria-current={place.value === each ? "page" : undefined}>
          <Icon name={NAMES[each][1]} />
          {NAMES[each][0]}
        </a>
      ))}
    </nav>
  );
}

function Tools() {
  const studio = useStudio();
  const job = studio.model.value;
  return (
    <div class="tools">
      {job && (
        <>
          <Step name="undo" what={job.undo} act={() => studio.undo()} />
          <Step name="redo" what={job.redo} act={() => studio.redo()} />
          <Lengths unit={job.setup.unit} />
        </>
      )}
      <Quiet label={`Colours of the page: ${theme.value}. Change`} act={nextTheme}>
        <Icon name={theme.value === "system" ? "half" : theme.value === "dark" ? "moon" : "sun"} />
      </Quiet>
      <Quiet label="Keys and help" act={() => (keysShown.value = true)}>
        <Icon name="help" />
      </Quiet>
    </div>
  );
}

const UNITS: Readonly<Record<Unit, { sign: string; word: string; other: Unit }>> = {
  mm: { sign: "mm", word: "millimetres", other: "inch" },
  inch: { sign: "in", word: "inches", other: "mm" },
};

/** What lengths are shown and typed in. */
function Lengths({ unit }: { unit: Unit }) {
  const studio = useStudio();
  const { sign, word, other } = UNITS[unit];
  return (
    <Quiet
      label={`Lengths in ${word}. Change to ${UNITS[other].word}`}
      act={() => void studio.edit({ setup: { unit: other } })}
    >
      {sign}
    </Quiet>
  );
}

function Step({ name, what, act }: { name: "undo" | "redo"; what: string | null; act: () => void }) {
  const word = name === "undo" ? "Undo" : "Redo";
  const label = what === null ? `Nothing to ${name}` : `${word}: ${what}`;
  return (
    <button
      type="button"
      class="button quiet"
      disabled={what === null}
      onClick={act}
      aria-label={label}
      title={label}
    >
      <Icon name={name} />
      {what !== null && <span class="words">{what}</span>}
    </button>
  );
}

function Quiet({ label, act, children }: { label: string; act: () => void; children: ComponentChildren }) {
  return (
    <button type="button" class="button quiet" onClick={act} aria-label={label} title={label}>
      {children}
    </button>
  );
}
