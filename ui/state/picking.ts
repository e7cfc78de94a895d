// Which areas the maker has picked. The last one picked leads: arrows walk from it.

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import type { Model } from "./model";
import type { Area, Border, Piece } from "./wire";

/** A step of an arrow key on the page: y points down. */
export type Step = readonly [dx: number, dy: number];

const SIDEWAYS_COSTS = 2;

export class Picking {
  readonly ids: Signal<ReadonlySet<number>> = signal(new Set());
  readonly lead: Signal<number | null> = signal(null);
  /** The finding that is open, by its key. */
  readonly told: Signal<string | null> = signal(null);
  readonly areas: ReadonlySignal<readonly Area[]>;
  readonly pieces: ReadonlySignal<readonly Piece[]>;

  constructor(private readonly model: ReadonlySignal<Model | null>) {
    this.areas = computed(() => kept(this.ids.value, model.value?.areas));
    this.pieces = computed(() => {
      const pieces = model.value?.pieces;
      return this.areas.value.flatMap((area) =>
        area.number === null ? [] : (pieces?.get(area.number) ?? []),
      );
    });
  }

  only(id: number): void {
    this.these([id]);
  }

  these(ids: Iterable<number>, add = false): void {
    const list = [...ids];
    this.ids.value = new Set(add ? [...this.ids.peek(), ...list] : list);
    this.lead.value = list.at(-1) ?? (add ? this.lead.peek() : null);
  }

  /** Adds an area, or takes it out again. */
  toggle(id: number): void {
    const ids = new Set(this.ids.peek());
    if (!ids.delete(id)) ids.add(id);
    this.ids.value = ids;
    this.lead.value = id;
  }

  clear(): void {
    this.these([]);
    this.told.value = null;
  }

  /** Picks the areas that a finding speaks of, and keeps it open. */
  finding(key: string): void {
    const found = this.model.peek()?.findings?.find((each) => each.key === key);
    if (!found) return;
    this.these(found.areas);
    this.told.value = key;
  }

  /** Picks the piece whose number comes next, or the one before; from the last it goes on to the first. */
  next(by: 1 | -1): number | null {
    const model = this.model.peek();
    const pieces = [...(model?.pieces.values() ?? [])].sort((a, b) => a.number - b.number);
    const lead = model?.areas.get(this.lead.peek() ?? -1)?.number;
    const at = pieces.findIndex((piece) => piece.number === lead);
    const to = pieces.at(at < 0 ? (by > 0 ? 0 : -1) : (at + by) % pieces.length);
    if (!to) return null;
    this.only(to.area);
    return to.area;
  }

  /** Picks the area beside the leading one that lies furthest along the step; the first area when none leads. */
  walk(step: Step, add = false): number | null {
    const model = this.model.peek();
    if (!model) return null;
    const lead = this.lead.peek();
    const from = lead === null ? undefined : model.areas.get(lead);
    const to = from
      ? beside(model, from, step)
      : [...model.areas.values()].find((area) => area.number !== null);
    if (!to) return null;
    this.these([to.id], add);
    return to.id;
  }
}

function kept(ids: ReadonlySet<number>, areas: ReadonlyMap<number, Area> | undefined): Area[] {
  return [...ids].flatMap((id) => areas?.get(id) ?? []);
}

function beside(model: Model, from: Area, step: Step): Area | undefined {
  const near = neighbours(model.borders.values(), from.id).flatMap((id) => model.areas.get(id) ?? []);
  const ranked = near
    .map((area) => ({ area, cost: cost(from, area, step) }))
    .filter((each) => each.cost !== null)
    .sort((a, b) => (a.cost ?? 0) - (b.cost ?? 0) || a.area.id - b.area.id);
  return ranked[0]?.area;
}

export function neighbours(borders: Iterable<Border>, id: number): number[] {
  const found = new Set<number>();
  for (const { left, right } of borders) {
    if (left === id && right !== null) found.add(right);
    if (right === id && left !== null) found.add(left);
  }
  found.delete(id);
  return [...found];
}

/** How far off an area lies, what is off to the side counted double; null if it lies behind. */
function cost(from: Area, to: Area, [dx, dy]: Step): number | null {
  if (!from.label || !to.label || to.becomes === "ground") return null;
  const x = to.label.x_mm - from.label.x_mm;
  const y = to.label.y_mm - from.label.y_mm;
  const along = x * dx + y * dy;
  const aside = Math.abs(x * dy) + Math.abs(y * dx);
  return along <= 0 ? null : along + SIDEWAYS_COSTS * aside;
}
