// Pointer, wheel and keys on the pattern: moving it, picking, drawing a loop or a saw line.

import { effect } from "@preact/signals";
import type { Model } from "../state/model";
import {
  beside,
  drawnOut,
  junctions,
  laidOn,
  lengthOf,
  nearestOn,
  nearestTo,
  toBorders,
} from "../state/outline";
import type { Picking, Step } from "../state/picking";
import type { Studio } from "../state/studio";
import { edited, holds, onBorder, splitUnder, type Tools, takesWhole } from "../state/tool";
import type { PatternPoint, ScreenPoint, Viewport } from "../state/viewport";
import type { Edit, Point } from "../state/wire";
import { give, pass } from "./brushing";
import { areaAt, attributeAt, Lying } from "./under";

/** A press that moves less is a pick: fingers tremble. */
const STILL_PX = 6;
const WHEEL = 0.0016;
const KEY_MOVE_PX = 60;
const CROSS_PX = 8;
/** What lies so near to a border or a junction is meant to be on it: half a fingertip. */
const ON_PX = 24;
/** Between two looks at what lies under a saw line. */
const LOOK_PX = 3;

const STEPS: Readonly<Record<string, Step>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

export class Hands {
  private svg: SVGSVGElement | null = null;
  private readonly down = new Map<number, ScreenPoint>();
  private pressed: ScreenPoint | null = null;
  private moved = false;
  /** Where what the pointer holds lies beside it: it is moved as far as the pointer is, and not beneath it. */
  private grip: PatternPoint = { x: 0, y: 0 };
  private readonly picking: Picking;

  constructor(
    private readonly studio: Studio,
    private readonly viewport: Viewport,
    private readonly tools: Tools,
  ) {
    this.picking = studio.picking;
  }

  hold(svg: SVGSVGElement): () => void {
    this.svg = svg;
    const end = new AbortController();
    const on = <K extends keyof SVGElementEventMap>(name: K, act: (event: SVGElementEventMap[K]) => void) =>
      svg.addEventListener(name, act, { signal: end.signal, passive: false });
    on("wheel", (event) => this.wheel(event));
    on("pointerdown", (event) => this.press(event));
    on("pointermove", (event) => this.move(event));
    on("pointerup", (event) => this.lift(event));
    on("pointercancel", (event) => this.cancel(event));
    on("dblclick", () => this.finish());
    on("keydown", (event) => this.key(event));
    const forget = effect(() => {
      if (this.tools.keyed.value) this.put(this.begins());
    });
    return () => {
      end.abort();
      forget();
      this.tools.keyed.value = null;
    };
  }

  /** Ends the line being drawn: a loop picks, a saw line splits, the others change borders. */
  finish(): void {
    const line = this.tools.line.peek();
    const tool = this.tools.tool.peek();
    if (tool === "wood") {
      void give(this.studio, this.tools);
      return;
    }
    if (tool === "pick" || this.tools.refused.peek() || line.length < (takesWhole(tool) ? 1 : 2)) return;
    if (tool === "climb" || tool === "section") {
      this.tools.taken.value = { tool, line };
      this.tools.take("pick");
      return;
    }
    const edit = edited(tool, this.meant(line), this.tools.brush.peek());
    if (edit) {
      void this.change(edit);
      return;
    }
    const byKeys = this.tools.cross.peek() !== null;
    if (tool === "lasso") void this.loop(line);
    else void this.split(line, byKeys);
    this.tools.drop();
  }

  /** The line stays on the pattern while it is asked for, and when it was refused. */
  private async change(edit: Edit): Promise<void> {
    const line = this.tools.line.peek();
    this.tools.cross.value = null;
    const done = await this.studio.edit(edit);
    if (this.tools.line.peek() !== line) return;
    if (done) this.tools.drop();
    else this.tools.refused.value = true;
  }

  private at(event: MouseEvent): ScreenPoint {
    const box = this.svg?.getBoundingClientRect();
    return { px: event.clientX - (box?.left ?? 0), py: event.clientY - (box?.top ?? 0) };
  }

  private wheel(event: WheelEvent): void {
    event.preventDefault();
    const pixels = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? event.deltaY * 16 : event.deltaY;
    this.viewport.nearer(Math.exp(-pixels * WHEEL), this.at(event));
  }

  private press(event: PointerEvent): void {
    if (event.button > 1) return;
    this.svg?.focus({ preventScroll: true });
    this.svg?.setPointerCapture(event.pointerId);
    const at = this.at(event);
    this.down.set(event.pointerId, at);
    this.moved = this.down.size > 1;
    this.pressed = at;
    if (this.down.size > 1) this.tools.drop();
    else if (this.tools.tool.peek() !== "pick" && event.button === 0) {
      const place = this.viewport.toPattern(at);
      const hold = this.holdOf(place);
      this.grip = { x: hold.x - place.x, y: hold.y - place.y };
      this.draw(at, at);
    }
  }

