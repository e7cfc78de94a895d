// What can be done to the picked areas: as a button and as a key, from one list.

import { signal } from "@preact/signals";
import type { Studio } from "../state/studio";
import type { Area, Edit } from "../state/wire";
import type { IconName } from "./icons";

export interface Action {
  readonly key: string;
  readonly word: string;
  readonly icon: IconName;
  /** Why it cannot be done now; null when it can. */
  readonly missing: (picked: readonly Area[]) => string | null;
  readonly edits: (picked: readonly Area[]) => Edit[];
}

const pieces = (picked: readonly Area[]) => picked.filter((area) => area.becomes === "piece");
const others = (picked: readonly Area[]) => picked.filter((area) => area.becomes !== "piece");

export const ACTIONS: readonly Action[] = [
  {
    key: "m",
    word: "Merge",
    icon: "merge",
    missing: (picked) => (picked.length < 2 ? "Pick two or more that touch" : null),
    edits: (picked) => [{ pattern: { merge: picked.map((area) => area.id) } }],
  },
  {
    key: "o",
    word: "Open",
    icon: "open",
    missing: (picked) => (pieces(picked).length === 0 ? "Pick pieces: the backer will show there" : null),
    edits: (picked) => pieces(picked).map((area) => ({ pattern: { open: area.id } })),
  },
  {
    key: "c",
    word: "Close",
    icon: "shut",
    missing: (picked) => (others(picked).length === 0 ? "Pick a shadow or ground: it becomes a piece" : null),
    edits: (picked) => others(picked).map((area) => ({ pattern: { close: area.id } })),
  },
  {
    key: "g",
    word: "To ground",
    icon: "drop",
    missing: (picked) =>
      picked.some((area) => area.becomes !== "ground") ? null : "Pick pieces: nothing will be sawn there",
    edits: (picked) =>
      picked.filter((area) => area.becomes !== "ground").map((area) => ({ pattern: { drop: area.id } })),
  },
  {
    key: "h",
    word: "Hold",
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

/** Raised when the maker asks to name the picked pieces: the panel's field takes the focus. */
export const naming = signal(0);

/** Does what a key stands for, if anything. */
export function act(key: string, studio: Studio): void {
  if (key === "n" && studio.picking.pieces.peek().length > 0) naming.value += 1;
  const action = ACTIONS.find((each) => each.key === key);
  if (!action || studio.draft.peek()) return;
  const picked = studio.picking.areas.peek();
  const missing = action.missing(picked);
  if (missing === null) void studio.edit(...action.edits(picked));
  else studio.tell(`${action.word}: ${missing.charAt(0).toLowerCase()}${missing.slice(1)}.`);
}
