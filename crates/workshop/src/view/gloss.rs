//! The gloss of a finish: what it mirrors of the lamp, of the window about it and of the room into the eye.
//!
//! Method: where air meets a finish, 4 % of the light is thrown back (Fresnel, index 1.5). A dull finish scatters it over the wood
//! as an even veil; a bright one mirrors it. The image mirrored is the even light of the room and a wide soft glow
//! about the lamp, as of a window and the wall beside it, a spherical Gaussian with as much light as the lamp gives. The eye is
//! at one place before the panel, so faces on the lamp's side mirror more of the glow; pieces lie a little out of true
//! and are sanded a little round, so each breaks the image. In an even light mirror and veil give the same.
//! Where it fails: pieces do not mirror each other, and the lamp's sharp image shows on eased edges alone.

use super::expose::Sent;
use super::light::Lamp;

/// The share thrown back where air meets a finish of index 1.5 (Fresnel).
const VEIL: f32 = 0.04;
/// The gloss under which woods are measured, as `Pose` has it.
const USUAL: f32 = 0.25;
/// A dark wood keeps this share of its colour when its veil goes.
const LEAST_LEFT: f32 = 0.6;
/// The eye is so many widths of the panel away: near enough that a mirror image changes over the panel.
const EYE_AWAY: f32 = 1.6;
/// How narrow the glow about the lamp is mirrored by a dull and by a bright finish: about 30° and 15° to its waist.
const NARROW: (f32, f32) = (4.0, 14.0);

/// What the finish mirrors.
pub(super) struct Gloss {
    lamp: Lamp,
    strength: f32,
    sharpness: f32,
    flat: f32,
    /// How much of what is thrown back is mirrored that was veil under the usual gloss.
    mirrored: f32,
    narrow: f32,
    eye: [f32; 3],
}

impl Gloss {
    /// Of so many percent under a lamp; the eye `aside` degrees to the right of a panel of these measures, mm.
    pub(super) fn new(percent: u32, lamp: &Lamp, (panel, aside): ([f32; 2], i32)) -> Gloss {
        let share = percent.min(100) as f32 / 100.0;
        let sharpness = libm::powf(2.0, 4.0 + 4.0 * share);
        let angle = aside as f32 * (std::f32::consts::PI / 180.0);
        let away = EYE_AWAY * panel[0].max(panel[1]);
        Gloss {
            lamp: *lamp,
            strength: 0.02 + 0.5 * share * share,
            sharpness,
            flat: lamp.mirrored([0.0, 0.0, 1.0], sharpness),
            mirrored: VEIL * (share - USUAL),
            narrow: NARROW.0 + (NARROW.1 - NARROW.0) * share,
            eye: [panel[0] / 2.0 + away * libm::sinf(angle), panel[1] / 2.0, away * libm::cosf(angle)],
        }
    }

    /// The reflectance under it: a dull surface lays a pale veil over the wood, a bright one takes it away.
    pub(super) fn over(&self, colour: f32) -> f32 {
        (colour - self.mirrored).max(LEAST_LEFT * colour)
    }

    /// What it adds to the light of a sample. Under the usual gloss a flat face keeps its colour: that
    /// sheen is in the table's measured colour.
    pub(super) fn of(&self, sent: &Sent) -> f32 {
        self.edge(sent) + if self.mirrored > 0.0 && sent.open > 0.0 { self.face(sent) } else { 0.0 }
    }

    /// The lamp's own image on an eased edge.
    fn edge(&self, sent: &Sent) -> f32 {
        if sent.lamp <= 0.0 || sent.normal[2] > 0.9999 {
            return 0.0;
        }
        sent.lamp * self.strength * (self.lamp.mirrored(sent.normal, self.sharpness) - self.flat).max(0.0)
    }

    /// The image of room and glow.
    fn face(&self, sent: &Sent) -> f32 {
        let [x, y] = sent.place;
        let eye = unit([self.eye[0] - x, self.eye[1] - y, self.eye[2]]);
        let normal = unit([sent.normal[0] + sent.lean[0], sent.normal[1] + sent.lean[1], sent.normal[2]]);
        let twice = 2.0 * dot(normal, eye);
        let toward: [f32; 3] = std::array::from_fn(|axis| twice * normal[axis] - eye[axis]);
        self.mirrored * (sent.open * (1.0 - self.lamp.share) + sent.lamp * self.glow(toward))
    }

    /// How bright the glow about the lamp is in a direction, so that over the whole hemisphere it gives a flat face the lamp's
    /// share: a spherical Gaussian of sharpness k holds 2π / k of its peak, at a mean cosine of 1 − 1 / k to its middle.
    fn glow(&self, toward: [f32; 3]) -> f32 {
        let peak = self.lamp.share * self.narrow / (2.0 * self.lamp.toward[2] * (1.0 - 1.0 / self.narrow));
        peak * libm::expf(self.narrow * (dot(toward, self.lamp.toward) - 1.0))
    }
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
        Sent { light: [1.0; 3], lamp: 1.0, normal: [0.0, 0.0, 1.0], place, open: 1.0, ..Sent::default() }
    }

    /// Summed over the hemisphere with Lambert's cosine, the glow gives what the lamp gives.
    #[test]
    fn the_glow_holds_the_light_of_the_lamp() {
        let lamp = Lamp::new(Light { from: 300, height: 65, share: 70 });
        let gloss = Gloss::new(100, &lamp, (PANEL, 0));
        let (rings, ways) = (400, 720);
        let mut sum = 0.0f64;
        for at in 0..rings * ways {
            // Rings of equal sin² have equal weight under the cosine.
            let sine = ((f64::from(at / ways) + 0.5) / f64::from(rings)).sqrt();
            let way = f64::from(at % ways) / f64::from(ways) * std::f64::consts::TAU;
            let toward =
                [sine * libm::cos(way), sine * libm::sin(way), (1.0 - sine * sine).sqrt()].map(|part| part as f32);
            sum += f64::from(gloss.glow(toward)) / f64::from(rings * ways);
        }
        assert!((sum / 0.7 - 1.0).abs() < 0.03, "{sum}");
    }

    #[test]
    fn a_bright_finish_mirrors_the_glow_on_the_side_of_the_lamp_and_a_dull_one_nowhere() {
        let lamp = Lamp::new(Light { from: 270, ..Light::default() });
        let seen = |percent, x| {
            let gloss = Gloss::new(percent, &lamp, (PANEL, 0));
            gloss.over(0.05) + gloss.of(&flat([x, 150.0]))
        };
        assert!(seen(90, 10.0) > seen(90, 390.0) + 0.01, "{} {}", seen(90, 10.0), seen(90, 390.0));
        assert_eq!(seen(25, 10.0), 0.05);
        assert_eq!(seen(0, 10.0), seen(0, 390.0));
    }

    /// The white furnace again: in an even light a white face stays white under any gloss, whichever way it leans.
    #[test]
    fn a_white_face_in_even_light_is_white_under_any_gloss() {
        let lamp = Lamp::new(Light { share: 0, ..Light::default() });
        for (percent, aside) in [(25, 30), (60, -20), (100, 0), (100, 30)] {
            let gloss = Gloss::new(percent, &lamp, (PANEL, aside));
            let face = Sent { lean: [0.02, -0.01], ..flat([30.0, 250.0]) };
            let sent = gloss.over(1.0) + gloss.of(&face);
            assert!((sent - 1.0).abs() < 1e-5, "{percent} {aside}: {sent}");
        }
    }
}
