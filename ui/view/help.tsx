// The keys, shown on `?`.

import { type Signal, signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { Icon } from "./icons";

export const keysShown: Signal<boolean> = signal(false);

const KEYS: readonly (readonly [string, string])[] = [
  ["1 2 3 4 5 6", "Picture, Pattern, Woods, Relief, Stock, View"],
  ["Ctrl Z", "undo"],
  ["Ctrl Shift Z", "redo"],
  ["← → ↑ ↓", "on the pattern: walk to the neighbouring piece; with Shift also pick it"],
  [", .", "pick the piece with the number before, after"],
  ["Enter", "pick the piece, or put it back"],
  ["Esc", "put a refusal away, leave a tool, pick nothing"],
  ["+ − 0", "nearer, farther, whole panel; wheel and two fingers do the same"],
  ["Alt ← → ↑ ↓", "move the panel; dragging does the same"],
  ["P", "pick with the pointer"],
  ["L", "draw a loop around pieces"],
  ["M", "merge the picked pieces"],
  ["S", "split: draw the new saw line, Enter ends it"],
  ["D", "new line over any pieces, closed against borders"],
  ["B", "pull a border; Enter takes hold at the cross, arrows move it, Enter lets go"],
  ["J", "move a junction: arrows go from one to the next, Enter takes hold and lets go"],
  ["E", "smooth a border; T makes it straight"],
  ["K", "on Picture: mark what becomes wood; G marks the ground"],
  ["R", "on Woods: brush a wood over pieces; Enter gives it to the picked ones"],
  ["A", "on Woods: draw a stroke of grain; arrow keys on the arrow of one piece turn its grain"],
  ["[ ]", "narrower brush, wider brush"],
  ["Space", "with a tool: put a point where the arrows have moved the cross; Enter ends the line"],
  ["O", "open: the backer shows there"],
  ["C", "close: make it a piece again"],
  ["H", "hold what is picked as it lies when the pattern is drawn again, or let it go"],
  ["N", "name the picked pieces as a part"],
  ["W", "pin the woods of the picked pieces, or free them"],
  ["[ ]", "on a board: turn the piece by 1°; arrow keys move it"],
  ["?", "this list"],
];

export function Help() {
  const dialog = useRef<HTMLDialogElement>(null);
  useEffect(() => {
    if (keysShown.value && !dialog.current?.open) {
      dialog.current?.showModal();
      // The button at the end has the focus; the list is read from its beginning.
      dialog.current?.scrollTo(0, 0);
    }
    if (!keysShown.value && dialog.current?.open) dialog.current.close();
  }, [keysShown.value]);
  return (
    <dialog
      ref={dialog}
      aria-labelledby="keys-title"
      onClose={() => {
        keysShown.value = false;
      }}
    >
      <h2 id="keys-title">Keys</h2>
      <dl class="keys">
        {KEYS.map(([keys, does]) => (
          <>
            <dt key={keys}>
              {keys.split(" ").map((key) => (
                <>
                  <kbd key={key}>{key}</kbd>{" "}
                </>
              ))}
            </dt>
            <dd>{does}</dd>
          </>
        ))}
      </dl>
      <p class="soft small">
        Saws, sanders, dust, glues and finishes can hurt. What is said here does not replace the labels of
        your products, the manuals of your machines, your local rules or licensed practice.
      </p>
      <p class="row">
        <button type="button" class="button main" onClick={() => dialog.current?.close()}>
          <Icon name="check" /> Back to work
        </button>
      </p>
    </dialog>
  );
}
