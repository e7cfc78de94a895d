// Presses that move a piece on its board, added up while the server answers.

import type { Studio } from "./studio";
import type { Lie } from "./wire";

/**
 * Each press builds on the one before, whether that is answered yet or not. Presses that come while one is under way go
 * together in the next edit, so a key that is held makes a few steps of history and not one for every press.
 */
export class Nudging {
  /** Where a piece shall lie, while the server has not said that it does. */
  private readonly wanted = new Map<number, Lie>();

  constructor(private readonly studio: Pick<Studio, "model" | "edit">) {}

  /** Where a piece lies, or is about to. */
  lie(piece: number): Lie | undefined {
    return this.wanted.get(piece) ?? this.studio.model.value?.lies.get(piece)?.lie;
  }

  /** A press. Resolves once nothing of the piece is under way. */
  async press(piece: number, moved: (lie: Lie) => Lie): Promise<void> {
    const from = this.lie(piece);
    if (!from) return;
    const under = this.wanted.has(piece);
    this.wanted.set(piece, moved(from));
    // The press before sends it once it is answered.
    if (!under) await this.send(piece);
  }

  /** What is refused is not wanted any more: the next press starts from where the piece lies. */
  private async send(piece: number): Promise<void> {
    try {
      let lie = this.wanted.get(piece);
      while (lie) {
        const done = await this.studio.edit({ stock: { pin: { piece, lie } } });
        const next: Lie | undefined = this.wanted.get(piece);
        if (!done || next === lie) return;
        lie = next;
      }
    } finally {
      this.wanted.delete(piece);
    }
  }
}
