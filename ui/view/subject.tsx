// The picture with its ground veiled, and the marks that part the two.

import type { Model } from "../state/model";
import { drawn } from "../state/tool";
import type { PictureRef, Point } from "../state/wire";

/** Where the server has the picture as it is framed, or whole. */
export function pictureAt(picture: PictureRef | null, whole = false): string {
  const framing = whole ? "&whole=true" : encodeURIComponent(JSON.stringify(picture?.framing ?? null));
  return `/api/picture.png?px=1600&v=${picture?.hash ?? ""}${framing}`;
}

/** A picture of the server over the whole panel. */
export function Photograph({ model, href }: { model: Model; href: string }) {
  const { width, height } = model.setup.panel;
  return <image href={href} width={width / 1000} height={height / 1000} preserveAspectRatio="none" />;
}

export function Subject({ model }: { model: Model }) {
  const { picture, trace } = model.setup;
  if (!picture) return null;
  const line = (points: readonly Point[]) => drawn(points.map(([x, y]) => ({ x: x / 1000, y: y / 1000 })));
  const marks = (trace.subject ?? []).flatMap(({ keep, drop }) => [
    ...keep.map((stroke) => ({ stroke, side: "keep" })),
    ...drop.map((stroke) => ({ stroke, side: "ground" })),
  ]);
  return (
    <>
      <Photograph model={model} href={pictureAt(picture)} />
      <Photograph model={model} href={`/api/subject.png?px=1200&v=${model.revision}`} />
      {marks.map(({ stroke, side }, at) => (
        <path key={at} class={`drawn made ${side}`} d={line(stroke)} />
      ))}
    </>
  );
}
