import { expect, test } from "vitest";
import { BRUSHES, edited, splitUnder, Tools } from "../state/tool";

test("a line becomes the edit of its tool, in whole µm", () => {
  const line = [
    { x: 1.2345, y: 2 },
    { x: 3, y: 4.0004 },
    { x: 5, y: 6 },
  ];
  expect(edited("draw", line, 8)).toEqual({
    pattern: {
      draw: {
        along: [
          [1235, 2000],
          [3000, 4000],
          [5000, 6000],
        ],
      },
    },
  });
  expect(edited("pull", line, 8)).toEqual({
    pattern: { reshape: { at: [1235, 2000], to: [5000, 6000], width: 8000 } },
  });
  expect(edited("smooth", line.slice(0, 1), 2)).toEqual({
    pattern: { smooth: { along: [[1235, 2000]], by: 2000 } },
  });
  expect(edited("split", line, 8)).toBeNull();
  expect(edited("draw", [], 8)).toBeNull();
});

test("a tool that changes lines shows its cross at once when keys take it, each time anew", () => {
  const tools = new Tools();
  tools.take("junction", true);
  const first = tools.keyed.value;
  expect(first).toEqual({ tool: "junction" });
  tools.take("junction", true);
  expect(tools.keyed.value).not.toBe(first);
  for (const [tool, byKeys] of [
    ["junction", false],
    ["wood", true],
    ["lasso", true],
    ["pick", true],
  ] as const) {
    tools.take(tool, byKeys);
    expect(tools.keyed.value).toBeNull();
  }
});

test("a tool that holds keeps where it took hold, and the last place", () => {
  const tools = new Tools();
  tools.take("pull");
  for (const x of [1, 2, 3]) tools.put({ x, y: 0 });
  expect(tools.line.value).toEqual([
    { x: 1, y: 0 },
    { x: 3, y: 0 },
  ]);
  tools.refused.value = true;
  tools.put({ x: 9, y: 9 });
  expect(tools.line.value).toEqual([{ x: 9, y: 9 }]);
  expect(tools.refused.value).toBe(false);
});

test("the brush stops at its narrowest and widest", () => {
  const tools = new Tools();
  for (let i = 0; i < 40; i++) tools.wider(1);
  expect(tools.brush.value).toBe(BRUSHES.at(-1));
  for (let i = 0; i < 40; i++) tools.wider(-1);
  expect(tools.brush.value).toBe(BRUSHES[0]);
});

test("a saw line splits what lies under it, the picked piece only where it crosses that", () => {
  // It begins in 1, runs over 2 and 3 and ends in 4.
  const under = [1, 1, 2, 2, 3, 3, 3, 4];
  expect(splitUnder(under, null)).toBe(3);
  expect(splitUnder(under, 2)).toBe(2);
  expect(splitUnder(under, 1)).toBe(3);
  expect(splitUnder(under, 9)).toBe(3);
  expect(splitUnder([null, 5, 5, null], 1)).toBe(5);
  // Within one area, or from one into the next, the server says what is wrong.
  expect(splitUnder([6, 6], null)).toBe(6);
  expect(splitUnder([6, 6, 7], 7)).toBe(7);
  expect(splitUnder([null, null], 1)).toBeNull();
});
