// Whether there is no room for a panel beside the pattern: then it is a sheet below, and the pages lie along the lower edge.

import { type Signal, signal } from "@preact/signals";
import { useEffect } from "preact/hooks";

export const narrow: Signal<boolean> = signal(false);
/** The same width as in look/room.css. */
const NARROW = "(max-width: 820px)";

export function useNarrow(): void {
  useEffect(() => {
    const query = matchMedia(NARROW);
    const look = () => {
      narrow.value = query.matches;
    };
    look();
    query.addEventListener("change", look);
    return () => query.removeEventListener("change", look);
  }, []);
}