  private draw(from: ScreenPoint, at: ScreenPoint): void {
    this.tools.cross.value = null;
    this.studio.hush();
    if (this.tools.tool.peek() === "wood") pass(this.tools, this.inWindow(from), this.inWindow(at));
    else {
      const { x, y } = this.viewport.toPattern(at);
      this.tools.put({ x: x + this.grip.x, y: y + this.grip.y });
    }
  }

  private move(event: PointerEvent): void {
    const before = this.down.get(event.pointerId);
    if (!before) return;
    const at = this.at(event);
    if (this.down.size > 1) {
      this.pinch(event.pointerId, at);
      return;
    }
    const far = this.pressed ? Math.hypot(at.px - this.pressed.px, at.py - this.pressed.py) : 0;
    if (!this.moved && far < STILL_PX) return;
    this.moved = true;
    this.down.set(event.pointerId, at);
    if (this.tools.tool.peek() === "pick" || event.buttons === 4)
      this.viewport.move(at.px - before.px, at.py - before.py);
    else this.draw(before, at);
  }

  private pinch(id: number, at: ScreenPoint): void {
    const before = this.down.get(id);
    const other = [...this.down].find(([key]) => key !== id)?.[1];
    if (!before || !other) return;
    const was = Math.hypot(before.px - other.px, before.py - other.py);
    const is = Math.hypot(at.px - other.px, at.py - other.py);
    this.down.set(id, at);
    if (was > 0 && is > 0) this.viewport.nearer(is / was, other);
    this.viewport.move((at.px - before.px) / 2, (at.py - before.py) / 2);
  }

  private lift(event: PointerEvent): void {
    if (!this.down.delete(event.pointerId)) return;
    if (this.down.size > 0) return;
    if (this.tools.tool.peek() !== "pick") {
      const tool = this.tools.tool.peek();
      // Who cannot drag takes hold by one press and lets go by another.
      const lets = holds(tool) && this.tools.line.peek().length > 1;
      if (this.moved || lets || takesWhole(tool) || (tool === "wood" && event.button === 0)) this.finish();
      return;
    }
    if (!this.moved && event.button === 0) this.pick(event);
  }

  private cancel(event: PointerEvent): void {
    this.down.delete(event.pointerId);
    this.tools.drop();
  }

  private pick(event: PointerEvent): void {
    const finding = attributeAt("data-finding", event.clientX, event.clientY);
    if (finding !== null) {
      this.picking.finding(finding);
      return;
    }
    const id = areaAt(event.clientX, event.clientY);
    const more = event.shiftKey || event.ctrlKey || event.metaKey || this.tools.several.peek();
    if (id === null) {
      if (!more) this.picking.clear();
    } else if (more) this.picking.toggle(id);
    else this.picking.only(id);
  }

  private async loop(line: readonly PatternPoint[]): Promise<void> {
    const add = this.tools.several.peek();
    const found = await this.studio.within(line.map(({ x, y }) => [x, y]));
    this.picking.these(found, add);
    if (found.length === 0) this.studio.tell("No piece has its middle in the loop.");
    this.tools.take("pick");
  }

  private async split(line: readonly PatternPoint[], byKeys: boolean): Promise<void> {
    const lying = new Lying(this.svg, line);
    const picked = this.picking.areas.peek();
    const under = lying.along(line, LOOK_PX / this.viewport.look.peek().scale);
    const area = splitUnder(under, picked.length === 1 ? (picked[0]?.id ?? null) : null);
    if (area === null) {
      this.studio.tell("Draw the saw line across a piece, from one side to the other.");
      return;
    }
    // Fingers stop short of a border, and keys go by steps: their line is drawn on to it.
    const most = byKeys ? this.acrossPanel() : Math.min(this.beside(), lengthOf(line) / 2);
    const drawn = drawnOut(line, (at) => lying.at(at) === area, most);
    const along = drawn.map(({ x, y }): Point => [Math.round(x * 1000), Math.round(y * 1000)]);
    if (await this.studio.edit({ pattern: { split: { area, along } } })) this.tools.take("pick");
  }

  private acrossPanel(): number {
    const panel = this.studio.model.peek()?.setup.panel;
    return panel ? (panel.width + panel.height) / 1000 : 0;
  }

  private inWindow({ px, py }: ScreenPoint): ScreenPoint {
    const box = this.svg?.getBoundingClientRect();
    return { px: px + (box?.left ?? 0), py: py + (box?.top ?? 0) };
  }

  /** What the cross of the keys lies on is drawn to, or brushed. */
  private putCross(cross: PatternPoint): void {
    this.studio.hush();
    if (this.tools.tool.peek() !== "wood") {
      const place = this.holdOf(cross);
      this.tools.cross.value = place;
      this.tools.put(place);
      return;
    }
    const at = this.inWindow(this.viewport.toScreen(cross));
    pass(this.tools, at, at);
  }

