// A page on the pattern: canvas, tools above it, panel beside it.

import { useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useEffect } from "preact/hooks";
import { act } from "./actions";
import { Canvas, type CanvasProps, tools } from "./canvas";
import { Icon, type IconName } from "./icons";
import { narrow } from "./narrow";
import { useStudio } from "./shared";
import { typing } from "./typing";

interface BenchProps extends CanvasProps {
  name: string;
  children: ComponentChildren;
}

export function Bench({ name, children, ...canvas }: BenchProps) {
  const studio = useStudio();
  useToolKeys();
  return (
    <main class="page">
      <div class="stage-frame">
        <Canvas {...canvas} />
        {studio.model.value?.setup.accepted && !studio.draft.value && <Toolbar />}
      </div>
      <Panel name={name}>{children}</Panel>
    </main>
  );
}

function Panel({ name, children }: { name: string; children: ComponentChildren }) {
  const { picking, model } = useStudio();
  // Before a pattern is accepted, the slider and the button are what the page is for.
  const folded = useSignal(model.value?.setup.accepted ?? true);
  const shut = narrow.value && folded.value;
  const count = picking.ids.value.size;
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
          <span>{count > 0 ? `${name} · ${count} picked` : name}</span>
          <Icon name={shut ? "up" : "fold"} />
        </button>
      )}
      <div class="panel-body" id="panel-body">
        {children}
      </div>
    </section>
  );
}

const SAYS = {
  lasso: "Draw a loop around pieces.",
  split: "Draw the new saw line across a piece, edge to edge.",
  climb: "Draw over the row, from the lowest piece to the highest.",
  section: "Draw the line that you want to see cut.",
} as const;

function Toolbar() {
  const tool = tools.tool.value;
  return (
    <>
      <div class="toolbar" role="toolbar" aria-label="Tools">
        <Tool name="pick" icon="hand" word="Pick" keyed="P" />
        <Tool name="lasso" icon="lasso" word="Loop" keyed="L" />
        <Tool name="split" icon="cut" word="Split" keyed="S" />
        <button
          type="button"
          class="button"
          aria-pressed={tools.several.value}
          aria-label="Pick several"
          title="Each pick adds to those before (Shift does the same)"
          onClick={() => {
            tools.several.value = !tools.several.value;
          }}
        >
          <Icon name="plus" />
          <span>Several</span>
        </button>
      </div>
      {tool !== "pick" && (
        <p class="says" role="status">
          {SAYS[tool]} Esc leaves.
        </p>
      )}
    </>
  );
}

function Tool({
  name,
  icon,
  word,
  keyed,
}: {
  name: "pick" | "lasso" | "split";
  icon: IconName;
  word: string;
  keyed: string;
}) {
  return (
    <button
      type="button"
      class="button"
      aria-pressed={tools.tool.value === name}
      aria-label={word}
      title={`${word} (${keyed})`}
      onClick={() => tools.take(name)}
    >
      <Icon name={icon} />
      <span>{word}</span>
    </button>
  );
}

function useToolKeys(): void {
  const studio = useStudio();
  useEffect(() => {
    const pressed = (event: KeyboardEvent) => {
      if (typing(event.target) || event.ctrlKey || event.metaKey || event.altKey) return;
      const key = event.key.toLowerCase();
      if (key === "escape") leave();
      else if (key === "p") tools.take("pick");
      else if (key === "l") tools.take("lasso");
      else if (key === "s") tools.take("split");
      else act(key, studio);
    };
    const leave = () => {
      if (tools.tool.peek() !== "pick") tools.take("pick");
      else studio.picking.clear();
    };
    addEventListener("keydown", pressed);
    return () => removeEventListener("keydown", pressed);
  }, []);
}
