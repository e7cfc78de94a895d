import { signal } from "@preact/signals";
import { expect, test } from "vitest";
import type { Model } from "../state/model";
import { Nudging } from "../state/nudging";
import type { Edit, Lie, Lying } from "../state/wire";

const START: Lie = { board: 1, turn: 0, at: [0, 0] };
const left = (lie: Lie): Lie => ({ ...lie, at: [lie.at[0] - 1000, lie.at[1]] });

/** A server that answers when it is told to. */
function slow() {
  const lying = (lie: Lie) => ({ piece: 7, lie }) as Lying;
  const model = signal({ lies: new Map([[7, lying(START)]]) } as unknown as Model | null);
  const sent: Lie[] = [];
  const open: ((kept: boolean) => void)[] = [];
  const edit = (edit: Edit) => {
    const lie = (edit as { stock: { pin: { lie: Lie } } }).stock.pin.lie;
    sent.push(lie);
    return new Promise<boolean>((answer) =>
      open.push((kept) => {
        if (kept) model.value = { lies: new Map([[7, lying(lie)]]) } as unknown as Model;
        answer(kept);
      }),
    );
  };
  const answer = async (kept = true) => {
    open.shift()?.(kept);
    await new Promise((rested) => setTimeout(rested));
  };
  return { nudging: new Nudging({ model, edit }), model, sent, answer };
}

test("presses add up though the server has answered none of them", async () => {
  const { nudging, model, sent, answer } = slow();
  for (let press = 0; press < 10; press += 1) void nudging.press(7, left);
  expect(sent).toEqual([{ ...START, at: [-1000, 0] }]);
  await answer();
  expect(sent.at(-1)).toEqual({ ...START, at: [-10_000, 0] });
  await answer();
  expect(sent.length).toBe(2);
  expect(model.value?.lies.get(7)?.lie.at).toEqual([-10_000, 0]);
  void nudging.press(7, left);
  expect(sent.at(-1)?.at).toEqual([-11_000, 0]);
});

test("after a refusal presses start from where the piece lies", async () => {
  const { nudging, sent, answer } = slow();
  for (let press = 0; press < 3; press += 1) void nudging.press(7, left);
  await answer(false);
  expect(sent.length).toBe(1);
  void nudging.press(7, left);
  expect(sent.at(-1)?.at).toEqual([-1000, 0]);
});

test("a piece that lies nowhere is not moved", async () => {
  const { nudging, sent } = slow();
  await nudging.press(8, left);
  expect(sent).toEqual([]);
});
