// The lit picture as the server draws it: a quick one at once, the fine one when it is ready.

import { type Signal, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Model } from "../state/model";
import { litAddress, type Seeing, seeing } from "../state/seeing";
import { Icon } from "./icons";

const QUICK_PX = 640;
const FINE_PX = 1400;
/** A slider rests so long before the server is asked, ms. */
const REST_MS = 200;

/** What is shown so far. */
interface Shown {
  /** The address of the picture, null before the first. */
  readonly address: string | null;
  readonly stage: "quick" | "fine" | "done" | "stopped";
}

export function Lit({ model, fine = true }: { model: Model; fine?: boolean }) {
  const shown = useSignal<Shown>({ address: null, stage: "quick" });
  const again = useSignal(0);
  const now = seeing.value;
  useEffect(() => {
    const stop = new AbortController();
    void brought(shown, { now, revision: model.revision, fine, over: stop.signal });
    return () => stop.abort();
  }, [now, model.revision, fine, again.value]);
  const { address, stage } = shown.value;
  return (
    <div class="lit" aria-busy={stage === "quick" || stage === "fine"}>
      {address === null ? (
        <p class="soft" role={stage === "stopped" ? undefined : "status"}>
          {stage === "stopped" ? "No picture was made." : "The first picture comes in a moment."}
        </p>
      ) : (
        <img
          src={address}
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
  readonly revision: number;
  readonly fine: boolean;
  readonly over: AbortSignal;
}

async function brought(shown: Signal<Shown>, { now, revision, fine, over }: Wanted): Promise<void> {
  shown.value = { ...shown.value, stage: "quick" };
  await new Promise((rested) => setTimeout(rested, shown.value.address === null ? 0 : REST_MS));
  for (const pixels of fine ? [QUICK_PX, FINE_PX] : [QUICK_PX]) {
    if (over.aborted) return;
    const address = litAddress(now, pixels, revision);
    const came = await loaded(address);
    if (over.aborted) return;
    if (!came) {
      shown.value = { ...shown.value, stage: "stopped" };
      return;
    }
    shown.value = { address, stage: pixels === FINE_PX || !fine ? "done" : "fine" };
  }
}

function loaded(address: string): Promise<boolean> {
  return new Promise((done) => {
    const image = new Image();
    image.onload = () => done(true);
    image.onerror = () => done(false);
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
