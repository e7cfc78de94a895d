// Woods that come near what is picked, and from which neighbours each would be told apart.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { offSaid, offTitle } from "../../state/colour";
import type { Model } from "../../state/model";
import type { Offer } from "../../state/wire";
import { judged } from "../../view/offered";
import { Swatch } from "../../view/pieces";
import { useStudio } from "../../view/shared-parts";
import { woodName } from "../../view/words";

/** Picking rests so long before the server is asked, ms. */
const REST_MS = 200;

interface NearProps {
  model: Model;
  pieces: readonly number[];
  take: (wood: string) => void;
}

export function Near({ model, pieces, take }: NearProps) {
  const studio = useStudio();
  const offers = useSignal<readonly Offer[]>([]);
  useEffect(() => {
    let over = false;
    const rested = setTimeout(async () => {
      const found = await studio.offers(pieces);
      if (!over) offers.value = found;
    }, REST_MS);
    return () => {
      over = true;
      clearTimeout(rested);
    };
  }, [pieces.join(), model.revision]);
  if (offers.value.length === 0) return null;
  return (
    <>
      <h3 class="small">Nearest to the picture</h3>
      <ul class="list">
        {offers.value.map((offer) => (
          <li key={offer.wood}>
            <button type="button" class="wood-choice" onClick={() => take(offer.wood)}>
              <Swatch colour={model.woods.find((one) => one.key === offer.wood)?.finished ?? null} />
              <span>
                {woodName(offer.wood, model)}
                <span class="soft small block">{judged(offer)}</span>
              </span>
              <span class="soft small" title={offTitle(offer.difference)}>
                {offSaid(offer.difference)}
              </span>
            </button>
          </li>
        ))}
      </ul>
      <p class="soft small">How far each is off the picture's colour, brought into the range of woods.</p>
    </>
  );
}
