// A page on the pattern: canvas, tools above it, panel beside it.

import type { ComponentChildren } from "preact";
import { useEffect } from "preact/hooks";
import { lengthSaid } from "../state/length";
import type { Studio } from "../state/studio";
import { BRUSHES, brushed, type Tool as ToolName } from "../state/tool";
import { act } from "./actions";
import { Canvas, type CanvasProps, tools, viewport } from "./canvas";
import { Icon, type IconName } from "./icons";
import { Panel } from "./panel";
import { useStudio } from "./shared";
import { typing } from "./typing";

interface BenchProps extends CanvasProps {
  name: string;
  /** Which tools lie here besides those that pick and split: those that change borders, or those of woods. */
  more?: "lines" | "woods" | "subject";
  children: ComponentChildren;
}

export function Bench({ name, more, children, ...canvas }: BenchProps) {
  const studio = useStudio();
  const known = KNOWN[more ?? "none"];
  const accepted = studio.model.value?.setup.accepted ?? true;
  const count = studio.picking.ids.value.size;
  useToolKeys(known);
  return (
    <main class="page">
      <div class="stage-frame">
        {more === "subject" ? <SubjectBar /> : studio.model.value && accepted && <Toolbar known={known} />}
        <Canvas {...canvas} />
      </div>
      {/* Before a pattern is accepted, the slider and the button are what the page is for. */}
      <Panel name={name} aside={count > 0 && more !== "subject" ? `${count} picked` : ""} open={!accepted}>
        {children}
      </Panel>
    </main>
  );
}

interface Known {
  readonly name: ToolName;
  readonly icon: IconName;
  readonly word: string;
  /** The word on its button, where that is shorter. */
  readonly brief?: string;
  readonly keyed: string;
  readonly says: string;
  /** How it is worked by keys, where the cross does not say it. */
  readonly byKeys?: string;
}

/** How most lines are drawn by keys. */
const CROSS = "Arrows move the cross, Space puts a point, Enter the last.";

const TOOLS: readonly Known[] = [
  {
    name: "pick",
    icon: "hand",
    word: "Pick",
    keyed: "P",
    says: "Choose a piece, or drag to move the panel.",
  },
  { name: "lasso", icon: "lasso", word: "Loop", keyed: "L", says: "Draw a loop around pieces." },
  {
    name: "split",
    icon: "cut",
    word: "Split",
    keyed: "S",
    says: "Draw the new saw line across a piece, edge to edge.",
    byKeys: "Enter begins at the cross; arrows move it across, Space puts a bend, Enter saws.",
  },
];

const LINE_TOOLS: readonly Known[] = [
  {
    name: "draw",
    icon: "pen",
    word: "New line",
    keyed: "D",
    says: "New line: draw it over any pieces, from border to border; each is split.",
    byKeys: "Enter begins at the cross; arrows move it across, Space puts a bend, Enter ends it.",
  },
  {
    name: "pull",
    icon: "pull",
    word: "Pull a border",
    brief: "Pull",
    keyed: "B",
    says: "Pull: hold a border and move it. The brush says how much follows.",
    byKeys: "Enter takes hold at the cross; arrows move it; Enter lets go.",
  },
  {
    name: "junction",
    icon: "junction",
    word: "Move a junction",
    brief: "Junction",
    keyed: "J",
    says: "Junction: hold it and move it. The brush says how much follows.",
    byKeys: "Arrows go from junction to junction; Enter takes hold, arrows move it, Enter lets go.",
  },
  {
    name: "smooth",
    icon: "smooth",
    word: "Smooth a border",
    brief: "Smooth",
    keyed: "E",
    says: "Smooth: draw along a border, or touch it for the whole. Waves shorter than the brush go.",
    byKeys: "Arrows move the cross along; Enter smooths the border there.",
  },
  {
    name: "straighten",
    icon: "straight",
    word: "Straighten a border",
    brief: "Straighten",
    keyed: "T",
    says: "Straighten: draw along a border, or touch it for the stretch between two corners.",
    byKeys: "Arrows move the cross along; Enter straightens the stretch there.",
  },
];

const WOOD_TOOLS: readonly Known[] = [
  {
    name: "wood",
    icon: "brush",
    word: "Brush a wood",
    brief: "Brush",
    keyed: "R",
    says: "Drag over the pieces that shall be",
  },
  {
    name: "grain",
    icon: "grain",
    word: "Draw grain",
    brief: "Grain",
    keyed: "A",
    says: "Draw along the way that the grain shall run, over the whole subject.",
  },
];

const SUBJECT_TOOLS: readonly Known[] = [
  { name: "pick", icon: "hand", word: "Move", keyed: "P", says: "Drag to move the picture." },
  {
    name: "keep",
    icon: "check",
    word: "Mark what becomes wood",
    brief: "Wood",
    keyed: "K",
    says: "Draw over what becomes wood: its edges are found.",
  },
  {
    name: "ground",
    icon: "drop",
    word: "Mark the ground",
    brief: "Ground",
    keyed: "G",
    says: "Draw over the ground. A line all round the subject drops everything beyond it.",
  },
];

const KNOWN = {
  subject: SUBJECT_TOOLS,
  none: TOOLS,
  lines: [...TOOLS, ...LINE_TOOLS],
  woods: [...TOOLS, ...WOOD_TOOLS],
};

/** Lines that a page asks for; no button of the bar and no key takes them. */
const ASKED: Readonly<Partial<Record<ToolName, string>>> = {
  climb: "Draw over the row, from the lowest piece to the highest.",
  section: "Draw the line that you want to see cut.",
};

