// The lit picture as the server draws it: a quick one at once, the fine one when it is ready.

import { type Signal, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Model } from "../state/model";
import { litAddress, type Seeing, seeing } from "../state/seeing";
import { Icon } from "./icons";
import { useStudio } from "./shared";

const QUICK_PX = 640;
/** Steps of the fine picture's width, so that a window drawn wider by a hair asks for nothing new. */
const FINE_STEP_PX = 400;
/** Finer than this takes longer than it shows. */
const FINEST_PX = 2400;
/** What of the window the picture fills, at the widest. */
const FILLED = 0.75;
/** A slider rests so long before the server is asked, ms. */
const REST_MS = 200;

/** What is shown so far. */
interface Shown {
  /** The address of the picture, null before the first. */
  readonly address: string | null;
  /** Its width by its height. */
  readonly ratio: number;
  readonly stage: "quick" | "fine" | "done" | "stopped";
}

const NOTHING: Shown = { address: null, ratio: 1, stage: "quick" };

/** What was lit last, so that the page comes back to it. */
let last: { readonly job: string; readonly of: string; readonly shown: Shown } | null = null;

export function Lit({ model, fine = true }: { model: Model; fine?: boolean }) {
  const shown = useSignal<Shown>(last?.job === model.path ? last.shown : NOTHING);
  const again = useSignal(0);
  const now = seeing.value;
  // The pattern book goes first.
  const waits = useStudio().acts.runs("sheets");
  useEffect(() => {
    if (waits) return;
    const of = litAddress(now, fine ? finePixels() : QUICK_PX, model.revision);
    if (last?.of === of && last.shown.stage === "done") return;
    const stop = new AbortController();
    void brought(shown, { now, job: model.path, revision: model.revision, fine, over: stop.signal });
    return () => stop.abort();
  }, [now, model.revision, fine, again.value, waits]);
  const { address, ratio, stage } = shown.value;
  return (
    <div class="lit" aria-busy={stage === "quick" || stage === "fine"}>
      {address === null ? (
        <p class="soft" role={stage === "stopped" ? undefined : "status"}>
          {stage === "stopped" ? "No picture was made." : "The first picture comes in a moment."}
        </p>
      ) : (
        <img
          src={address}
          style={{ "--ratio": ratio }}
          class={stage === "quick" ? "waiting" : undefined}
          alt={`${model.setup.title || "The work"} as a relief in its woods, lit ${side(now)}`}
        />
      )}
      {stage === "stopped" && (
        <button
          type="button"
          class="button"
          onClick={() => {
            again.value += 1;
          }}
        >
          <Icon name="sun" /> {address === null ? "Light it again" : "Light it finely"}
        </button>
      )}
    </div>
  );
}

interface Wanted {
  readonly now: Seeing;
  readonly job: string;
  readonly revision: number;
  readonly fine: boolean;
  readonly over: AbortSignal;
}

async function brought(shown: Signal<Shown>, { now, job, revision, fine, over }: Wanted): Promise<void> {
  shown.value = { ...shown.value, stage: "quick" };
  await new Promise((rested) => setTimeout(rested, shown.value.address === null ? 0 : REST_MS));
  for (const pixels of fine ? [QUICK_PX, finePixels()] : [QUICK_PX]) {
    if (over.aborted) return;
    const address = litAddress(now, pixels, revision);
    const ratio = await loaded(address, over);
    if (over.aborted) return;
    if (ratio === null) {
      shown.value = { ...shown.value, stage: "stopped" };
      return;
    }
    shown.value = { address, ratio, stage: pixels > QUICK_PX || !fine ? "done" : "fine" };
    last = { job, of: address, shown: shown.value };
  }
}

/** So many pixels across as the screen can show. */
function finePixels(): number {
  const steps = Math.ceil((innerWidth * devicePixelRatio * FILLED) / FINE_STEP_PX);
  return Math.min(FINEST_PX, Math.max(2, steps) * FINE_STEP_PX);
}

/** Width by height of the picture that came, null if none did. One that is not waited for any more is not made, either. */
function loaded(address: string, over: AbortSignal): Promise<number | null> {
  return new Promise((done) => {
    const image = new Image();
    image.onload = () => done(image.naturalWidth / image.naturalHeight);
    image.onerror = () => done(null);
    over.addEventListener("abort", () => {
      image.src = "";
    });
    image.src = address;
  });
}

/** Where the light comes from, in words. */
export function side({ from, height }: Seeing): string {
  if (height > 80) return "from in front";
  const words = ["above", "the upper right", "the right", "the lower right", "below"];
  const round = [...words, "the lower left", "the left", "the upper left"];
  return `from ${round[Math.round(from / 45) % 8]}`;
}
