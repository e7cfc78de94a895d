// How the picture lies under the panel: set over the whole of it.

import { FramedPicture } from "../../state/framing";
import type { Model } from "../../state/model";
import type { Framing } from "../../state/wire";
import { Framer } from "../../view/framer";
import { Icon } from "../../view/icons";
import { Panel } from "../../view/panel";
import { Section } from "../../view/section";
import { useStudio } from "../../view/shared";
import { pictureAt } from "../../view/subject";

/** The job's picture, to be framed; under a pattern in the shape of its panel. */
export function framedOf(model: Model): FramedPicture | null {
  const { picture, panel, accepted } = model.setup;
  return picture
    ? new FramedPicture(
        picture.width,
        picture.height,
        picture.framing,
        accepted ? panel.width / panel.height : null,
      )
    : null;
}

export function FramingOpen({
  model,
  framed,
  done,
}: {
  model: Model;
  framed: FramedPicture;
  done: () => void;
}) {
  const studio = useStudio();
  const { accepted, panel, trace } = model.setup;
  const take = async () => {
    const { framing } = framed;
    const drafted = studio.draft.peek() !== null;
    if (!(await studio.edit({ picture: { framing } }))) return;
    // What was drawn of the picture as it lay before is drawn anew.
    if (drafted) void studio.wish(trace.pieces);
    done();
  };
  return (
    <main class="page">
      <Framer href={pictureAt(model.setup, true) ?? ""} framed={framed}>
        {accepted && (
          <g transform={`scale(${1000 / panel.width} ${1000 / panel.height})`}>
            {[...model.borders.values()].map((border) => (
              <path key={border.id} class="saw-under" d={border.d} />
            ))}
          </g>
        )}
      </Framer>
      <Panel name="Picture" open>
        <Section title="Framing">
          <p class="soft small">
            {accepted
              ? "The pattern stays as it is: move the picture beneath its lines, or drag the corners. Pieces take the colours that they lie on then."
              : "Drag corners and edges to what becomes the work: its width stays, its height follows."}{" "}
            Tab reaches each, and the arrow keys move it.
          </p>
          <button type="button" class="button main" onClick={() => void take()}>
            <Icon name="check" /> Frame the picture so
          </button>
          <button type="button" class="button" onClick={done}>
            Leave it
          </button>
        </Section>
      </Panel>
    </main>
  );
}

export function FramingFolded({ model, open }: { model: Model; open: () => void }) {
  return (
    <Section title="Framing" aside={framingSaid(model.setup.picture?.framing)}>
      <button type="button" class="button" onClick={open}>
        <Icon name="crop" /> Crop, turn, level
      </button>
    </Section>
  );
}

function framingSaid(framing: Framing | undefined): string {
  if (!framing) return "the whole picture";
  const { turn, crop } = framing;
  const share = Math.round((crop.width / 1e4) * (crop.height / 1e6));
  const turned = turn === 0 ? "" : `, turned ${turn / 100}°`;
  return `${share} % of it${turned}`;
}
