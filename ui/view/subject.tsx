// The picture with its ground veiled, and the marks that part the two.

import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Model } from "../state/model";
import { drawn } from "../state/tool";
import type { Point, Setup } from "../state/wire";
import { Icon } from "./icons";

/** Where the server has the picture as it is framed, or whole; the sheet of a drawing on paper; null where there is neither. */
export function pictureAt({ picture, trace }: Setup, whole = false): string | null {
  const { hash } = picture ?? trace.paper ?? {};
  if (hash === undefined) return null;
  const lies = picture ? picture.framing : trace.paper?.corners;
  const seen = whole ? "&whole=true" : encodeURIComponent(JSON.stringify(lies ?? null));
  return `/api/picture.png?px=1600&v=${hash}${seen}`;
}

/** A picture of the server over the whole panel. */
export function Photograph({ model, href }: { model: Model; href: string | null }) {
  const { width, height } = model.setup.panel;
  if (href === null) return null;
  return <image href={href} width={width / 1000} height={height / 1000} preserveAspectRatio="none" />;
}

/** The veil that is shown, and how far the next one is. */
interface Veil {
  readonly job: string;
  /** Null before the first. */
  readonly address: string | null;
  readonly stage: "asked" | "done" | "stopped";
}

const veil = signal<Veil>({ job: "", address: null, stage: "done" });

export function Subject({ model }: { model: Model }) {
  const { picture, trace } = model.setup;
  const address = picture ? `/api/subject.png?px=1200&v=${model.revision}` : null;
  useEffect(() => (address === null ? undefined : followed(model.path, address)), [model.path, address]);
  if (!picture) return null;
  const line = (points: readonly Point[]) => drawn(points.map(([x, y]) => ({ x: x / 1000, y: y / 1000 })));
  const marks = (trace.subject ?? []).flatMap(({ keep, drop }) => [
    ...drop.map((stroke) => ({ stroke, side: "ground" })),
    ...keep.map((stroke) => ({ stroke, side: "keep" })),
  ]);
  const shown = veil.value.job === model.path ? veil.value.address : null;
  return (
    <>
      <Photograph model={model} href={pictureAt(model.setup)} />
      {shown && <Photograph model={model} href={shown} />}
      {marks.map(({ stroke, side }, at) => (
        <MarkLine key={at} side={`made ${side}`} d={line(stroke)} />
      ))}
    </>
  );
}

/** A mark with a light casing: it is seen on any colour, and a dashed one from a whole one. */
export function MarkLine({ side, d }: { side: string; d: string }) {
  // Of a single touch the round ends are seen.
  const line = d.includes("L") ? d : `${d}h0`;
  return (
    <>
      <path class="drawn casing" d={line} />
      <path class={`drawn ${side}`} d={line} />
    </>
  );
}

/** Asks for a veil; the one before it is shown until it comes. */
function followed(job: string, address: string): () => void {
  const before = veil.peek();
  veil.value = { job, address: before.job === job ? before.address : null, stage: "asked" };
  const image = new Image();
  image.onload = () => {
    veil.value = { job, address, stage: "done" };
  };
  image.onerror = () => {
    veil.value = { ...veil.peek(), stage: "stopped" };
  };
  image.src = address;
  return () => {
    image.onload = null;
    image.onerror = null;
  };
}

/** Says that the marks are being followed. */
export function Following() {
  const { stage } = veil.value;
  if (stage === "done") return null;
  return (
    <div class="note late" role="status">
      <Icon name={stage === "asked" ? "info" : "warn"} />
      <p>
        {stage === "asked"
          ? "Finding the edges of the subject"
          : "The edges of the subject were not found. Make the last mark again, or load this page again."}
      </p>
      {stage === "asked" && <progress aria-label="Finding the edges of the subject" />}
    </div>
  );
}
