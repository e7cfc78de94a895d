// @vitest-environment happy-dom
import { render } from "preact";
import { expect, test } from "vitest";
import { Studio } from "../state/studio";
import { LengthField } from "../view/length-field";
import { StudioContext } from "../view/shared";
import { Fake } from "./fake";

const rendered = () => new Promise((done) => setTimeout(done, 20));

test("a length typed letter by letter is taken whole", async () => {
  const taken: number[] = [];
  const room = document.createElement("div");
  document.body.append(room);
  render(
    <StudioContext.Provider value={new Studio(new Fake())}>
      <LengthField word="Spare" um={2000} unit="mm" within={[0, 9000]} take={(um) => taken.push(um)} />
    </StudioContext.Provider>,
    room,
  );
  const field = room.querySelector("input") as HTMLInputElement;
  for (const text of ["6", "6.", "6.5"]) {
    field.value = text;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    await rendered();
    expect(field.value).toBe(text);
  }
  field.dispatchEvent(new Event("change", { bubbles: true }));
  await rendered();
  expect(taken).toEqual([6500]);
  expect(field.value).toBe("2");
});
