// Arrow keys that move what has the focus.

const ARROWS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/** How far an arrow key moves, across and down: by `step`, with Shift ten times that. Null for any other key; an arrow goes no further. */
export function arrowed(event: KeyboardEvent, step: number): readonly [number, number] | null {
  const way = ARROWS[event.key];
  if (!way) return null;
  event.preventDefault();
  event.stopPropagation();
  const by = event.shiftKey ? 10 * step : step;
  return [way[0] * by, way[1] * by];
}
