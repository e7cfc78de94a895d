// What can be done to the picked areas: as a button and as a key, from one list.

import { signal } from "@preact/signals";
import type { Studio } from "../state/studio";
import type { Area, Border, Edit } from "../state/wire";
import type { IconName } from "./icons";
import { begunSaid } from "./words";

export interface Action {
  readonly key: string;
  readonly word: string;
  readonly icon: IconName;
  /** Why it cannot be done now; null when it can. */
  readonly missing: (picked: readonly Area[], borders: Iterable<Border>) => string | null;
  /** Whether what is cut or set already cannot have it done. */
  readonly changes: boolean;
  readonly edits: (picked: readonly Area[]) => Edit[];
}

const pieces = (picked: readonly Area[]) => picked.filter((area) => area.becomes === "piece");
const others = (picked: readonly Area[]) => picked.filter((area) => area.becomes !== "piece");

/** Whether each can be reached from the first over borders that they share. */
function touching(picked: readonly Area[], borders: Iterable<Border>): boolean {
  const ids = new Set(picked.map((area) => area.id));
  const reached = new Set([...ids].slice(0, 1));
  const pairs = [...borders].flatMap(({ left, right }) =>
    left !== null && right !== null && ids.has(left) && ids.has(right) ? [[left, right] as const] : [],
  );
  for (let grown = true; grown; ) {
    grown = false;
    for (const [left, right] of pairs) {
      if (reached.has(left) === reached.has(right)) continue;
      reached.add(left).add(right);
      grown = true;
    }
  }
  return reached.size === ids.size;
}

export const ACTIONS: readonly Action[] = [
  {
    key: "m",
    word: "Merge",
    changes: true,
    icon: "merge",
    missing: (picked, borders) =>
      picked.length < 2 || !touching(picked, borders) ? "Pick two or more that touch" : null,
    edits: (picked) => [{ pattern: { merge: picked.map((area) => area.id) } }],
  },
  {
    key: "o",
    word: "Open",
    changes: true,
    icon: "open",
    missing: (picked) => (pieces(picked).length === 0 ? "Pick pieces: the backer will show there" : null),
    edits: (picked) => pieces(picked).map((area) => ({ pattern: { open: area.id } })),
  },
  {
    key: "c",
    word: "Close",
    changes: false,
    icon: "shut",
    missing: (picked) => (others(picked).length === 0 ? "Pick a shadow or ground: it becomes a piece" : null),
    edits: (picked) => others(picked).map((area) => ({ pattern: { close: area.id } })),
  },
  {
    key: "g",
    word: "To ground",
    changes: true,
    icon: "drop",
    missing: (picked) =>
      picked.some((area) => area.becomes !== "ground") ? null : "Pick pieces: nothing will be sawn there",
    edits: (picked) =>
      picked.filter((area) => area.becomes !== "ground").map((area) => ({ pattern: { drop: area.id } })),
  },
  {
    key: "h",
    word: "Hold",
    changes: false,
    icon: "hold",
    missing: (picked) => {
      if (picked.length === 0) return "Pick what must stay as it lies when the pattern is traced again";
      const loose = picked.some((area) => area.stays !== "settled");
      return loose ? null : "What is settled or begun stays as it lies in any case";
    },
    edits: (picked) => {
      const loose = picked.filter((area) => area.stays === null);
      const drawn = picked.filter((area) => area.stays === "drawn");
      return loose.length > 0
        ? loose.map((area) => ({ pattern: { hold: area.id } }))
        : drawn.map((area) => ({ pattern: { let_go: area.id } }));
    },
  },
];

/** Why an action cannot be done to what is picked; null when it can. */
export function hindered(action: Action, studio: Studio): string | null {
  const begun = action.changes ? begunSaid(studio.picking.pieces.value) : null;
  if (begun !== null) return `${begun} already and stays as it is`;
  return action.missing(studio.picking.areas.value, studio.model.value?.borders.values() ?? []);
}

/** Raised when the maker asks to name the picked pieces: the panel's field takes the focus. */
export const naming = signal(0);

/** Does what a key stands for, if anything. */
export function act(key: string, studio: Studio): void {
  if (key === "n" && studio.picking.pieces.peek().length > 0) naming.value += 1;
  const action = ACTIONS.find((each) => each.key === key);
  if (!action || studio.draft.peek()) return;
  const missing = hindered(action, studio);
  if (missing === null) void studio.edit(...action.edits(studio.picking.areas.peek()));
  else studio.tell(`${action.word}: ${missing.charAt(0).toLowerCase()}${missing.slice(1)}.`);
}
