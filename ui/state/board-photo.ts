// Places in a photograph, as the maker marks them: figures of four corners, in shares of the photograph.

import { type ReadonlySignal, type Signal, signal } from "@preact/signals";
import type { BoardLook, TestLook } from "./wire";

export type Place = [number, number];
export type Four = [Place, Place, Place, Place];

export interface Figure<Key extends string> {
  readonly key: Key;
  /** What it goes around, as it is spoken. */
  readonly said: string;
  /** Where its corners lie before they are moved. */
  readonly first: Four;
  /** What is written on its corners: one letter for all, or one for each. */
  readonly mark: string;
  /** What its corners are called, where they are not the ends of a length. */
  readonly corners?: readonly [string, string, string, string];
}

/** A photograph with figures on it, and what was found where their corners lie now. */
export class MarkedPhoto<Key extends string, Look> {
  readonly places: Readonly<Record<Key, Signal<Four>>>;
  private readonly found: Signal<Look | null> = signal(null);

  constructor(
    /** Its file, or where the server has it. */
    readonly file: File | string,
    readonly figures: readonly Figure<Key>[],
  ) {
    const places = figures.map(({ key, first }) => [key, signal(first)] as const);
    this.places = Object.fromEntries(places) as Record<Key, Signal<Four>>;
  }

  get look(): ReadonlySignal<Look | null> {
    return this.found;
  }

  /** Moves a corner; what was found before is of other corners. */
  move(figure: Key, corner: number, [x, y]: Place): void {
    const within = (share: number) => Math.min(1, Math.max(0, share));
    const moved = this.places[figure].value.map((place, at) =>
      at === corner ? [within(x), within(y)] : place,
    );
    this.places[figure].value = moved as Four;
    this.found.value = null;
  }

  foundIs(look: Look | null): void {
    this.found.value = look;
  }
}

function upright(left: number, top: number, right: number, bottom: number): Four {
  return [
    [left, top],
    [right, top],
    [right, bottom],
    [left, bottom],
  ];
}

/** A board across the middle, the paper below it. */
export class BoardPhoto extends MarkedPhoto<"board" | "white", BoardLook> {
  constructor(override readonly file: File) {
    super(file, [
      { key: "board", said: "Board", first: upright(0.1, 0.2, 0.9, 0.6), mark: "1234" },
      { key: "white", said: "White", first: upright(0.1, 0.7, 0.5, 0.85), mark: "" },
    ]);
  }
}

/** Two finished test pieces side by side, the card below them. */
export class TestPhoto extends MarkedPhoto<"one" | "other" | "white", TestLook> {
  constructor(
    override readonly file: File,
    /** Keys of the woods of the pieces. */
    readonly woods: readonly [string, string],
    names: readonly [string, string],
  ) {
    super(file, [
      { key: "one", said: names[0], first: upright(0.15, 0.2, 0.42, 0.55), mark: "A" },
      { key: "other", said: names[1], first: upright(0.58, 0.2, 0.85, 0.55), mark: "B" },
      { key: "white", said: "White", first: upright(0.2, 0.7, 0.8, 0.88), mark: "" },
    ]);
  }
}

/** A sheet with a drawing on it, near the edges of the photograph where nobody has said more. */
export class PaperPhoto extends MarkedPhoto<"sheet", never> {
  constructor(file: File | string, first = upright(0.06, 0.06, 0.94, 0.94)) {
    super(file, [
      {
        key: "sheet",
        said: "Sheet",
        first,
        mark: "1234",
        corners: ["top left corner", "top right corner", "bottom right corner", "bottom left corner"],
      },
    ]);
  }
}
