// The frame of the pages, and the keys that work everywhere.

import { useEffect } from "preact/hooks";
import { PatternPage } from "../pages/pattern";
import { ReliefPage } from "../pages/relief";
import { Start } from "../pages/start";
import { ViewPage } from "../pages/view";
import { WoodsPage } from "../pages/woods";
import { Bar, Tabs } from "./bar";
import { Help, keysShown } from "./help";
import { narrow, useNarrow } from "./narrow";
import { Notes } from "./notes";
import { goTo, PLACES, place, placeIn, useStudio } from "./shared";
import { typing } from "./typing";

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
    case "woods":
      return <WoodsPage />;
    case "relief":
      return <ReliefPage />;
    case "view":
      return <ViewPage />;
    default:
      return <PatternPage />;
  }
}

function useKeys(): void {
  const studio = useStudio();
  useEffect(() => {
    const hashed = () => {
      place.value = placeIn(location.hash);
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
      else if (!control && !event.altKey && "1234".includes(key)) {
        const to = PLACES[Number(key) - 1];
        if (to && studio.model.value) goTo(to);
      }
    };
    addEventListener("hashchange", hashed);
    addEventListener("keydown", pressed);
    return () => {
      removeEventListener("hashchange", hashed);
      removeEventListener("keydown", pressed);
    };
  }, []);
}
