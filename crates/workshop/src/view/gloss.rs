//! The gloss of a finish: what it mirrors of the window and of the room into the eye.
//!
//! Method: where air meets a finish, 4 % of the light is thrown back, more at a grazing angle (Fresnel, index 1.5; by Schlick 1994).
//! A dull finish scatters it over the wood as an even veil; a bright one mirrors it. The image mirrored is a window in the
//! direction of the lamp, its panes parted by bars, the wall that it lights about it, and a room that is the darker behind the eye
//! the more of all light the lamp gives. Window and wall hold as much light as the lamp, the room as much as comes from all
//! round, so that a face keeps its light whatever the gloss. The eye is at one place before the panel; pieces lie a little
//! out of true and are sanded a little round and uneven, so each breaks the image. A finish sinks into open grain, which
//! mirrors less: grain shows through the image.
//! Where it fails: pieces do not mirror each other, and a window has the size of a window wherever the lamp stands.

use super::expose::Sent;
use super::light::Lamp;
use super::noise::step;

/// The share thrown back straight on where air meets a finish of index 1.5 (Fresnel).
const VEIL: f32 = 0.04;
/// The gloss under which woods are measured, as `Pose` has it.
const USUAL: f32 = 0.25;
/// A dark wood keeps this share of its colour when its veil goes.
const LEAST_LEFT: f32 = 0.8;
/// The eye is so many widths of the panel away: near enough that a mirror image changes over the panel.
const EYE_AWAY: f32 = 1.4;
/// Half a window, to the sides and up, and half a bar between its panes, as tangents. Common practice, no source.
const WINDOW: [f32; 2] = [0.36, 0.46];
const BAR: f32 = 0.03;
/// What comes straight from the window; the wall about it throws the rest.
const STRAIGHT: f32 = 0.72;
/// How narrow the glow of the wall about the window is: about 35° to its waist.
const NARROW: f32 = 5.0;
/// How wide a dull and a bright finish smear an edge, as tangents.
const SMEAR: (f32, f32) = (0.5, 0.05);
/// How much brighter a room is above than below, in shares of what it is darker behind the eye.
const ABOVE: f32 = 0.5;
/// Rows and columns in which the window's light is summed.
const SUMMED: usize = 64;

/// What the finish mirrors.
pub(super) struct Gloss {
    lamp: Lamp,
    strength: f32,
    sharpness: f32,
    flat: f32,
    /// How much of what is thrown back is mirrored that was veil under the usual gloss.
    mirrored: f32,
    smear: f32,
    /// To the side and up, seen from the window.
    sides: [[f32; 3]; 2],
    /// How bright the panes are, and the wall just beside them.
    pane: f32,
    wall: f32,
    eye: [f32; 3],
}

/// What a finish makes of a sample: what it takes from the wood's reflectance and the light that it mirrors.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Film {
    taken: f32,
    pub sheen: f32,
}

impl Film {
    /// The reflectance under it: a dull surface lays a pale veil over the wood, a bright one takes it away.
    pub(super) fn over(&self, colour: f32) -> f32 {
        (colour - self.taken).max(LEAST_LEFT * colour)
    }
}

impl Gloss {
    /// Of so many percent under a lamp; the eye `aside` degrees to the right of a panel of these measures, mm.
    pub(super) fn new(percent: u32, lamp: &Lamp, (panel, aside): ([f32; 2], i32)) -> Gloss {
        let share = percent.min(100) as f32 / 100.0;
        let sharpness = libm::powf(2.0, 4.0 + 4.0 * share);
        let angle = aside as f32 * (std::f32::consts::PI / 180.0);
        let away = EYE_AWAY * panel[0].max(panel[1]);
        let [x, y, z] = lamp.toward;
        let side = unit([z, 0.0, -x]);
        let up = [y * side[2], z * side[0] - x * side[2], -y * side[0]];
        let mut gloss = Gloss {
            lamp: *lamp,
            strength: 0.02 + 0.5 * share.min(USUAL) * share.min(USUAL),
            sharpness,
            flat: lamp.mirrored([0.0, 0.0, 1.0], sharpness),
            mirrored: share - USUAL,
            smear: SMEAR.0 + (SMEAR.1 - SMEAR.0) * share.sqrt(),
            sides: [side, up],
            pane: 1.0,
            // A spherical Gaussian of sharpness k holds 2π / k of its peak, at a mean cosine of 1 − 1 / k to its middle.
            wall: (1.0 - STRAIGHT) * lamp.share * NARROW / (2.0 * z * (1.0 - 1.0 / NARROW)),
            eye: [panel[0] / 2.0 + away * libm::sinf(angle), panel[1] / 2.0, away * libm::cosf(angle)],
        };
        gloss.pane = STRAIGHT * lamp.share * std::f32::consts::PI / gloss.through();
        gloss
    }

