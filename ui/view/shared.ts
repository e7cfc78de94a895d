// What every view is given: the studio, and where in the pages the maker is.

import { type Signal, signal } from "@preact/signals";
import { createContext } from "preact";
import { useContext } from "preact/hooks";
import type { Studio } from "../state/studio";

export const PLACES = ["picture", "pattern", "woods", "relief", "stock", "view"] as const;
export type Place = (typeof PLACES)[number];

export const StudioContext = createContext<Studio | null>(null);

export function useStudio(): Studio {
  const studio = useContext(StudioContext);
  if (!studio) throw new Error("a view stands outside of the room");
  return studio;
}

/** The page shown, as the part of the address after `#`; "start" has the desk, also while a job is open. */
export const place: Signal<Place | "start"> = signal(placeIn(globalThis.location?.hash ?? ""));

export function placeIn(hash: string): Place | "start" {
  const named = hash.replace(/^#\/?/, "");
  if (named === "start") return "start";
  return PLACES.find((known) => known === named) ?? "pattern";
}

export function goTo(to: Place | "start"): void {
  globalThis.location.hash = `/${to}`;
}
