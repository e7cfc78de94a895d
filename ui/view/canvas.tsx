// The pattern as it lies on the bench: areas, saw lines, numbers, findings; moved by wheel, fingers and keys.

import { type Signal, useComputed } from "@preact/signals";
import { useEffect, useMemo, useRef } from "preact/hooks";
import { BEGUN } from "../state/benching";
import { OF_STOCK } from "../state/findings";
import type { Model } from "../state/model";
import { numberBox, signPlaces } from "../state/signs";
import { looksLike, surface } from "../state/surface";
import { brushed, drawn, holds, Tools } from "../state/tool";
import { type PatternPoint, Viewport } from "../state/viewport";
import type { Area, Draft, Label } from "../state/wire";
import { MARKS } from "./at-bench";
import { Grain } from "./grain";
import { Hands } from "./hands";
import { Icon } from "./icons";
import { memo } from "./memo";
import { useStudio } from "./shared";
import { MarkLine, Photograph, pictureAt, Subject } from "./subject";
import { spoken } from "./words";

/** What areas are filled with. */
export type Fill = "picture" | "wood" | "height";

export const viewport = new Viewport();
export const tools = new Tools();

export interface CanvasProps {
  fill: Fill;
  /** How far the picture shows through, 0 to 1. */
  through: Signal<number>;
  findings: boolean;
  /** Whether it shows what is cut, shaped and set. */
  begun?: boolean;
  /** The picture alone, with its ground veiled and the marks of its subject. */
  subject?: boolean;
}

export function Canvas({ fill, through, findings, begun = false, subject = false }: CanvasProps) {
  const studio = useStudio();
  const svg = useRef<SVGSVGElement>(null);
  const hands = useMemo(() => new Hands(studio, viewport, tools), []);
  const model = studio.model.value;
  useEffect(() => (svg.current ? hands.hold(svg.current) : undefined), []);
  useEffect(() => {
    if (!svg.current || !model) return;
    const stage = svg.current;
    const { width, height } = model.setup.panel;
    const look = () =>
      viewport.sized(
        { width: stage.clientWidth, height: stage.clientHeight },
        { width: width / 1000, height: height / 1000 },
      );
    look();
    const watch = new ResizeObserver(look);
    watch.observe(stage);
    return () => watch.disconnect();
  }, [model?.setup.panel]);
  if (!model) return null;
  return (
    <div class="stage" data-tool={tools.tool.value}>
      <svg
        ref={svg}
        class="sheet"
        role="application"
        tabindex={0}
        aria-label="Pattern"
        aria-describedby="pattern-keys"
      >
        <defs>
          <pattern
            id="undecided"
            width="3"
            height="3"
            patternUnits="userSpaceOnUse"
            patternTransform="rotate(45)"
          >
            <rect width="3" height="3" fill="#d9cfbf" />
            <path d="M0 0V3" stroke="#8a7a64" stroke-width="0.8" />
          </pattern>
          {begun && <BegunMarks />}
        </defs>
        <g class="panel-space" transform={viewport.transform}>
          {subject ? (
            <Subject model={model} />
          ) : (
            <Panel model={model} through={through} fill={fill} begun={begun} draft={studio.draft.value} />
          )}
          {!subject && <Picked />}
          <Brushed model={model} />
          {fill === "wood" && <Grain model={model} />}
          {findings && !studio.draft.value && <Signs model={model} />}
          <Line />
          <Trouble />
        </g>
      </svg>
      <p id="pattern-keys" class="unseen">
        Arrow keys pick the piece beside, with Shift one more; plus and minus zoom, question mark shows all
        keys.
      </p>
      <Lead />
      <Zoom />
    </div>
  );
}

interface PanelProps {
  model: Model;
  through: Signal<number>;
  fill: Fill;
  begun: boolean;
  draft: Draft | null;
}

function Panel({ model, through, fill, begun, draft }: PanelProps) {
  const { width, height } = model.setup.panel;
  const opacity = useComputed(() => 1 - through.value);
  const bare = !model.setup.accepted && !draft;
  return (
    <>
      <rect class="panel-ground" width={width / 1000} height={height / 1000} />
      <Photograph model={model} href={pictureAt(model.setup)} />
      {!bare && (
        <g fill-opacity={opacity}>
          {draft ? <DraftAreas model={model} draft={draft} /> : <Areas model={model} fill={fill} />}
        </g>
      )}
      {begun && !draft && <Begun model={model} />}
      {!draft && <Gaps model={model} />}
      {!draft && <Lines model={model} />}
      {!draft && <Numbers areas={model.areas} />}
    </>
  );
}

function DraftAreas({ model, draft }: { model: Model; draft: Draft }) {
  const { width, height } = model.setup.panel;
  return (
    <g class={useStudio().drawing.value ? "draft overtaken" : "draft"}>
      <rect class="area ground" width={width / 1000} height={height / 1000} />
      {draft.areas.map((area, at) => (
        <path key={at} d={area.d} fill={area.picture ?? "#888888"} fill-rule="evenodd" />
      ))}
      <path class="saw" d={draft.line_d} />
    </g>
  );
}

