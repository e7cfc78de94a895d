// A drawing on paper: where its sheet lies in the photograph, and the pattern drawn from it again.

import { useMemo } from "preact/hooks";
import { type Four, PaperPhoto } from "../../state/board-photo";
import type { Model } from "../../state/model";
import type { OnPaper } from "../../state/wire";
import { Icon } from "../../view/icons";
import { Panel } from "../../view/panel";
import { Photographed } from "../../view/photographed";
import { Section } from "../../view/section";
import { goTo, useStudio } from "../../view/shared";
import { pictureAt } from "../../view/subject";
import { BridgeField } from "./ink";

/** Corners are kept in shares of so much. */
const MILLION = 1e6;

export function SheetPage({ model, paper }: { model: Model; paper: OnPaper }) {
  const studio = useStudio();
  const href = pictureAt(model.setup, true);
  const lies = JSON.stringify(paper.corners);
  const photo = useMemo(() => new PaperPhoto(href ?? "", cornersOf(paper)), [href, lies]);
  const again = async () => {
    const corners = photo.places.sheet.value.map(toMillionths) as OnPaper["corners"];
    const moved = JSON.stringify(corners) !== JSON.stringify(cornersOf(paper).map(toMillionths));
    if (moved && !(await studio.edit({ picture: { corners } }))) return;
    goTo("pattern");
    await studio.accept();
  };
  return (
    <main class="page">
      <div class="sheet-held">
        <Photographed photo={photo} />
      </div>
      <Panel name="Picture" open>
        <Section title="Drawing on paper">
          <p class="soft small">
            Drag corners 1 to 4 to those of the sheet, or of a frame drawn on it, from the top left; Tab
            reaches each, and the arrow keys move it. The panel keeps its size. What you drew, held or settled
            stays as it lies; undo brings the present pattern back.
          </p>
          <BridgeField model={model} />
          <button
            type="button"
            class="button main"
            disabled={studio.acts.runs("trace")}
            onClick={() => void again()}
          >
            <Icon name="pattern" /> Draw the pattern anew
          </button>
        </Section>
      </Panel>
    </main>
  );
}

/** Where the sheet lies, in shares of the photograph; without corners it is the whole of it. */
function cornersOf({ corners }: OnPaper): Four {
  const all = corners ?? [
    [0, 0],
    [MILLION, 0],
    [MILLION, MILLION],
    [0, MILLION],
  ];
  return all.map(([x, y]) => [x / MILLION, y / MILLION]) as Four;
}

function toMillionths([x, y]: [number, number]): [number, number] {
  return [Math.round(x * MILLION), Math.round(y * MILLION)];
}
