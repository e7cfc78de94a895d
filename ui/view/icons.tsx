// Icons of our own, drawn on a grid of 24 with one line width.

const LINES = {
  undo: "M9 7 4 12l5 5M4 12h9a6 6 0 0 1 6 6",
  redo: "m15 7 5 5-5 5M20 12h-9a6 6 0 0 0-6 6",
  turn_left: "M4 9h10a6 6 0 1 1-6 6M8 5 4 9l4 4",
  turn_right: "M20 9H10a6 6 0 1 0 6 6M16 5l4 4-4 4",
  crop: "M7 2v15h15M2 7h15v15",
  sun: "M12 8a4 4 0 1 0 0 8 4 4 0 0 0 0-8ZM12 2v3M12 19v3M2 12h3M19 12h3M5 5l2 2M17 17l2 2M19 5l-2 2M7 17l-2 2",
  moon: "M20 14.5A8.5 8.5 0 0 1 9.5 4 8.5 8.5 0 1 0 20 14.5Z",
  half: "M12 3a9 9 0 1 0 0 18 9 9 0 0 0 0-18ZM12 3v18M12 8h7M12 12h9M12 16h7",
  help: "M12 3a9 9 0 1 0 0 18 9 9 0 0 0 0-18ZM9.5 9.5a2.5 2.5 0 1 1 3.4 2.3c-.6.3-.9.8-.9 1.7M12 17v.01",
  close: "M6 6l12 12M18 6 6 18",
  warn: "M12 4 2.5 20h19L12 4ZM12 10v5M12 17.5v.01",
  info: "M12 3a9 9 0 1 0 0 18 9 9 0 0 0 0-18ZM12 11v5M12 8v.01",
  cut: "M3 9c5 0 5 6 9 6s4-6 9-6M12 3v4M12 18v3",
  pen: "M4 20l1-5L16 4l4 4L9 19l-5 1ZM13.500 6.500l4 4",
  brush: "M20 3 11 12M13 14l-3-3M10 11c-3 0-4 2-4 4 0 2-1.500 3-3 3 1 2 3 3 5 3 3.500 0 5-2.500 5-5.500",
  grain: "M4 6c6-3 10 3 16 0M4 12c6-3 10 3 16 0M4 18c6-3 10 3 16 0",
  pull: "M3 18c4 0 5-11 9-11s5 11 9 11M12 2v9M9 5l3-3 3 3",
  junction: "M12 12 4 5M12 12l8-5M12 12v9M12 9.500a2.500 2.500 0 1 0 0 5 2.500 2.500 0 0 0 0-5Z",
  smooth: "M3 8l3-3 3 4 3-4 3 4 3-4 3 3M3 17c6-4 12-4 18 0",
  straight: "M4 19 20 5M4 14v5h5M20 10V5h-5",
  merge: "M4 5h7v14H4zM13 5h7v14h-7M9 12h7M13.500 9.500 16 12l-2.500 2.500",
  open: "M4 4h16v16H4zM8.500 8.500h7v7h-7z",
  shut: "M4 4h16v16H4zM4 12h16M12 4v16",
  drop: "M4 4h16v16H4zM5 19 19 5",
  hold: "M7 11V8a5 5 0 0 1 10 0v3M5 11h14v9H5zM12 15v2",
  lasso:
    "M12 4c5 0 9 2.500 9 6s-4 6-9 6c-1.500 0-3-.2-4.200-.6M12 4c-5 0-9 2.500-9 6 0 2 1.300 3.700 3.400 4.800M8 17.500a2 2 0 1 1-3.500-1.300c.6-.7 1.600-.9 2.400-.4.900.5 1.400 1.400 1.100 2.700-.3 1.500-1.500 2.500-3 3",
  hand: "M5 3l5.500 16 2.500-6.500L19.500 10 5 3Z",
  tag: "M4 4h8l8 8-8 8-8-8zM8.500 8.500v.01",
  plus: "M12 5v14M5 12h14",
  minus: "M5 12h14",
  fit: "M4 9V4h5M20 9V4h-5M4 15v5h5M20 15v5h-5",
  picture: "M4 4h16v16H4zM4 16l5-5 5 5 3-3 3 3M15.500 8.500v.01",
  pattern: "M4 4h16v16H4zM4 10c5-2 6 4 10 2s4-4 6-3M10 4c2 3-1 5 0 7M13 12.500c-1 3 1 5 0 7.500",
  wood: "M5 3h14v18H5zM9 3c3 6-3 12 0 18M14 3c2 6-1 12 0 18",
  relief: "M3 20h18M5 20v-5h4v5M10 20V9h4v11M15 20V4h4v16",
  stock: "M3 5h18v4H3zM3 11h13v4H3zM3 17h16v3H3z",
  view: "M2.500 12S6 5.500 12 5.500 21.500 12 21.500 12 18 18.500 12 18.500 2.500 12 2.500 12ZM12 9a3 3 0 1 0 0 6 3 3 0 0 0 0-6Z",
  pin: "M9 3h6l-1 6 3.500 4h-11L10 9 9 3ZM12 13v8",
  bin: "M4 7h16M9 7V4h6v3M6 7l1 13h10l1-13M10 11v5M14 11v5",
  down: "M12 4v11M7 11l5 5 5-5M4 20h16",
  up: "M6 15l6-6 6 6",
  fold: "M6 9l6 6 6-6",
  stop: "M7 7h10v10H7z",
  check: "M5 12.500 10 17.500 19.500 7",
  desk: "M3 9h18M5 9v11M19 9v11M5 14h14M8 9V5h5v4",
} as const;

export type IconName = keyof typeof LINES;

export function Icon({ name }: { name: IconName }) {
  return (
    <svg class="icon" viewBox="0 0 24 24" aria-hidden="true">
      <path d={LINES[name]} />
    </svg>
  );
}
