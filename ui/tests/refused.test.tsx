// @vitest-environment happy-dom
import { render } from "preact";
import { expect, test } from "vitest";
import { Refused } from "../state/door";
import { Studio } from "../state/studio";
import { LengthField } from "../view/length-field";
import { StudioContext, useStudio } from "../view/shared";
import { Fake } from "./fake";

const settled = () => new Promise((done) => setTimeout(done, 20));

/** A select, a slider and a typed length, as every page has them. */
function Controls() {
  const studio = useStudio();
  const setup = studio.model.value?.setup;
  if (!setup) return null;
  const most = (typed: string) => studio.edit({ setup: { woods_most: Number(typed) } });
  return (
    <>
      <select value={String(setup.woods_most)} onChange={(event) => most(event.currentTarget.value)}>
        <option value="9">9</option>
        <option value="12">12</option>
      </select>
      <input
        type="range"
        max="20"
        value={setup.woods_most}
        onChange={(event) => most(event.currentTarget.value)}
      />
      <LengthField
        word="Spare"
        um={2000}
        unit="mm"
        within={[0, 9000]}
        take={(um) => studio.edit({ setup: { step: um } })}
      />
    </>
  );
}

async function shown() {
  const fake = new Fake();
  const studio = new Studio(fake);
  await studio.begin();
  fake.edit = () =>
    Promise.reject(new Refused({ what: "piece 1 is set", where: {}, ways: [], stale: false }));
  const room = document.createElement("div");
  document.body.append(room);
  render(
    <StudioContext.Provider value={studio}>
      <Controls />
    </StudioContext.Provider>,
    room,
  );
  const control = <T extends Element>(name: string) => room.querySelector(name) as unknown as T;
  const change = async (field: HTMLInputElement | HTMLSelectElement, value: string) => {
    field.value = value;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.dispatchEvent(new Event("change", { bubbles: true }));
    await settled();
  };
  return {
    studio,
    change,
    select: control<HTMLSelectElement>("select"),
    slider: control<HTMLInputElement>("input[type=range]"),
    field: control<HTMLInputElement>("input:not([type])"),
  };
}

test("after a refusal every control shows what is so", async () => {
  const { studio, change, select, slider, field } = await shown();
  await change(select, "12");
  expect(studio.said.value?.what).toBe("piece 1 is set");
  expect(select.value).toBe("9");
  await change(slider, "15");
  expect(slider.value).toBe("9");
  await change(field, "5");
  expect(field.value).toBe("2");
});

test("what is being typed outlives a refusal elsewhere", async () => {
  const { change, select, field } = await shown();
  field.value = "7";
  field.dispatchEvent(new Event("input", { bubbles: true }));
  await change(select, "12");
  expect([select.value, field.value]).toEqual(["9", "7"]);
});