/** The tools that mark the subject. */
function SubjectBar() {
  return (
    <Strip known={KNOWN.subject}>
      {KNOWN.subject.map((each) => (
        <Tool key={each.name} tool={each} />
      ))}
    </Strip>
  );
}

function Toolbar({ known }: { known: readonly Known[] }) {
  // A draft takes no tool, and is as large as the pattern that it is compared with.
  const idle = useStudio().draft.value !== null;
  return (
    <Strip known={known} idle={idle}>
      {TOOLS.map((each) => (
        <Tool key={each.name} tool={each} />
      ))}
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
      {known.slice(TOOLS.length).map((each) => (
        <Tool key={each.name} tool={each} />
      ))}
    </Strip>
  );
}

interface StripProps {
  known: readonly Known[];
  idle?: boolean;
  children: ComponentChildren;
}

/** Tools, each with its word, and below them what the one in hand does: above the work, so that they cover none of it. */
function Strip({ known, idle = false, children }: StripProps) {
  const tool = tools.tool.value;
  const one = known.find((each) => each.name === tool);
  const crossed = tools.cross.value !== null;
  const says = ASKED[tool] ?? (crossed ? (one?.byKeys ?? CROSS) : one?.says) ?? "";
  return (
    <div class={idle ? "tool-strip idle" : "tool-strip"} inert={idle}>
      <div class="toolbar" role="toolbar" aria-label="Tools">
        {children}
      </div>
      <div class="says">
        <p role="status">
          {says} {tool === "wood" && <Wielded />} {tool !== "pick" && <Leaving to={known[0]?.word ?? ""} />}
        </p>
        {brushed(tool) && <Brush />}
      </div>
    </div>
  );
}

/** How a tool is laid down: by a key, or where there is none by the first tool's button. */
function Leaving({ to }: { to: string }) {
  return (
    <>
      <span class="by-key">Esc leaves.</span>
      <span class="by-touch">Tap {to} to leave.</span>
    </>
  );
}

/** The wood on the brush. */
function Wielded() {
  const woods = useStudio().model.value?.woods ?? [];
  return (
    <select
      aria-label="Wood on the brush"
      value={tools.wood.value ?? ""}
      onChange={(event) => {
        tools.wood.value = event.currentTarget.value || null;
      }}
    >
      <option value="">choose a wood</option>
      {woods.map((wood) => (
        <option key={wood.key} value={wood.key}>
          {wood.name}
        </option>
      ))}
    </select>
  );
}

function Brush() {
  const unit = useStudio().model.value?.setup.unit ?? "mm";
  const said = lengthSaid(tools.brush.value * 1000, unit);
  return (
    <label class="brush-width">
      Brush {said}
      <input
        type="range"
        min="0"
        max={BRUSHES.length - 1}
        value={BRUSHES.indexOf(tools.brush.value)}
        aria-label="Width of the brush"
        aria-valuetext={said}
        onInput={(event) => {
          tools.brush.value = BRUSHES[Number(event.currentTarget.value)] ?? tools.brush.peek();
        }}
      />
    </label>
  );
}

function Tool({ tool }: { tool: Known }) {
  const studio = useStudio();
  return (
    <button
      type="button"
      class="button"
      aria-pressed={tools.tool.value === tool.name}
      aria-label={tool.word}
      title={`${tool.word} (${tool.keyed})`}
      onClick={(event) => take(studio, tool.name, event.detail === 0)}
    >
      <Icon name={tool.icon} />
      <span>{tool.brief ?? tool.word}</span>
    </button>
  );
}

/** What the tool before was refused is of no more use. Taken by keys it is worked by keys: they go to the pattern. */
function take(studio: Studio, tool: ToolName, byKeys: boolean): void {
  studio.hush();
  if (byKeys) document.querySelector<SVGSVGElement>(".sheet")?.focus({ preventScroll: true });
  tools.take(tool, byKeys);
}

const KEY_ZOOM = 1.25;

/** Does what a key stands for that changes how the work is looked at, or the brush; whether it is one. */
function looked(key: string): boolean {
  if (key === "+" || key === "=") viewport.nearer(KEY_ZOOM);
  else if (key === "-" || key === "−") viewport.nearer(1 / KEY_ZOOM);
  else if (key === "0") viewport.whole();
  else if (key === "[" || key === "]") tools.wider(key === "[" ? -1 : 1);
  else return false;
  return true;
}

function useToolKeys(known: readonly Known[]): void {
  const studio = useStudio();
  useEffect(() => {
    // A tool of another page is laid down.
    if (!known.some((each) => each.name === tools.tool.peek())) tools.take("pick");
    const pressed = (event: KeyboardEvent) => {
      if (typing(event.target) || event.ctrlKey || event.metaKey || event.altKey) return;
      const key = event.key.toLowerCase();
      if (key === "escape") {
        // With a refusal its line goes, too.
        if (event.defaultPrevented) tools.drop();
        else leave();
      } else if (!looked(key)) {
        const tool = known.find((each) => each.keyed.toLowerCase() === key);
        if (tool) take(studio, tool.name, true);
        else act(key, studio);
      }
    };
    const leave = () => {
      if (tools.tool.peek() !== "pick") tools.take("pick");
      else studio.picking.clear();
    };
    addEventListener("keydown", pressed);
    return () => removeEventListener("keydown", pressed);
  }, [known]);
}