    /// What a flat face gets through a window of brightness 1.
    fn through(&self) -> f32 {
        let reach = WINDOW.map(|half| half + self.smear);
        let at = |of: usize, axis: usize| (2.0 * (of as f32 + 0.5) / SUMMED as f32 - 1.0) * reach[axis];
        let mut sum = 0.0;
        for of in 0..SUMMED * SUMMED {
            let place = [at(of % SUMMED, 0), at(of / SUMMED, 1)];
            let square = 1.0 + place[0] * place[0] + place[1] * place[1];
            let high = self.lamp.toward[2] + place[0] * self.sides[0][2] + place[1] * self.sides[1][2];
            sum += self.panes(place) * (high / square.sqrt()).max(0.0) / (square * square.sqrt());
        }
        4.0 * reach[0] * reach[1] * sum / (SUMMED * SUMMED) as f32
    }

    /// What the finish makes of a sample. Under the usual gloss a flat face keeps its colour: that sheen is in the table's
    /// measured colour.
    pub(super) fn film(&self, sent: &Sent) -> Film {
        if sent.closed <= 0.0 {
            return Film::default();
        }
        let edge = self.edge(sent);
        if self.mirrored <= 0.0 || sent.open <= 0.0 {
            return Film { taken: VEIL * self.mirrored, sheen: edge };
        }
        let [x, y] = sent.place;
        let eye = unit([self.eye[0] - x, self.eye[1] - y, self.eye[2]]);
        let normal = unit([sent.normal[0] + sent.lean[0], sent.normal[1] + sent.lean[1], sent.normal[2]]);
        let cosine = dot(normal, eye);
        let toward: [f32; 3] = std::array::from_fn(|axis| 2.0 * cosine * normal[axis] - eye[axis]);
        let taken = self.mirrored * thrown_back(cosine.clamp(0.0, 1.0));
        let image = sent.open * self.room(toward) + sent.lamp * self.window(toward);
        Film { taken, sheen: edge + taken * sent.closed * image }
    }

    /// The lamp's own image on an eased edge.
    fn edge(&self, sent: &Sent) -> f32 {
        if sent.lamp <= 0.0 || sent.normal[2] > 0.9999 {
            return 0.0;
        }
        sent.lamp * self.strength * (self.lamp.mirrored(sent.normal, self.sharpness) - self.flat).max(0.0)
    }

    /// How bright the room is in a direction. Weighted by the cosine, its mean over the hemisphere is what comes from all round.
    fn room(&self, [_, y, z]: [f32; 3]) -> f32 {
        let darker = self.lamp.share;
        (1.0 - self.lamp.share) * (1.0 + darker * (1.0 - 2.0 * z * z - ABOVE * y))
    }

    /// How bright window and wall are in a direction: over the hemisphere they give a flat face the lamp's share.
    fn window(&self, toward: [f32; 3]) -> f32 {
        let ahead = dot(toward, self.lamp.toward);
        let wall = self.wall * libm::expf(NARROW * (ahead - 1.0));
        if ahead <= 0.5 {
            return wall;
        }
        wall + self.pane * self.panes(self.sides.map(|side| dot(toward, side) / ahead))
    }

    /// How much of a pane a place of the window is, as the finish smears it.
    fn panes(&self, place: [f32; 2]) -> f32 {
        let within = |axis: usize| step(-self.smear, self.smear, WINDOW[axis] - place[axis].abs());
        let bar = |at: f32| (1.0 - step(BAR, BAR + self.smear, at.abs())) * BAR / (BAR + 0.5 * self.smear);
        within(0) * within(1) * (1.0 - bar(place[0])) * (1.0 - bar(place[1] + 0.3 * WINDOW[1]))
    }
}

/// The share that is thrown back where the eye stands at this cosine to the normal (Schlick 1994).
fn thrown_back(cosine: f32) -> f32 {
    let away = 1.0 - cosine;
    VEIL + (1.0 - VEIL) * away * away * away * away * away
}

