// Small things that several pages show.

import { Icon } from "./icons";
import { useStudio } from "./shared";

export { useStudio };

/** In place of a page that needs a pattern. */
export function NoPattern() {
  return (
    <main class="empty">
      <Icon name="pattern" />
      <h2>There is no pattern yet</h2>
      <p class="soft">
        Slide to the number of pieces that you want to saw and accept the drawing. Then come back here.
      </p>
      <p>
        <a class="button main" href="#/pattern">
          Go to the pattern
        </a>
      </p>
    </main>
  );
}
