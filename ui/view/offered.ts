// What is said of a wood that could be taken, beside its neighbours.

import type { Offer } from "../state/wire";

/** As many neighbours are named; more are counted. */
const NAMED = 4;

export function judged({ apart, same, untold, short }: Offer): string {
  const told = [
    same.length > 0 ? `looks the same as ${named(same)}` : "",
    untold.length > 0 ? `beside ${named(untold)} only an offcut can tell` : "",
    short ? "less on hand than this takes" : "",
  ].filter((words) => words !== "");
  if (told.length > 0) return told.join("; ");
  return apart.length > 0 ? "told apart from every neighbour" : "no neighbour has a wood yet";
}

function named(pieces: readonly number[]): string {
  const first = pieces.slice(0, NAMED).join(", ");
  return pieces.length > NAMED ? `${first} and ${pieces.length - NAMED} more` : first;
}