function Areas({ model, fill }: { model: Model; fill: Fill }) {
  const heights = fill === "height" ? heightShades(model) : null;
  const woods = new Map(model.woods.map((wood) => [wood.key, wood]));
  const paint = (area: Area) => (fill === "wood" ? looksLike(area, woods, surface.value) : area.picture);
  return (
    <>
      {[...model.areas.values()].map((area) => (
        <AreaPath
          key={area.id}
          area={area}
          paint={heights ? (heights.get(area.number ?? -1) ?? null) : paint(area)}
        />
      ))}
    </>
  );
}

/** The nearer, the lighter: a plain ramp over the heights that occur. */
function heightShades(model: Model): Map<number, string> {
  const known = [...model.pieces.values()].flatMap((piece) =>
    piece.height ? [[piece.number, piece.height.value] as const] : [],
  );
  const values = known.map(([, height]) => height);
  const low = Math.min(...values);
  const span = Math.max(...values) - low || 1;
  return new Map(known.map(([number, height]) => [number, ramp((height - low) / span)]));
}

function ramp(share: number): string {
  const [from, to] = [
    [74, 52, 38],
    [246, 226, 186],
  ] as const;
  const parts = from.map((value, at) => Math.round(value + ((to[at] ?? value) - value) * share));
  return `rgb(${parts.join(" ")})`;
}

const AreaPath = memo(function AreaPath({ area, paint }: { area: Area; paint: string | null }) {
  return (
    <path
      class={`area ${area.becomes}`}
      data-area={area.id}
      d={area.d}
      fill={area.becomes === "piece" ? (paint ?? "url(#undecided)") : undefined}
      fill-rule="evenodd"
    />
  );
});

/** What is cut, shaped and set, each by its own marks, which are as large on the screen however near it lies. */
function Begun({ model }: { model: Model }) {
  return (
    <g class="begun">
      {[...model.pieces.values()].map(({ state, area, number }) =>
        state === "planned" ? null : (
          <path
            key={number}
            class={state}
            d={model.areas.get(area)?.d}
            fill={`url(#begun-${state})`}
            fill-rule="evenodd"
          />
        ),
      )}
    </g>
  );
}

function BegunMarks() {
  const scale = textScale() / viewport.step.value;
  return (
    <>
      {BEGUN.map((state) => (
        <pattern
          key={state}
          id={`begun-${state}`}
          width="16"
          height="16"
          patternUnits="userSpaceOnUse"
          patternTransform={`scale(${scale})`}
        >
          {state === "set" && <rect class="begun-veil" width="16" height="16" />}
          <path class="begun-casing" d={MARKS[state]} />
          <path class="begun-stroke" d={MARKS[state]} />
        </pattern>
      ))}
    </>
  );
}

function Gaps({ model }: { model: Model }) {
  return (
    <>
      {[...model.borders.values()]
        .filter((border) => border.gap > 0)
        .map((border) => (
          <path key={border.id} class="gap" d={border.d} stroke-width={border.gap / 1000} />
        ))}
    </>
  );
}

/** Lines that end inside pieces, as they are sawn or burnt; those left out are hinted at. */
function Lines({ model }: { model: Model }) {
  return (
    <>
      {model.lines.map((line, at) => (
        <path
          key={at}
          class={`inner ${line.becomes}`}
          d={line.d}
          stroke-width={line.becomes === "left_out" ? undefined : line.width / 1000}
        />
      ))}
    </>
  );
}

const LEAST_LABEL_PX = 8;
const MOST_LABEL_PX = 15;

function Numbers({ areas }: { areas: ReadonlyMap<number, Area> }) {
  const scale = viewport.step.value / textScale();
  return (
    <g class="numbers">
      {numbered(areas, scale).map(({ number, label, size }) => (
        <Numeral key={number} number={number} label={label} size={size} />
      ))}
    </g>
  );
}

/** The numbers that there is room for, and how large. */
function numbered(areas: ReadonlyMap<number, Area>, scale: number) {
  return [...areas.values()].flatMap(({ number, label }) =>
    number !== null && label && label.r_mm * scale >= LEAST_LABEL_PX
      ? [{ number, label, size: Math.min(label.r_mm * 0.95, MOST_LABEL_PX / scale) }]
      : [],
  );
}

/** How much larger than usual the page's text is: on a large screen, or as the maker set it. */
function textScale(): number {
  return Number.parseFloat(getComputedStyle(document.documentElement).fontSize) / 16 || 1;
}

interface NumeralProps {
  number: number;
  label: Label;
  size: number;
}

