// The pages of spelk.

import { render } from "preact";
import { httpDoor } from "./state/door";
import { Studio } from "./state/studio";
import { Room } from "./view/room";
import { StudioContext } from "./view/shared";
import { keepTheme } from "./view/theme";

const studio = new Studio(httpDoor());
keepTheme();
void studio.begin();

const room = document.getElementById("room");
if (room) {
  render(
    <StudioContext.Provider value={studio}>
      <Room />
    </StudioContext.Provider>,
    room,
  );
}
