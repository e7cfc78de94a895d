// A rectangle that is marked on a board, typed or dragged: a fault or a zone.

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { lengthBare, lengthTyped } from "./length";
import type { BoardSeen, Unit } from "./wire";

const UM = 1000;

/** Left, top, width and height, µm, from the upper left end of the box around the board. */
export type Marked = readonly [number, number, number, number];

export class Marking {
  /** The board that is marked. */
  readonly board = signal<number | null>(null);
  /** Whether a drag over that board marks it. */
  readonly drags = signal(false);
  readonly typed: readonly [Signal<string>, Signal<string>, Signal<string>, Signal<string>] = [
    signal(""),
    signal(""),
    signal(""),
    signal(""),
  ];
  /** What is typed, once all of it is a rectangle. */
  readonly marked: ReadonlySignal<Marked | null>;

  constructor(private readonly unit: Unit) {
    this.marked = computed(() => {
      const [left, top, width, height] = this.typed.map((one) => lengthTyped(one.value, this.unit));
      if (left == null || top == null || width == null || height == null) return null;
      return width > 0 && height > 0 ? [left, top, width, height] : null;
    });
  }

  /** A drag from one corner to another, µm on the board; what reaches beyond the box around the board is left out. */
  drag(board: BoardSeen, a: readonly [number, number], b: readonly [number, number]): void {
    const [x, y, width, height] = board.box_mm.map((mm) => Math.round(mm * UM)) as [
      number,
      number,
      number,
      number,
    ];
    const within = (at: number, from: number, long: number) => Math.min(Math.max(at - from, 0), long);
    const [ax, bx] = [within(a[0], x, width), within(b[0], x, width)];
    const [ay, by] = [within(a[1], y, height), within(b[1], y, height)];
    this.type([Math.min(ax, bx), Math.min(ay, by), Math.abs(ax - bx), Math.abs(ay - by)]);
  }

  /** Empties the fields. */
  clear(): void {
    for (const one of this.typed) one.value = "";
  }

  private type(marked: Marked): void {
    for (const [at, one] of this.typed.entries()) one.value = lengthBare(marked[at] ?? 0, this.unit);
  }
}

/** The corners of what is marked, µm on the board. */
export function around(board: BoardSeen, [left, top, width, height]: Marked): [number, number][] {
  const [x, y] = [Math.round(board.box_mm[0] * UM) + left, Math.round(board.box_mm[1] * UM) + top];
  return [
    [x, y],
    [x + width, y],
    [x + width, y + height],
    [x, y + height],
  ];
}
