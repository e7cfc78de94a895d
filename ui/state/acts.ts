// Long acts under way: how far each is, and how it ended.

import { type Signal, signal } from "@preact/signals";
import type { ActEnded, ActTold } from "./wire";

export interface Act {
  readonly id: number;
  readonly name: string;
  /** The share done, 0 to 1. */
  readonly done: number;
  readonly text: string;
}

/** What each act is called while it runs. */
const DOES: Readonly<Record<string, string>> = {
  trace: "Drawing the pattern",
  choose_woods: "Choosing woods",
  turn_grain: "Turning the grain",
  work_out_heights: "Working out heights",
  mend_heights: "Mending heights",
  lay_out: "Laying out the boards",
  view: "Lighting the relief",
  solid: "Shaping the relief in 3D",
  sheets: "Making the sheets",
};

/** Acts that only the page View waits for. */
export const SEEN: readonly string[] = ["view", "solid"];

export function doing(name: string): string {
  return DOES[name] ?? "Working";
}

/** What an act says of itself, its stage after its name unless that says the same. */
export function said(act: Act): string {
  const name = doing(act.name);
  return act.text === "" || act.text.toLowerCase() === name.toLowerCase() ? name : `${name}: ${act.text}`;
}

export class Acts {
  readonly running: Signal<readonly Act[]> = signal([]);
  /** The last act that ended, by name. */
  readonly last: Signal<ActEnded | null> = signal(null);
  private readonly over = new Set<number>();

  /** The answer to a request; the act may have ended before it came. */
  began(id: number, name: string): void {
    if (this.over.has(id) || this.running.value.some((act) => act.id === id)) return;
    this.running.value = [...this.running.value, { id, name, done: 0, text: "" }];
  }

  told(told: ActTold): void {
    if (this.over.has(told.id)) return;
    const known = this.running.value.some((act) => act.id === told.id);
    this.running.value = known
      ? this.running.value.map((act) => (act.id === told.id ? told : act))
      : [...this.running.value, told];
  }

  ended(end: ActEnded): void {
    this.over.add(end.id);
    this.running.value = this.running.value.filter((act) => act.id !== end.id);
    this.last.value = end;
  }

  /** After the server was away: acts died with it, and their ids begin anew. */
  forget(): void {
    this.over.clear();
    this.running.value = [];
  }

  /** Of acts of one name the last that was asked for: it stops those before. */
  lasting(): readonly Act[] {
    return this.running.value.filter(
      (act, at, all) => !all.some((later, place) => place > at && later.name === act.name),
    );
  }

  runs(name: string): boolean {
    return this.running.value.some((act) => act.name === name);
  }
}
