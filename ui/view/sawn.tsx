// Which blade saws which piece, and why.

import { type ReadonlySignal, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { fineSaid } from "../state/length";
import type { Model } from "../state/model";
import type { BladeSeen, Sawn, SawnPiece, Unit } from "../state/wire";
import { Collapsible } from "./section";
import { useStudio } from "./shared";
import { pieces, runs } from "./words";

/** A change rests so long before blades are asked for anew, ms. */
const REST_MS = 300;

/** How the pieces are sawn as the job stands; null before the first answer. */
export function useSawn(model: Model): ReadonlySignal<Sawn | null> {
  const studio = useStudio();
  const sawn = useSignal<Sawn | null>(null);
  useEffect(() => {
    let over = false;
    const rested = setTimeout(
      async () => {
        const found = await studio.sawn();
        if (!over && found) sawn.value = found;
      },
      sawn.value === null ? 0 : REST_MS,
    );
    return () => {
      over = true;
      clearTimeout(rested);
    };
  }, [model.revision]);
  return sawn;
}

/** The blade of a piece, with the reason, its tightest bend and what is drilled. */
export function BladeOf({ sawn, piece, unit }: { sawn: Sawn | null; piece: number; unit: Unit }) {
  const one = sawn?.pieces.find((each) => each.piece === piece);
  const blade = one && sawn?.blades[one.blade];
  if (!one || !blade) return null;
  return (
    <p class="blade-of">
      <strong>Blade No. {blade.number}</strong>: {one.why}.
      <span class="soft small block">{cutSaid(one, blade, unit)}</span>
    </p>
  );
}

/** The same, asked for by itself. */
export function BladeAsked({ model, piece }: { model: Model; piece: number }) {
  const sawn = useSawn(model);
  return <BladeOf sawn={sawn.value} piece={piece} unit={model.setup.unit} />;
}

function cutSaid(one: SawnPiece, blade: BladeSeen, unit: Unit): string {
  const bend = one.bend === null ? "No bend." : `Tightest bend ${fineSaid(one.bend, unit)} in radius.`;
  if (one.holes === 0) return bend;
  const holes = one.holes === 1 ? "1 start hole" : `${one.holes} start holes`;
  return `${bend} ${holes} of ${fineSaid(blade.hole, unit)} or a little more.`;
}

/** The blades in the order in which they are put in, each with its pieces. */
export function Blades({ model, sawn }: { model: Model; sawn: Sawn | null }) {
  if (!sawn || sawn.blades.length === 0) return null;
  const { unit } = model.setup;
  const changes = sawn.blades.length - 1;
  const aside = changes === 0 ? "no change" : changes === 1 ? "1 change" : `${changes} changes`;
  return (
    <Collapsible title="Blades" aside={aside} folded>
      <ol class="list">
        {sawn.blades.map((blade, at) => {
          const those = sawn.pieces.filter((one) => one.blade === at);
          const drilled = those.filter((one) => one.holes > 0).map((one) => one.piece);
          return (
            <li key={blade.number} class="told plain">
              <strong>No. {blade.number}</strong>, {pieces(those.length)}:{" "}
              {runs(those.map((one) => one.piece))}
              <span class="soft small block">
                {fineSaid(blade.width, unit)} wide, kerf {fineSaid(blade.kerf, unit)}, follows bends down to{" "}
                {fineSaid(blade.bend, unit)} in radius
                {drilled.length > 0 &&
                  `; start holes of ${fineSaid(blade.hole, unit)} or a little more in ${runs(drilled)}`}
              </span>
            </li>
          );
        })}
      </ol>
      <p class="soft small">
        Numbers of blades are no standard: compare width and kerf with your own. Why a piece takes its blade
        stands with the piece, in the cut list and on the sheet “Blades”.
      </p>
    </Collapsible>
  );
}
