// A board in a photograph, as the maker marks it: two figures of four corners, in shares of the photograph.

import { type ReadonlySignal, type Signal, signal } from "@preact/signals";
import type { BoardLook } from "./wire";

export type Place = [number, number];
export type Four = [Place, Place, Place, Place];
export type Figure = "board" | "white";

/** Where the corners lie before they are moved: a board across the middle, the paper below it. */
const FIRST: Readonly<Record<Figure, Four>> = {
  board: [
    [0.1, 0.2],
    [0.9, 0.2],
    [0.9, 0.6],
    [0.1, 0.6],
  ],
  white: [
    [0.1, 0.7],
    [0.5, 0.7],
    [0.5, 0.85],
    [0.1, 0.85],
  ],
};

export class BoardPhoto {
  readonly places: Readonly<Record<Figure, Signal<Four>>> = {
    board: signal(FIRST.board),
    white: signal(FIRST.white),
  };
  private readonly found: Signal<BoardLook | null> = signal(null);

  constructor(readonly file: File) {}

  /** What was found where the corners lie now. */
  get look(): ReadonlySignal<BoardLook | null> {
    return this.found;
  }

  /** Moves a corner; what was found before is of other corners. */
  move(figure: Figure, corner: number, [x, y]: Place): void {
    const within = (share: number) => Math.min(1, Math.max(0, share));
    const moved = this.places[figure].value.map((place, at) =>
      at === corner ? [within(x), within(y)] : place,
    );
    this.places[figure].value = moved as Four;
    this.found.value = null;
  }

  foundIs(look: BoardLook | null): void {
    this.found.value = look;
  }
}
