// The panel beside the photograph of a board: what it is, what was found, and its way to the rack.

import { useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import type { BoardPhoto } from "../../state/board-photo";
import { beside, offSaid, offTitle, zoneSaid } from "../../state/colour";
import { lengthSaid, lengthTyped } from "../../state/length";
import type { Model } from "../../state/model";
import type { BoardLook } from "../../state/wire";
import { MeasureField, NameField, WoodField, woodsInUseFirst } from "../../view/board-fields";
import { Icon } from "../../view/icons";
import { Looking, reflects, type White } from "../../view/looking";
import { Swatch } from "../../view/pieces";
import { Section } from "../../view/section";
import { useStudio } from "../../view/shared-parts";

/** Two offcuts that differ by less look alike to most eyes; the trade has no agreed figure, this is from memory. */
const SEEN_FROM = 2;

export function PhotoPanel({ model, photo, done }: { model: Model; photo: BoardPhoto; done: () => void }) {
  const studio = useStudio();
  const { unit } = model.setup;
  const name = useSignal("");
  const wood = useSignal(woodsInUseFirst(model)[0]?.key ?? "");
  const white = useSignal<White>("paper");
  const [length, width, thickness] = [useSignal(""), useSignal(""), useSignal("")];
  const own = useSignal(false);
  const working = useSignal(false);
  const typed = (text: string) => {
    const um = lengthTyped(text, unit);
    return um === 0 ? null : um;
  };
  const whole =
    name.value.trim() !== "" &&
    typed(length.value) !== null &&
    typed(thickness.value) !== null &&
    (width.value.trim() === "" || typed(width.value) !== null);
  const look = async () => {
    const [long, thick] = [typed(length.value), typed(thickness.value)];
    if (long === null || thick === null) return;
    working.value = true;
    const found = await studio.lookAtBoard(photo.file, photo.file.name, {
      corners: photo.places.board.value,
      white: photo.places.white.value,
      reflects: reflects(white.value),
      length: long,
      width: typed(width.value),
      thickness: thick,
      name: name.value.trim(),
      wood: wood.value,
    });
    working.value = false;
    photo.foundIs(found);
  };
  const put = async () => {
    if (await studio.putBoard(own.value)) done();
  };
  const inUnit = unit === "mm" ? "mm" : "in";
  return (
    <>
      <Section title="A board by a photograph">
        <p class="soft small">
          Lay white paper or a grey card beside the board, level with its face, in even light. Drag corners 1
          to 4 to the board's, 1 and 2 at the ends of its length, and the others to a plain part of the white.
          Or reach them with Tab and move them with the arrow keys.
        </p>
        <form
          class="section-body"
          onSubmit={(event) => {
            event.preventDefault();
            void look();
          }}
          onInput={() => photo.foundIs(null)}
        >
          <NameField name={name} />
          <WoodField model={model} wood={wood} />
          {(
            [
              [`Length from corner 1 to 2, ${inUnit}`, length, unit === "mm" ? "600" : "24"],
              [`Width, ${inUnit}, if you know it`, width, unit === "mm" ? "150" : "6"],
              [`Thickness, ${inUnit}`, thickness, unit === "mm" ? "18" : "3/4"],
            ] as const
          ).map(([words, text, example]) => (
            <MeasureField key={words} words={words} text={text} unit={unit} example={example} />
          ))}
          <Looking
            what="board"
            white={white}
            whole={whole}
            working={working.value}
            stale={() => photo.foundIs(null)}
            done={done}
          />
        </form>
      </Section>
      {photo.look.value && (
        <Found model={model} look={photo.look.value}>
          <label class="choice">
            <input
              type="checkbox"
              checked={own.value}
              onChange={(event) => {
                own.value = event.currentTarget.checked;
              }}
            />
            <span>Take this as the colour of this wood, in the place of the table's</span>
          </label>
          <button type="button" class="button main" onClick={put}>
            <Icon name="plus" /> Put it on the rack
          </button>
        </Found>
      )}
    </>
  );
}

function Found({ model, look, children }: { model: Model; look: BoardLook; children: ComponentChildren }) {
  const said = (um: number) => lengthSaid(um, model.setup.unit);
  return (
    <Section title="What it shows" aside={`${said(look.length)} by ${said(look.width)}`}>
      {/* A later look has another face at the same address. */}
      <img
        class="face-found"
        src={`/api/board/face.png?${look.lab.join()}-${look.length}`}
        alt="The board's face in white light"
      />
      <ul class="list">
        <Coloured colour={look.colour} title={offTitle(look.off)}>
          its colour:{" "}
          {look.off < SEEN_FROM
            ? "as the table has this wood"
            : `${offSaid(look.off)} beside what the table has of this wood`}
        </Coloured>
        {look.zones.map(([given, colour]) => {
          const { name, figures } = zoneSaid(given);
          return (
            <Coloured key={given} colour={colour} title={figures}>
              {name}: {beside(colour, look.colour)} the most of it
            </Coloured>
          );
        })}
      </ul>
      {children}
    </Section>
  );
}

interface ColouredProps {
  colour: string;
  title: string | undefined;
  children: ComponentChildren;
}

function Coloured({ colour, title, children }: ColouredProps) {
  return (
    <li class="found-colour" title={title}>
      <Swatch colour={colour} />
      <span>{children}</span>
    </li>
  );
}