  /** The junction, or the place on a border, that is taken hold of there: fingers and crosses lie beside it. */
  private holdOf(at: PatternPoint): PatternPoint {
    const tool = this.tools.tool.peek();
    const model = this.studio.model.peek();
    if (!model || this.held()) return at;
    const most = this.beside();
    if (tool === "junction") return nearestTo(this.joints(model), at, most) ?? at;
    return tool === "pull" ? (nearestOn(model.borders.values(), at, most) ?? at) : at;
  }

  /** A stroke along a border laid onto it, and a new line brought to the borders at its ends. */
  private meant(line: readonly PatternPoint[]): readonly PatternPoint[] {
    const tool = this.tools.tool.peek();
    const model = this.studio.model.peek();
    if (tool === "draw") {
      const lying = new Lying(this.svg, line, this.beside());
      return toBorders(line, (at) => lying.at(at), this.beside());
    }
    if (!model || (tool !== "smooth" && tool !== "straighten")) return line;
    return laidOn(model.borders.values(), line, this.beside());
  }

  /** What lies no farther beside something is meant to be on it, mm. */
  private beside(): number {
    return ON_PX / this.viewport.look.peek().scale;
  }

  /** Whether the line drawn goes on; one that was refused goes away with the next point. */
  private held(): boolean {
    return this.tools.line.peek().length > 0 && !this.tools.refused.peek();
  }

  /** Where the tool in hand can begin, nearest to what is picked or looked at. */
  private begins(): PatternPoint {
    const from = this.middle();
    const tool = this.tools.tool.peek();
    const model = this.studio.model.peek();
    if (!model) return from;
    if (tool === "junction") return nearestTo(this.joints(model), from) ?? from;
    if (onBorder(tool)) return nearestOn(model.borders.values(), from) ?? from;
    return tool === "split" || tool === "draw" ? this.leftOf(from) : from;
  }

  private joints(model: Model): PatternPoint[] {
    return junctions(model.borders.values(), model.setup.panel);
  }

  /** Just beyond the left side of the area that lies there. */
  private leftOf(from: PatternPoint): PatternPoint {
    const lying = new Lying(this.svg, [from]);
    const area = lying.at(from);
    const right = { x: from.x + 1, y: from.y };
    return (
      drawnOut([from, right], (at) => area !== null && lying.at(at) === area, this.acrossPanel())[0] ?? from
    );
  }

  private key(event: KeyboardEvent): void {
    if (event.ctrlKey || event.metaKey) return;
    const step = STEPS[event.key];
    const done = step ? this.arrow(step, event) : this.other(event);
    if (done) event.preventDefault();
  }

  private arrow(step: Step, event: KeyboardEvent): boolean {
    if (event.altKey) this.viewport.move(-step[0] * KEY_MOVE_PX, -step[1] * KEY_MOVE_PX);
    else if (this.tools.tool.peek() !== "pick") this.moveCross(step, event.shiftKey ? 5 : 1);
    else {
      const to = this.picking.walk(step, event.shiftKey || this.tools.several.peek());
      const label = to === null ? null : this.studio.model.peek()?.areas.get(to)?.label;
      if (label) this.viewport.show({ x: label.x_mm, y: label.y_mm });
    }
    return true;
  }

  private moveCross(step: Step, times: number): void {
    const [dx, dy] = step;
    const far = (CROSS_PX * times) / this.viewport.look.peek().scale;
    const from = this.tools.cross.peek() ?? this.tools.line.peek().at(-1) ?? this.begins();
    const model = this.studio.model.peek();
    // A junction is taken from where it is, so the cross goes from one to the next.
    if (model && this.tools.tool.peek() === "junction" && !this.held())
      this.put(beside(this.joints(model), from, step) ?? from);
    else this.put({ x: from.x + dx * far, y: from.y + dy * far });
  }

  /** Lays the cross there, and keeps it in sight. */
  private put(cross: PatternPoint): void {
    this.tools.cross.value = cross;
    this.viewport.show(cross);
  }

  private middle(): PatternPoint {
    const label = this.picking.areas.peek()[0]?.label;
    if (label) return { x: label.x_mm, y: label.y_mm };
    return this.viewport.toPattern({
      px: (this.svg?.clientWidth ?? 0) / 2,
      py: (this.svg?.clientHeight ?? 0) / 2,
    });
  }

  private other(event: KeyboardEvent): boolean {
    const cross = this.tools.cross.peek();
    if (event.key === " " && cross) this.putCross(cross);
    else if (event.key === "Enter" && this.tools.tool.peek() !== "pick") {
      if (cross) this.putCross(cross);
      this.finish();
    } else if (event.key === "Enter" || event.key === " ") this.toggleLead();
    else return false;
    return true;
  }

  private toggleLead(): void {
    const lead = this.picking.lead.peek();
    if (lead === null) this.picking.walk([0, 0]);
    else this.picking.toggle(lead);
  }
}
