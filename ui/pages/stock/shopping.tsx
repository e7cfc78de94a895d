// What is still to be bought: what is carried home, and what is sawn from it.

import { lengthSaid, wideSaid } from "../../state/length";
import type { Model } from "../../state/model";
import type { MissingSeen } from "../../state/wire";
import { Section } from "../../view/section";
import { pieces, woodName } from "../../view/words";

const MM2_PER_M2 = 1e6;

export function Shopping({ model }: { model: Model }) {
  const { missing } = model;
  if (missing.length === 0) return null;
  return (
    <Section title="To buy" aside={inAll(missing)}>
      <ul class="list">
        {missing.map((one) => (
          <li key={`${one.wood} ${one.thickness}`} class="told plain">
            <strong>{woodName(one.wood, model)}</strong>, {lengthSaid(one.thickness, model.setup.unit)}
            <br />
            <span class="soft small">
              {boardsOf(one, model)}
              <br />
              {piecesOf(one, model)}
            </span>
          </li>
        ))}
      </ul>
    </Section>
  );
}

const boards = (count: number) => (count === 1 ? "1 board" : `${count} boards`);
const feet = (sum: number) => `${sum.toFixed(1)} board feet`;
const price = (hundredths: number) => `about ${(hundredths / 100).toFixed(2)}`;

/** What a list comes to; board feet and a price of those that have them. */
function inAll(missing: readonly MissingSeen[]): string {
  const sum = (of: (one: MissingSeen) => number | null) =>
    missing.reduce((before, one) => before + (of(one) ?? 0), 0);
  const [bought, paid] = [sum((one) => one.board_feet), sum((one) => one.price)];
  return [boards(sum((one) => one.count)), bought > 0 ? feet(bought) : "", paid > 0 ? price(paid) : ""]
    .filter((words) => words !== "")
    .join(", ");
}

/** What is carried home. */
function boardsOf(one: MissingSeen, { setup }: Model): string {
  const said = (um: number) => lengthSaid(um, setup.unit);
  return [
    `${boards(one.count)}, ${said(one.length)} by ${said(one.width)}`,
    one.rough === null ? "to be glued up" : `rough ${one.rough}`,
    one.board_feet === null ? "" : feet(one.board_feet),
    one.price === null ? "" : price(one.price),
  ]
    .filter((words) => words !== "")
    .join(", ");
}

/** What is sawn from it. */
function piecesOf(one: MissingSeen, { setup }: Model): string {
  const area = wideSaid(one.buy_m2 * MM2_PER_M2, setup.unit);
  const extra = setup.laying.allowance;
  return `for ${pieces(one.pieces.length)}, ${area}${extra > 0 ? ` with ${extra} % to spare` : ""}`;
}
