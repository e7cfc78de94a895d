// Sections of a panel.

import { useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useId } from "preact/hooks";

interface SectionProps {
  title: string;
  /** A few words to the right of the title. */
  aside?: string;
  children: ComponentChildren;
}

export function Section({ title, aside, children }: SectionProps) {
  const id = useId();
  return (
    <section class="section" aria-labelledby={id}>
      <header>
        <h2 id={id}>{title}</h2>
        {aside && <span class="soft small">{aside}</span>}
      </header>
      {children}
    </section>
  );
}

/** A section that can be folded away. */
export function Collapsible({ title, aside, children, folded = false }: SectionProps & { folded?: boolean }) {
  const open = useSignal(!folded);
  return (
    <details
      class="section"
      open={open.value}
      onToggle={(event) => {
        open.value = event.currentTarget.open;
      }}
    >
      <summary>
        <h2>{title}</h2>
        {aside && <span class="soft small">{aside}</span>}
      </summary>
      {open.value && <div class="section-body">{children}</div>}
    </details>
  );
}