const Numeral = memo(function Numeral({ number, label, size }: NumeralProps) {
  return (
    <text x={label.x_mm} y={label.y_mm} font-size={size} stroke-width={size * 0.22} dy="0.36em">
      {number}
    </text>
  );
});

function Picked() {
  const { picking } = useStudio();
  const lead = picking.lead.value;
  return (
    <g class="picked">
      {picking.areas.value.map((area) => (
        <g key={area.id} class={area.id === lead ? "lead" : undefined}>
          <path class="halo" d={area.d} />
          <path class="mark" d={area.d} fill-rule="evenodd" />
        </g>
      ))}
    </g>
  );
}

/** The pieces that the brush has passed over, as they will look. */
function Brushed({ model }: { model: Model }) {
  const wood = model.woods.find((each) => each.key === tools.wood.value);
  const passed = tools.passed.value.flatMap((id) => model.areas.get(id) ?? []);
  return (
    <g class="brushed">
      {passed
        .filter((area) => area.becomes === "piece")
        .map((area) => (
          <path key={area.id} d={area.d} fill={wood?.finished ?? "none"} fill-rule="evenodd" />
        ))}
    </g>
  );
}

const SIGN_PX = 7;

function Signs({ model }: { model: Model }) {
  const scale = viewport.step.value / textScale();
  const told = useStudio().picking.told.value;
  // Notes would hide the pattern, and boards are not here: they are in the list, and their sign stands only while one is open.
  const signs = (model.findings ?? [])
    .filter(({ kind, grave, key }) => key === told || (grave !== "note" && !OF_STOCK.includes(kind)))
    .flatMap((finding) => finding.at_mm.map((at) => ({ finding, at })));
  const numbers = numbered(model.areas, scale).map(({ number, label, size }) =>
    numberBox(number, label.x_mm, label.y_mm, size),
  );
  const radius = SIGN_PX / scale;
  const places = signPlaces(
    signs.map(({ at }) => at),
    numbers,
    radius,
  );
  return (
    <g class="signs">
      {signs.map(({ finding }, at) => {
        const [x, y] = places[at] ?? [];
        return x === undefined ? null : (
          <circle
            key={`${finding.key} ${at}`}
            class={finding.grave}
            cx={x}
            cy={y}
            r={radius}
            data-finding={finding.key}
          >
            <title>{`${finding.what}: ${finding.why}`}</title>
          </circle>
        );
      })}
    </g>
  );
}

function Line() {
  const line = tools.line.value;
  const cross = tools.cross.value;
  const scale = viewport.look.value.scale;
  const tool = tools.tool.value;
  const [first] = line;
  const open = cross && first ? [...(holds(tool) ? [first] : line), cross] : line;
  const state = tools.refused.value ? "refused" : "";
  const taken = line.length === 0 ? tools.taken.value : null;
  return (
    <>
      {taken && <path class="drawn section" d={drawn(taken.line)} />}
      {first && brushed(tool) && <circle class="brush" cx={first.x} cy={first.y} r={tools.brush.value} />}
      {open.length > 0 &&
        (tool === "keep" || tool === "ground" ? (
          <MarkLine side={`${tool} ${state}`} d={drawn(open)} />
        ) : (
          <path class={`drawn ${tool} ${state}`} d={drawn(open)} />
        ))}
      {cross && <MarkLine side="cross" d={crossed(cross, 12 / scale)} />}
    </>
  );
}

/** A cross with arms of that length. */
function crossed({ x, y }: PatternPoint, arm: number): string {
  return `M${x - arm} ${y}h${2 * arm}M${x} ${y - arm}v${2 * arm}`;
}

/** Where the last refusal says that it cannot be. */
function Trouble() {
  const at = useStudio().said.value?.trouble?.where.at;
  if (!at) return null;
  const r = 11 / viewport.look.value.scale;
  return <circle class="trouble" cx={at[0] / 1000} cy={at[1] / 1000} r={r} />;
}

/** What the leading piece is, for those who hear it. */
function Lead() {
  const { picking, model } = useStudio();
  const lead = picking.lead.value;
  const area = lead === null ? undefined : model.value?.areas.get(lead);
  return (
    <p class="unseen" aria-live="polite">
      {area && model.value ? spoken(area, model.value) : ""}
    </p>
  );
}

function Zoom() {
  return (
    <div class="zoom">
      <button
        type="button"
        class="button"
        aria-label="Nearer"
        title="Nearer (+)"
        onClick={() => viewport.nearer(1.5)}
      >
        <Icon name="plus" />
      </button>
      <button
        type="button"
        class="button"
        aria-label="Farther"
        title="Farther (−)"
        onClick={() => viewport.nearer(1 / 1.5)}
      >
        <Icon name="minus" />
      </button>
      <button
        type="button"
        class="button"
        aria-label="Whole panel"
        title="Whole panel (0)"
        onClick={() => viewport.whole()}
      >
        <Icon name="fit" />
      </button>
    </div>
  );
}
