// A mask: a second picture that says what of the first becomes wood.

import { PHOTOGRAPHS } from "./photographed";

/** The field to choose one, in a form by its name or taken at once. */
export function MaskField({ take }: { take?: (mask: File) => void }) {
  return (
    <label class="field">
      <span>Mask, if you have one: a picture of the same shape, white where it becomes wood</span>
      <input
        name="mask"
        type="file"
        accept={PHOTOGRAPHS}
        onChange={(event) => {
          const field = event.currentTarget;
          const mask = field.files?.[0];
          if (!mask || !take) return;
          take(mask);
          // The same file may be mended and chosen again.
          field.value = "";
        }}
      />
    </label>
  );
}
