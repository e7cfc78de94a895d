// A wood brushed over the pattern: each piece that is passed takes it, all in one step.

import type { Studio } from "../state/studio";
import type { Tools } from "../state/tool";
import type { ScreenPoint } from "../state/viewport";
import type { Edit, Piece } from "../state/wire";
import { areasAlong } from "./under";
import { begunSaid, planned, woodName } from "./words";

/** The areas under a straight stretch of the page, in window pixels. */
export function pass(tools: Tools, from: ScreenPoint, to: ScreenPoint): void {
  for (const area of areasAlong(from, to)) if (area !== null) tools.pass(area);
}

/** Gives the brush's wood to the pieces passed, or to those picked when it passed none. */
export async function give(studio: Studio, tools: Tools): Promise<void> {
  const wood = tools.wood.peek();
  const model = studio.model.peek();
  if (!model) return;
  const passed = tools.passed.peek();
  const areas = passed.length > 0 ? passed : studio.picking.areas.peek().map((area) => area.id);
  const meant = [...model.pieces.values()].filter((piece) => areas.includes(piece.area));
  const free = meant.filter((piece) => planned(piece));
  if (wood === null) studio.tell("Take a wood up first: choose it for the brush.");
  else if (meant.length === 0) studio.tell("There is no piece under the brush.");
  else if (free.length > 0) await studio.edit(...free.map((piece) => chosen(piece, wood)));
  if (tools.passed.peek() === passed) tools.drop();
  const begun = begunSaid(meant);
  if (wood !== null && begun !== null)
    studio.tell(`${begun} already: ${woodName(wood, model)} can’t be given there any more.`);
}

function chosen(piece: Piece, wood: string): Edit {
  return { wood: { choose: { whom: { piece: piece.number }, wood } } };
}
