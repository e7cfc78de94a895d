// The picture turned and cropped, as the maker sets it: what is seen, in shares of the picture as it lies after its quarter turns.

import { batch, computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import type { Framing } from "./wire";

/** Left, top, width and height. */
export interface Box {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** Which edges a handle moves: -1 the left or upper one, 1 the right or lower one, 0 none; both 0 moves the whole. */
export type Hold = readonly [across: -1 | 0 | 1, down: -1 | 0 | 1];

const WHOLE: Box = { left: 0, top: 0, width: 1, height: 1 };
const QUARTER = 9000;
const MILLION = 1_000_000;
/** A crop is at least this share of the picture wide and high. */
const LEAST = 0.04;
/** Halvings that tell how far a handle may go: the last is a millionth of the way. */
const HALVINGS = 20;

export class FramedPicture {
  /** The quarter turns and what levels the picture, hundredths of a degree clockwise. */
  readonly quarters: Signal<number>;
  readonly level: Signal<number>;
  /** What is seen before it shrinks into the picture that is levelled. */
  private readonly wanted: Signal<Box>;

  /** A picture of so many pixels; under a pattern what is seen keeps the shape of its panel, width by height. */
  constructor(
    readonly width: number,
    readonly height: number,
    framing: Framing | undefined,
    readonly shape: number | null,
  ) {
    const turn = framing?.turn ?? 0;
    const quarters = Math.floor((turn + QUARTER / 2) / QUARTER);
    const of = (share: number) => share / MILLION;
    const crop = framing?.crop;
    const box = crop && {
      left: of(crop.left),
      top: of(crop.top),
      width: of(crop.width),
      height: of(crop.height),
    };
    this.quarters = signal(((quarters % 4) + 4) % 4);
    this.level = signal(turn - quarters * QUARTER);
    this.wanted = signal(box ?? WHOLE);
  }

  /** Sides of the picture as it lies, pixels. */
  readonly lying: ReadonlySignal<readonly [number, number]> = computed(() =>
    this.quarters.value % 2 === 0 ? [this.width, this.height] : [this.height, this.width],
  );

  /** What is seen. */
  readonly box: ReadonlySignal<Box> = computed(() => this.fitted(this.wanted.value));

  /** As the job keeps it; null for the whole picture as it is. */
  get framing(): Framing | null {
    const { left, top, width, height } = this.box.peek();
    const quarters = this.quarters.peek();
    const turn = (quarters > 2 ? quarters - 4 : quarters) * QUARTER + this.level.peek();
    const of = (share: number) => Math.round(share * MILLION);
    const crop = { left: of(left), top: of(top), width: of(width), height: of(height) };
    const whole = turn === 0 && !crop.left && !crop.top && crop.width === MILLION && crop.height === MILLION;
    return whole ? null : { turn, crop };
  }

  /** Turns by a quarter; what was seen stays seen, as far as the panel's shape lets it. */
  quarter(clockwise: boolean): void {
    const { left, top, width, height } = this.wanted.peek();
    const turned = clockwise
      ? { left: 1 - top - height, top: left, width: height, height: width }
      : { left: top, top: 1 - left - width, width: height, height: width };
    batch(() => {
      this.quarters.value = (this.quarters.peek() + (clockwise ? 1 : 3)) % 4;
      this.wanted.value = this.shaped(turned);
    });
  }

  /** Levels the picture by a line that shall lie level or upright, as drawn over it on the page. */
  levelBy(across: number, down: number): void {
    const slope = (Math.atan2(down, across) * 180) / Math.PI;
    const off = slope - 90 * Math.round(slope / 90);
    this.tilt(this.level.peek() - Math.round(off * 100));
  }

  tilt(level: number): void {
    this.level.value = Math.max(-QUARTER / 2, Math.min(QUARTER / 2 - 1, level));
  }

  /** The whole picture, upright; under a pattern the most of it that has its shape. */
  whole(): void {
    batch(() => {
      this.quarters.value = 0;
      this.level.value = 0;
      this.wanted.value = this.shaped(WHOLE);
    });
  }

  /** Moves what a handle holds by shares of the lying picture, as far as the picture reaches. */
  move(hold: Hold, across: number, down: number): void {
    const from = this.box.peek();
    if (hold[0] === 0 && hold[1] === 0) {
      // One way after the other, so that what stops one lets the other slide along the edge.
      const beside = this.farthest(from, (share) => ({ ...from, left: from.left + share * across }));
      this.wanted.value = this.farthest(beside, (share) => ({ ...beside, top: from.top + share * down }));
      return;
    }
    const [x, y] = this.shape === null ? [across, down] : this.along(hold, across, down, from);
    this.wanted.value = this.farthest(from, (share) => pulled(from, hold, share * x, share * y));
  }

  /** A move of a corner that keeps the shape. */
  private along(hold: Hold, across: number, down: number, from: Box): [number, number] {
    const grows = (across * hold[0]) / from.width + (down * hold[1]) / from.height;
    const by = grows / (Math.abs(hold[0]) + Math.abs(hold[1]));
    return [by * from.width * hold[0], by * from.height * hold[1]];
  }

  /** The box as far along a way as may be. */
  private farthest(from: Box, at: (share: number) => Box): Box {
    if (this.may(at(1))) return at(1);
    let [least, most] = [0, 1];
    for (let halving = 0; halving < HALVINGS; halving += 1) {
      const middle = (least + most) / 2;
      if (this.may(at(middle))) least = middle;
      else most = middle;
    }
    return least === 0 ? from : at(least);
  }

  private may(box: Box): boolean {
    if (box.width < LEAST || box.height < LEAST) return false;
    // Under a pattern the picture may be moved off its edge, as long as its middle shows.
    return this.shape === null
      ? this.room(box) >= 1
      : box.width <= 2 && this.room({ ...box, ...POINT(box) }) > 0;
  }

  /** The most of a box, about its middle, that has the panel's shape. */
  private shaped(box: Box): Box {
    if (this.shape === null) return box;
    const [width, height] = this.lying.peek();
    const wider = (box.width * width) / (box.height * height) / this.shape;
    return about(box, Math.min(1, 1 / wider), Math.min(1, wider));
  }

  /** The most of a box, about its middle, that lies on the levelled picture; under a pattern the maker says it all. */
  private fitted(box: Box): Box {
    if (this.shape !== null) return box;
    const room = Math.min(1, this.room(box));
    return about(box, room, room);
  }

  /** By how much a box may grow about its middle and still lie on the picture; 0 where its middle does not. */
  private room(box: Box): number {
    const [width, height] = this.lying.value;
    const angle = (this.level.value / 100) * (Math.PI / 180);
    const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
    // About the picture's middle, turned back.
    const back = (x: number, y: number) => [x * cos + y * sin, y * cos - x * sin] as const;
    const middle = back((box.left + box.width / 2 - 0.5) * width, (box.top + box.height / 2 - 0.5) * height);
    const sides = [width / 2, height / 2] as const;
    if (Math.abs(middle[0]) > sides[0] || Math.abs(middle[1]) > sides[1]) return 0;
    const corners = [
      [1, 1],
      [1, -1],
      [-1, 1],
      [-1, -1],
    ].map(([x, y]) => back(((x ?? 0) * box.width * width) / 2, ((y ?? 0) * box.height * height) / 2));
    const rooms = corners.flatMap((way) =>
      ([0, 1] as const).map((at) => (sides[at] - Math.sign(way[at]) * middle[at]) / Math.abs(way[at])),
    );
    return Math.min(...rooms) + ROUNDING;
  }
}

/** What is lost in the tenth place is no reason to hold a handle. */
const ROUNDING = 1e-9;

/** A box of no size at the middle of another. */
const POINT = (box: Box) => ({
  left: box.left + box.width / 2,
  top: box.top + box.height / 2,
  width: 1e-6,
  height: 1e-6,
});

function about(box: Box, across: number, down: number): Box {
  const [width, height] = [box.width * across, box.height * down];
  return {
    left: box.left + (box.width - width) / 2,
    top: box.top + (box.height - height) / 2,
    width,
    height,
  };
}

function pulled(box: Box, [across, down]: Hold, x: number, y: number): Box {
  const side = (hold: number, from: number, length: number, by: number) =>
    hold < 0 ? [from + by, length - by] : [from, length + (hold > 0 ? by : 0)];
  const [left = 0, width = 0] = side(across, box.left, box.width, x);
  const [top = 0, height = 0] = side(down, box.top, box.height, y);
  return { left, top, width, height };
}
