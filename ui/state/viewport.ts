// Where the maker looks at the pattern: a scale and a shift between the screen and the pattern.

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";

/** A point on the stage, pixels from its upper left. */
export type ScreenPoint = { readonly px: number; readonly py: number };
/** A point on the pattern, mm. */
export type PatternPoint = { readonly x: number; readonly y: number };
export interface Size {
  readonly width: number;
  readonly height: number;
}
interface Look {
  /** Pixels a mm. */
  readonly scale: number;
  readonly left: number;
  readonly top: number;
}

const MARGIN_PX = 20;
/** A piece of 5 mm is then as large as a fingertip's mark. */
const NEAR_PX_PER_MM = 5;
const NEAREST_PX_A_MM = 80;
/** Farther than this share of the whole panel nothing more is seen. */
const FARTHEST = 0.5;

export class Viewport {
  readonly look: Signal<Look> = signal({ scale: 1, left: 0, top: 0 });
  readonly transform: ReadonlySignal<string>;
  /** The scale in steps of a half octave, for what need not follow every turn of the wheel. */
  readonly step: ReadonlySignal<number>;
  private stage: Size = { width: 0, height: 0 };
  private panel: Size = { width: 1, height: 1 };
  private touched = false;

  constructor() {
    this.transform = computed(() => {
      const { scale, left, top } = this.look.value;
      return `translate(${left.toFixed(2)} ${top.toFixed(2)}) scale(${scale.toFixed(5)})`;
    });
    this.step = computed(() => 2 ** (Math.round(Math.log2(this.look.value.scale) * 2) / 2));
  }

  /** Sizes of stage (pixels) and panel (mm); shows the whole until the maker has moved. */
  sized(stage: Size, panel: Size): void {
    const other = panel.width !== this.panel.width || panel.height !== this.panel.height;
    this.stage = stage;
    this.panel = panel;
    if (other) this.touched = false;
    if (!this.touched) this.whole();
  }

  whole(): void {
    const scale = this.fit();
    this.touched = false;
    this.look.value = {
      scale,
      left: (this.stage.width - this.panel.width * scale) / 2,
      top: (this.stage.height - this.panel.height * scale) / 2,
    };
  }

  /** Nearer by a factor, the point under the pointer staying where it is. */
  nearer(factor: number, about: ScreenPoint = { px: this.stage.width / 2, py: this.stage.height / 2 }): void {
    const { scale, left, top } = this.look.peek();
    const next = Math.min(NEAREST_PX_A_MM, Math.max(this.fit() * FARTHEST, scale * factor));
    const by = next / scale;
    this.touched = true;
    this.look.value = {
      scale: next,
      left: about.px - (about.px - left) * by,
      top: about.py - (about.py - top) * by,
    };
  }

  move(dx: number, dy: number): void {
    const { scale, left, top } = this.look.peek();
    this.touched = true;
    this.look.value = { scale, left: left + dx, top: top + dy };
  }

  /** Brings a place into the middle if it is out of sight. */
  show(at: PatternPoint): void {
    const { px, py } = this.toScreen(at);
    const { width, height } = this.stage;
    const seen = px > MARGIN_PX && py > MARGIN_PX && px < width - MARGIN_PX && py < height - MARGIN_PX;
    if (!seen) this.move(width / 2 - px, height / 2 - py);
  }

  /** Brings a place into view, near enough to see a piece of a few millimetres. */
  nearTo(at: PatternPoint): void {
    this.show(at);
    const by = NEAR_PX_PER_MM / this.look.peek().scale;
    if (by > 1) this.nearer(by, this.toScreen(at));
    this.show(at);
  }

  toPattern({ px, py }: ScreenPoint): PatternPoint {
    const { scale, left, top } = this.look.peek();
    return { x: (px - left) / scale, y: (py - top) / scale };
  }

  toScreen({ x, y }: PatternPoint): ScreenPoint {
    const { scale, left, top } = this.look.peek();
    return { px: x * scale + left, py: y * scale + top };
  }

  private fit(): number {
    const { width, height } = this.stage;
    const scale = Math.min(
      (width - 2 * MARGIN_PX) / this.panel.width,
      (height - 2 * MARGIN_PX) / this.panel.height,
    );
    return Number.isFinite(scale) && scale > 0 ? scale : 1;
  }
}
