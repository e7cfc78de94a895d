// Sheets for the bench: what can be asked for, and what the files that come of it are.

/** What is asked for in one go. */
export interface Asked {
  readonly word: string;
  readonly holds: string;
  /** The kinds of page; the whole book where none is named. */
  readonly only: readonly string[];
}

export const SHEETS: readonly Asked[] = [
  {
    word: "pattern book",
    holds:
      "The pattern at true scale in tiles, single pieces, maps, heights, boards, blades and the list of pieces; the pattern as SVG and the list as CSV beside it.",
    only: [],
  },
  {
    word: "prints to cut up",
    holds:
      "The pattern at true scale as often as it has to be cut up, so that each piece can be cut out whole and glued on its wood.",
    only: ["prints"],
  },
  {
    word: "labels",
    holds: "A label for the back of every piece, for sheets of labels.",
    only: ["labels"],
  },
];

/** Sheets that were made: their files, and the state of the job that they show. */
export interface Made {
  readonly files: readonly string[];
  readonly revision: number;
}

/** What a file holds, by its name. */
export function fileSaid(file: string): string {
  if (file.endsWith(".svg")) return "Pattern, SVG";
  if (file.endsWith(".csv")) return "List of pieces, CSV";
  const asked = SHEETS.find(({ only }) => only.some((kind) => file.endsWith(`-${kind}.pdf`)));
  const word = asked?.word ?? "pattern book";
  return `${word.charAt(0).toUpperCase()}${word.slice(1)}, PDF`;
}
