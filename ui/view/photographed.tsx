// A photograph with the corners of what is marked on it and of the white beside it, moved by pointer, touch or keys.

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Figure, MarkedPhoto, Place } from "../state/board-photo";
import { arrowed } from "./arrows";
import { useStudio } from "./shared";

/** Photographs that can be read, also where no browser shows them. */
export const PHOTOGRAPHS = "image/png,image/jpeg,image/webp,image/tiff,image/gif,image/bmp";

const CORNERS = [
  "first end of the length",
  "second end of the length",
  "corner after it",
  "last corner",
] as const;
/** One press of an arrow key, a share of the photograph; with Shift ten times that. */
const NUDGE = 0.002;

export function Photographed<Key extends string>({ photo }: { photo: MarkedPhoto<Key, unknown> }) {
  const studio = useStudio();
  const address = useSignal("");
  /** Who shows it: the browser, else the server makes it one that the browser can. */
  const by = useSignal<"browser" | "asked" | "server">("browser");
  const ratio = useSignal(1.5);
  const unseen = useSignal(false);
  const near = useSignal<Place | null>(null);
  const made = useRef<() => Promise<void>>(async () => undefined);
  const show = (picture: Blob | string) => {
    URL.revokeObjectURL(address.value);
    address.value = typeof picture === "string" ? picture : URL.createObjectURL(picture);
  };
  useEffect(() => {
    let over = false;
    by.value = "browser";
    unseen.value = false;
    show(photo.file);
    made.current = async () => {
      by.value = "asked";
      const { file } = photo;
      const picture = typeof file === "string" ? null : await studio.shown(file, file.name);
      if (over) return;
      by.value = "server";
      if (picture) show(picture);
      else unseen.value = true;
    };
    return () => {
      over = true;
      URL.revokeObjectURL(address.value);
    };
  }, [photo]);
  return (
    <div class="photographed">
      <div class="photographed-held" style={{ "--ratio": ratio.value }}>
        <img
          src={address.value || undefined}
          alt="The photograph"
          draggable={false}
          onLoad={(event) => {
            ratio.value = event.currentTarget.naturalWidth / event.currentTarget.naturalHeight;
          }}
          onError={() => {
            if (address.value === "" || by.value === "asked") return;
            if (by.value === "browser") void made.current();
            else unseen.value = true;
          }}
        />
        {unseen.value && (
          <p class="soft">This photograph cannot be shown. Save it as JPEG or PNG and choose it again.</p>
        )}
        <svg viewBox="0 0 1 1" preserveAspectRatio="none" aria-hidden="true">
          {photo.figures.map(({ key, mark }) => (
            <polygon
              key={key}
              class={mark === "" ? "white" : "board"}
              points={photo.places[key].value.map((place) => place.join(",")).join(" ")}
            />
          ))}
        </svg>
        {photo.figures.flatMap((figure) =>
          CORNERS.map((_, corner) => (
            <Corner
              key={`${figure.key} ${corner}`}
              photo={photo}
              figure={figure}
              corner={corner}
              near={(place) => {
                near.value = place;
              }}
            />
          )),
        )}
        {near.value && <Loupe address={address.value} at={near.value} ratio={ratio.value} />}
      </div>
    </div>
  );
}

/** How much larger the loupe shows the photograph than it is scanned across the page. */
const LARGER = 4;

/** What lies under the corner that is being moved, larger, on the side of the photograph where nothing is moved. */
function Loupe({ address, at: [x, y], ratio }: { address: string; at: Place; ratio: number }) {
  return (
    <svg
      class={`loupe${x < 0.5 ? " right" : ""}${y < 0.5 ? " low" : ""}`}
      viewBox="-1 -1 2 2"
      aria-hidden="true"
    >
      <image
        href={address}
        width={LARGER * 2}
        height={(LARGER * 2) / ratio}
        x={-x * LARGER * 2}
        y={(-y * LARGER * 2) / ratio}
        preserveAspectRatio="none"
      />
      <path d="M-1 0H1M0-1V1" />
    </svg>
  );
}

interface CornerProps<Key extends string> {
  photo: MarkedPhoto<Key, unknown>;
  figure: Figure<Key>;
  corner: number;
  /** Tells which place is being moved; null when none is. */
  near: (place: Place | null) => void;
}

function Corner<Key extends string>({ photo, figure, corner, near }: CornerProps<Key>) {
  const handle = useRef<HTMLButtonElement>(null);
  const [x, y] = photo.places[figure.key].value[corner] ?? [0, 0];
  const move = (to: Place) => {
    photo.move(figure.key, corner, to);
    near(photo.places[figure.key].value[corner] ?? null);
  };
  const drag = (event: PointerEvent) => {
    const ground = handle.current?.parentElement?.getBoundingClientRect();
    if (!ground || !handle.current?.hasPointerCapture(event.pointerId)) return;
    move([(event.clientX - ground.left) / ground.width, (event.clientY - ground.top) / ground.height]);
  };
  const percent = (share: number) => `${(share * 100).toFixed(1)} %`;
  return (
    <button
      ref={handle}
      type="button"
      class={`corner ${figure.mark === "" ? "white" : "board"}`}
      style={{ left: `${x * 100}%`, top: `${y * 100}%` }}
      aria-label={`${figure.said}, ${(figure.corners ?? CORNERS)[corner]}: ${percent(x)} from the left, ${percent(y)} from the top`}
      onPointerDown={(event) => {
        handle.current?.setPointerCapture(event.pointerId);
        handle.current?.focus();
      }}
      onPointerMove={drag}
      onKeyDown={(event) => {
        const way = arrowed(event, NUDGE);
        if (way) move([x + way[0], y + way[1]]);
      }}
      onFocus={() => near([x, y])}
      onBlur={() => near(null)}
    >
      {figure.mark.length > 1 ? figure.mark[corner] : figure.mark}
    </button>
  );
}
