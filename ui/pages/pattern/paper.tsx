// A drawing on paper: which breaks in its lines are bridged, and the pattern drawn from it again.

import type { Model } from "../../state/model";
import { Icon } from "../../view/icons";
import { Section } from "../../view/section";
import { useStudio } from "../../view/shared";
import { BridgeField } from "../picture/ink";

export function OnPaper({ model }: { model: Model }) {
  const studio = useStudio();
  return (
    <Section title="Drawing on paper">
      <p class="soft small">
        This pattern is your own drawing: change it with the line tools, or have it drawn again with other
        breaks in its lines bridged. What you drew, held or settled stays as it lies; undo brings the present
        pattern back.
      </p>
      <BridgeField model={model} />
      <button
        type="button"
        class="button"
        disabled={studio.acts.runs("trace")}
        onClick={() => void studio.accept()}
      >
        <Icon name="pattern" /> Draw the pattern anew
      </button>
    </Section>
  );
}
