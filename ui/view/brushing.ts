// A wood brushed over the pattern: each piece that is passed takes it, all in one step.

import type { Studio } from "../state/studio";
import type { Tools } from "../state/tool";
import type { ScreenPoint } from "../state/viewport";
import type { Edit, Piece } from "../state/wire";
import { areaAt } from "./under";
import { woodName } from "./words";

/** A fast hand leaves wide gaps between two events: the pattern is looked at every so many pixels between. */
const LOOK_PX = 3;

/** The areas under a straight stretch of the page, in window pixels. */
export function pass(tools: Tools, from: ScreenPoint, to: ScreenPoint): void {
  const steps = Math.max(1, Math.ceil(Math.hypot(to.px - from.px, to.py - from.py) / LOOK_PX));
  for (let at = 0; at <= steps; at++) {
    const share = at / steps;
    const area = areaAt(from.px + share * (to.px - from.px), from.py + share * (to.py - from.py));
    if (area !== null) tools.pass(area);
  }
}

/** Gives the brush's wood to the pieces passed, or to those picked when it passed none. */
export async function give(studio: Studio, tools: Tools): Promise<void> {
  const wood = tools.wood.peek();
  const model = studio.model.peek();
  if (!model) return;
  const passed = tools.passed.peek();
  const areas = passed.length > 0 ? passed : studio.picking.areas.peek().map((area) => area.id);
  const meant = [...model.pieces.values()].filter((piece) => areas.includes(piece.area));
  const free = meant.filter((piece) => piece.state === "planned");
  if (wood === null) studio.tell("Take a wood up first: choose it for the brush.");
  else if (meant.length === 0) studio.tell("There is no piece under the brush.");
  else if (free.length > 0) await studio.edit(...free.map((piece) => chosen(piece, wood)));
  if (tools.passed.peek() === passed) tools.drop();
  const begun = meant.filter((piece) => piece.state !== "planned");
  if (wood !== null && begun.length > 0)
    studio.tell(`${begunSaid(begun)}: ${woodName(wood, model)} can’t be given there any more.`);
}

function chosen(piece: Piece, wood: string): Edit {
  return { wood: { choose: { whom: { piece: piece.number }, wood } } };
}

function begunSaid(begun: readonly Piece[]): string {
  return begun.map((piece) => `Piece ${piece.number} is ${piece.state} already`).join(", ");
}