fn dot(a: [f32; 3], b: [f32; 3]) -> f32 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn unit(of: [f32; 3]) -> [f32; 3] {
    let length = dot(of, of).sqrt();
    of.map(|part| part / length)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::pose::Light;

    const PANEL: [f32; 2] = [400.0, 300.0];

    fn flat(place: [f32; 2]) -> Sent {
        Sent { light: [1.0; 3], lamp: 1.0, normal: [0.0, 0.0, 1.0], place, open: 1.0, closed: 1.0, ..Sent::default() }
    }

    /// Summed over the hemisphere with Lambert's cosine, window and wall give what the lamp gives, and the room the rest.
    #[test]
    fn the_image_holds_the_light_of_lamp_and_room() {
        for percent in [40, 100] {
            let lamp = Lamp::new(Light { from: 300, height: 65, share: 70 });
            let gloss = Gloss::new(percent, &lamp, (PANEL, 0));
            let (rings, ways) = (400, 720);
            let (mut window, mut room) = (0.0f64, 0.0f64);
            for at in 0..rings * ways {
                // Rings of equal sin² have equal weight under the cosine.
                let sine = ((f64::from(at / ways) + 0.5) / f64::from(rings)).sqrt();
                let way = f64::from(at % ways) / f64::from(ways) * std::f64::consts::TAU;
                let toward =
                    [sine * libm::cos(way), sine * libm::sin(way), (1.0 - sine * sine).sqrt()].map(|part| part as f32);
                window += f64::from(gloss.window(toward)) / f64::from(rings * ways);
                room += f64::from(gloss.room(toward)) / f64::from(rings * ways);
            }
            assert!((window / 0.7 - 1.0).abs() < 0.03, "{percent}: {window}");
            assert!((room / 0.3 - 1.0).abs() < 0.01, "{percent}: {room}");
        }
    }

    #[test]
    fn a_bright_finish_mirrors_the_glow_on_the_side_of_the_lamp_and_a_dull_one_nowhere() {
        let lamp = Lamp::new(Light { from: 270, ..Light::default() });
        let seen = |percent, x| {
            let gloss = Gloss::new(percent, &lamp, (PANEL, 0));
            let film = gloss.film(&flat([x, 150.0]));
            film.over(0.05) + film.sheen
        };
        assert!(seen(90, 10.0) > seen(90, 390.0) + 0.01, "{} {}", seen(90, 10.0), seen(90, 390.0));
        assert_eq!(seen(25, 10.0), 0.05);
        assert_eq!(seen(0, 10.0), seen(0, 390.0));
    }

    /// Schlick's form of Fresnel's law against the law itself for index 1.5 (Born and Wolf, Principles of Optics, 1.5.2).
    #[test]
    fn more_is_thrown_back_at_a_grazing_angle() {
        for degrees in [0.0f64, 30.0, 60.0, 75.0, 80.0] {
            let (within, cosine) = (libm::asin(libm::sin(degrees.to_radians()) / 1.5), libm::cos(degrees.to_radians()));
            let square = |part: f64| part * part;
            let across = square((cosine - 1.5 * libm::cos(within)) / (cosine + 1.5 * libm::cos(within)));
            let along = square((libm::cos(within) - 1.5 * cosine) / (libm::cos(within) + 1.5 * cosine));
            let (found, law) = (f64::from(thrown_back(cosine as f32)), 0.5 * (across + along));
            assert!((found - law).abs() < 0.03, "{degrees}: {found} {law}");
        }
    }

    /// The white furnace again: in an even light a white face stays white under any gloss, whichever way it leans.
    #[test]
    fn a_white_face_in_even_light_is_white_under_any_gloss() {
        let lamp = Lamp::new(Light { share: 0, ..Light::default() });
        for (percent, aside) in [(25, 30), (60, -20), (100, 0), (100, 30)] {
            let gloss = Gloss::new(percent, &lamp, (PANEL, aside));
            let face = Sent { lean: [0.02, -0.01], ..flat([30.0, 250.0]) };
            let film = gloss.film(&face);
            let sent = film.over(1.0) + film.sheen;
            assert!((sent - 1.0).abs() < 1e-5, "{percent} {aside}: {sent}");
        }
    }
}
