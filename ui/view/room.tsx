// The frame of the pages, and the keys that work everywhere.

import { useEffect } from "preact/hooks";
import { PatternPage } from "../pages/pattern";
import { PicturePage } from "../pages/picture";
import { ReliefPage } from "../pages/relief";
import { Start } from "../pages/start";
import { StockPage } from "../pages/stock";
import { ViewPage } from "../pages/view";
import { WoodsPage } from "../pages/woods";
import type { Studio } from "../state/studio";
import type { Edit } from "../state/wire";
import { Bar, Tabs } from "./bar";
import { viewport } from "./canvas";
import { Help, keysShown } from "./help";
import { narrow, useNarrow } from "./narrow";
import { Notes } from "./notes";
import { goTo, PLACES, place, placeIn, useStudio } from "./shared";
import { typing } from "./typing";
import { planned } from "./words";

export function Room() {
  const studio = useStudio();
  useKeys();
  useNarrow();
  const job = studio.model.value;
  const desk = !job || place.value === "start";
  return (
    <div class="room">
      <Bar />
      {desk ? <Start /> : <Page />}
      {job && narrow.value && <Tabs />}
      <Notes />
      <Help />
    </div>
  );
}

function Page() {
  switch (place.value) {
    case "picture":
      return <PicturePage />;
    case "woods":
      return <WoodsPage />;
    case "relief":
      return <ReliefPage />;
    case "stock":
      return <StockPage />;
    case "view":
      return <ViewPage />;
    default:
      return <PatternPage />;
  }
}

function stepTo(studio: Studio, by: 1 | -1): void {
  const area = studio.picking.next(by);
  const label = area === null ? null : studio.model.peek()?.areas.get(area)?.label;
  if (label) viewport.show({ x: label.x_mm, y: label.y_mm });
}

/** Pins the woods of the picked pieces; when all are pinned already, frees them. */
function pinWoods(studio: Studio): void {
  const decided = studio.picking.pieces
    .peek()
    .filter(planned)
    .flatMap((piece) => (piece.wood ? [{ piece, wood: piece.wood }] : []));
  if (decided.length === 0) {
    studio.tell("Pick pieces that have a wood and are not cut yet: it will be pinned.");
    return;
  }
  const loose = decided.filter(({ wood }) => wood.by !== "hand");
  const edits = (loose.length > 0 ? loose : decided).map(({ piece, wood }): Edit => {
    const whom = { piece: piece.number };
    return { wood: loose.length > 0 ? { choose: { whom, wood: wood.value } } : { unchoose: whom } };
  });
  void studio.edit(...edits);
}

function useKeys(): void {
  const studio = useStudio();
  useEffect(() => {
    const hashed = () => {
      place.value = placeIn(location.hash);
      studio.hush();
    };
    /** The first Escape puts a refusal away, and nothing else. */
    const escaped = (event: KeyboardEvent) => {
      const within = event.target instanceof Element && event.target.closest("dialog") !== null;
      if (event.key === "Escape" && !within && studio.hush()) event.preventDefault();
    };
    const pressed = (event: KeyboardEvent) => {
      if (typing(event.target)) return;
      const control = event.ctrlKey || event.metaKey;
      const key = event.key.toLowerCase();
      if (control && key === "z") {
        event.preventDefault();
        void (event.shiftKey ? studio.redo() : studio.undo());
      } else if (control && key === "y") {
        event.preventDefault();
        void studio.redo();
      } else if (!control && key === "?") keysShown.value = true;
      else if (!control && (key === "," || key === ".")) stepTo(studio, key === "." ? 1 : -1);
      else if (!control && key === "w") pinWoods(studio);
      else if (!control && !event.altKey && "123456".includes(key)) {
        const to = PLACES[Number(key) - 1];
        if (to && studio.model.value) goTo(to);
      }
    };
    addEventListener("hashchange", hashed);
    addEventListener("keydown", escaped, { capture: true });
    addEventListener("keydown", pressed);
    return () => {
      removeEventListener("keydown", escaped, { capture: true });
      removeEventListener("hashchange", hashed);
      removeEventListener("keydown", pressed);
    };
  }, []);
}
