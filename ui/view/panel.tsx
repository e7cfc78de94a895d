// What stands beside the work, or where it is narrow as a sheet below it, which can be folded away.

import { useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { Icon } from "./icons";
import { narrow } from "./narrow";

interface PanelProps {
  name: string;
  /** Said beside its name on the handle. */
  aside?: string;
  /** Whether it lies open at first, also where it is narrow. */
  open?: boolean;
  children: ComponentChildren;
}

export function Panel({ name, aside = "", open = false, children }: PanelProps) {
  const folded = useSignal(!open);
  const shut = narrow.value && folded.value;
  return (
    <section class={shut ? "panel folded" : "panel"} aria-label={name}>
      {narrow.value && (
        <button
          type="button"
          class="handle"
          aria-expanded={!shut}
          onClick={() => {
            folded.value = !folded.value;
          }}
        >
          <span>{aside === "" ? name : `${name} · ${aside}`}</span>
          <Icon name={shut ? "up" : "fold"} />
        </button>
      )}
      <div class="panel-body">{children}</div>
    </section>
  );
}
