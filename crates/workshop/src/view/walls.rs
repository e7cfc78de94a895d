//! Walls, as they show from aside: lit between what lies at their foot and what their top sees.
//!
//! A wall stands in whole samples, its border does not: light and wood are taken at set distances from the border
//! itself, or every step of the samples would show as a bar across the wall. Where it fails: light is blended from foot
//! to top, whatever stands between.

use super::backdrop::Face;

use super::expose::{Sent, Shot};
use super::sky::{Around, let_in};

/// How far in front of a wall its foot is looked for, mm: past the kerf and the eased edge beyond.
const IN_FRONT_MM: f32 = 1.6;
/// How far behind a wall its top is looked at, mm: past the eased edge.
const BEHIND_MM: f32 = 1.2;
/// How far along a wall its light is taken together, mm, in so many steps either way; and how far heights may differ
/// from its own, mm.
const ALONG_MM: f32 = 3.0;
const STEPS: i32 = 5;
const LEVEL_MM: f32 = 1.0;
/// So deep below the tops beside it, mm, a gap begins to take light from its walls: within the round of its edges.
const MOUTH_MM: f32 = 0.3;

/// The mean of some places: how high they stand, how much of the lamp they see, and their light from all round.
#[derive(Default)]
struct Calm {
    high: f32,
    seen: f32,
    around: Around,
}

/// A wall's border: a place of the page on it, mm, and the way out.
#[derive(Clone, Copy)]
struct Brink {
    place: [f32; 2],
    out: [f32; 3],
}

impl Shot {
    /// What a wall sends, `z` mm above the backer, seen from the side `toward`.
    pub(super) fn wall(&self, (x, y): (usize, usize), (z, toward): (f32, i32)) -> Sent {
        let at = y * self.grid.across as usize + x;
        let face = self.field.face(&self.faces, at);
        let (out, mm) = self.field.out(at, toward as f32);
        let [across, down] = self.grid.place(x, y);
        let brink = Brink { place: [across + mm * out[0], down + mm * out[1]], out };
        let colour = face.bare([brink.place[0], brink.place[1], z - face.height], self.grid.step);
        let level = face.height;
        let top = self.calm(brink, -BEHIND_MM, |high| (high - level).abs() < LEVEL_MM);
        let top = top.or_else(|| self.calm(brink, -mm, |_| true)).unwrap_or_default();
        let light = match self.calm(brink, IN_FRONT_MM, |_| true) {
            None => self.rim(out, top.around.open),
            // What stands in front of this place, and higher, leaves a narrow gap.
            Some(foot) if z < foot.high - MOUTH_MM => {
                let deep = foot.high.min(level) - MOUTH_MM - z;
                let around = foot.around.narrowed(deep, face.colour);
                self.received(face.colour, (out, foot.seen * let_in(deep) * let_in(deep)), &around)
            }
            Some(foot) => {
                self.between((&foot, &top), (face, out), (z - foot.high.min(level)) / (level - foot.high).max(1e-3))
            }
        };
        Sent { colour, light, normal: out, ..Sent::default() }
    }

    /// What falls on a wall at a share of the way from its foot to its top.
    fn between(&self, (foot, top): (&Calm, &Calm), (face, out): (&Face, [f32; 3]), up: f32) -> [f32; 3] {
        let up = up.clamp(0.0, 1.0);
        let mut around = Around::default();
        around.add(&foot.around, 1.0 - up);
        around.add(&top.around, up);
        self.received(face.colour, (out, foot.seen + up * (top.seen - foot.seen)), &around)
    }

    /// The light so far out from a brink: the mean along it, where heights are as wanted. `None` where nothing is.
    fn calm(&self, brink: Brink, by: f32, wanted: impl Fn(f32) -> bool) -> Option<Calm> {
        let [x, y, _] = brink.out;
        let (mut sum, mut count) = (Calm::default(), 0.0);
        for step in -STEPS..=STEPS {
            let along = step as f32 * ALONG_MM / STEPS as f32;
            let place = [brink.place[0] + by * x - along * y, brink.place[1] + by * y + along * x];
            if let Some(at) = self.grid.at(place).filter(|at| wanted(self.field.heights.mm[*at])) {
                sum.high += self.field.heights.mm[at];
                sum.seen += self.seen[at];
                sum.around.add(&self.around_at(place).0, 1.0);
                count += 1.0;
            }
        }
        let mut mean = Around::default();
        mean.add(&sum.around, 1.0 / count);
        (count > 0.0).then_some(Calm { high: sum.high / count, seen: sum.seen / count, around: mean })
    }

    /// What falls on the panel's own edge: half of what it sees is open, half the wall that all hangs on.
    fn rim(&self, normal: [f32; 3], open: f32) -> [f32; 3] {
        let (beyond, sky, direct) = (self.faces.beyond(), self.lamp.sky(), self.lamp.on(normal));
        std::array::from_fn(|c| self.lamp.tint()[c] * direct + 0.5 * (open * sky[c] + beyond[c]))
    }
}
