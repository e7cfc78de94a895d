// Light, finish and years: what both ways of seeing the relief share.

import { useRef } from "preact/hooks";
import { HIGHEST, LOWEST, lightAt, onDial, PLAIN, type Seeing, seeing, YEARS } from "../state/seeing";
import { Icon } from "./icons";
import { side } from "./lit";
import { Section } from "./section";

function set(some: Partial<Seeing>): void {
  seeing.value = { ...seeing.value, ...some };
}

export function Lamp({ flat }: { flat: boolean }) {
  const { from, height, raw, gloss, years, aside } = seeing.value;
  const year = YEARS[years] ?? 0;
  return (
    <>
      <Section title="Light" aside={side(seeing.value)}>
        <div class="lamp">
          <Dial />
          <div class="grow section-body">
            <Slider
              name="From"
              said={side(seeing.value).replace(/^from /, "")}
              title={`${from}° clockwise from above`}
              range={[0, 359]}
              value={from}
              set={(from) => set({ from })}
            />
            <Slider
              name="Off the wall"
              said={`${height}°`}
              range={[LOWEST, HIGHEST]}
              value={height}
              set={(height) => set({ height })}
            />
          </div>
        </div>
      </Section>
      <Section title="Surface" aside={year === 0 ? "new" : `after ${year} ${year === 1 ? "year" : "years"}`}>
        <label class="check">
          <input
            type="checkbox"
            checked={!raw}
            onChange={(event) => set({ raw: !event.currentTarget.checked })}
          />
          Under the finish
        </label>
        <Slider
          name="Gloss"
          said={`${gloss} %`}
          range={[0, 100]}
          value={gloss}
          set={(gloss) => set({ gloss })}
          off={raw}
        />
        <Slider
          name="Years on the wall"
          said={year === 0 ? "new" : String(year)}
          range={[0, YEARS.length - 1]}
          value={years}
          set={(years) => set({ years })}
        />
        {flat && (
          <Slider
            name="Seen from aside"
            said={aside === 0 ? "straight on" : `${Math.abs(aside)}° ${aside > 0 ? "right" : "left"}`}
            range={[-30, 30]}
            step={5}
            value={aside}
            set={(aside) => set({ aside })}
          />
        )}
        <button type="button" class="button start-aligned" onClick={() => set(PLAIN)}>
          <Icon name="undo" /> As it was at first
        </button>
      </Section>
    </>
  );
}

interface SliderProps {
  name: string;
  said: string;
  range: readonly [number, number];
  value: number;
  set: (to: number) => void;
  step?: number;
  off?: boolean;
  /** The figure behind the words. */
  title?: string;
}

function Slider({ name, said, range: [least, most], value, set, step = 1, off = false, title }: SliderProps) {
  return (
    <label class="field" title={title}>
      <span>
        {name} <span class="soft">{said}</span>
      </span>
      <input
        type="range"
        min={least}
        max={most}
        step={step}
        value={value}
        disabled={off}
        aria-valuetext={said}
        onInput={(event) => set(event.currentTarget.valueAsNumber)}
      />
    </label>
  );
}

/** The wall from in front, the lamp on it: dragged where the light comes from. The sliders beside it do the same by keys. */
function Dial() {
  const box = useRef<SVGSVGElement>(null);
  const [x, y] = onDial(seeing.value);
  const drag = (event: PointerEvent) => {
    const area = box.current?.getBoundingClientRect();
    if (!area || area.width === 0) return;
    set(lightAt((event.clientX - area.left) / area.width, (event.clientY - area.top) / area.height));
  };
  return (
    <svg
      ref={box}
      class="dial"
      viewBox="-0.1 -0.1 1.2 1.2"
      aria-hidden="true"
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        drag(event);
      }}
      onPointerMove={(event) => {
        if (event.currentTarget.hasPointerCapture(event.pointerId)) drag(event);
      }}
    >
      <circle class="dial-wall" cx="0.5" cy="0.5" r="0.5" />
      <rect class="dial-work" x="0.4" y="0.42" width="0.2" height="0.16" />
      <line class="dial-ray" x1={x} y1={y} x2="0.5" y2="0.5" />
      <circle class="dial-lamp" cx={x} cy={y} r="0.075" />
    </svg>
  );
}
