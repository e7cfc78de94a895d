//! Photographs rendered by a pinhole camera of our own, whose board, light, tint and noise are known.

use measure::Dice;
use measure::colour::{Lab, delta_e_2000, rgb_from_xyz, to_byte};
use measure::length::Um;

use super::*;

const SIZE: (u32, u32) = (1200, 800);
const BOARD: (f64, f64) = (600.0, 160.0);

/// What is in front of the camera, mm on the board's plane.
struct Scene {
    /// Half the face's colour along one edge is sapwood down to this share of its width.
    sap: f64,
    colours: [Lab; 2],
    paper: f64,
    fall: (f64, f64),
    tint: [f64; 3],
    /// Tilt, turn, and distance of the camera.
    camera: (f64, f64, f64),
    exposure: f64,
}

/// Red, green and blue of daylight of a temperature over that of 6504 K (CIE 015: the daylight locus, 4000 to 7000 K and
/// above), green at 1.
fn daylight(kelvin: f64) -> [f64; 3] {
    let t = 1000.0 / kelvin;
    let x = if kelvin <= 7000.0 {
        0.244_063 + 0.099_11 * t + 2.967_8 * t * t - 4.607 * t * t * t
    } else {
        0.237_04 + 0.247_48 * t + 1.901_8 * t * t - 2.006_4 * t * t * t
    };
    let y = -3.0 * x * x + 2.87 * x - 0.275;
    let rgb = rgb_from_xyz([x / y, 1.0, (1.0 - x - y) / y]);
    rgb.map(|channel| channel / rgb[1])
}

impl Scene {
    fn random(dice: &mut Dice) -> Scene {
        let heart = Lab::new(dice.between(30.0, 60.0), dice.between(6.0, 18.0), dice.between(12.0, 30.0));
        let sap = Lab::new(heart.l + dice.between(12.0, 25.0), heart.a - 4.0, heart.b + dice.between(-2.0, 4.0));
        Scene {
            sap: dice.between(0.2, 0.4),
            colours: [heart, sap],
            paper: 0.9,
            fall: (dice.between(-0.15, 0.15), dice.between(-0.15, 0.15)),
            tint: daylight(dice.between(4000.0, 8000.0)),
            camera: (dice.between(-0.45, 0.45), dice.between(-0.3, 0.3), dice.between(800.0, 950.0)),
            exposure: 0.75,
        }
    }

    fn reflected(&self, (x, y): (f64, f64)) -> [f64; 3] {
        if (-20.0..620.0).contains(&x) && (-60.0..0.0).contains(&y) {
            return [self.paper; 3];
        }
        if !(0.0..BOARD.0).contains(&x) || !(0.0..BOARD.1).contains(&y) {
            return [0.05; 3];
        }
        self.colours[usize::from(y > (1.0 - self.sap) * BOARD.1)].to_linear()
    }

    /// Where a place of the plane is seen.
    fn seen(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let (tilt, turn, far) = self.camera;
        let (x, y) = (x - BOARD.0 / 2.0, y - BOARD.1 / 2.0 + 20.0);
        let (across, deep) = (x * libm::cos(turn), x * libm::sin(turn));
        let (down, deeper) =
            (y * libm::cos(tilt) - deep * libm::sin(tilt), y * libm::sin(tilt) + deep * libm::cos(tilt));
        let z = far + deeper;
        (f64::from(SIZE.0) / 2.0 + 1250.0 * across / z, f64::from(SIZE.1) / 2.0 + 1250.0 * down / z)
    }

    /// The place of the plane that a pixel sees, by Newton's method on `seen`.
    fn on(&self, (px, py): (f64, f64), start: (f64, f64)) -> (f64, f64) {
        let mut at = start;
        for _ in 0..6 {
            let (u, v) = self.seen(at);
            let (a, b) = (self.seen((at.0 + 0.01, at.1)), self.seen((at.0, at.1 + 0.01)));
            let (ux, vx, uy, vy) = ((a.0 - u) * 100.0, (a.1 - v) * 100.0, (b.0 - u) * 100.0, (b.1 - v) * 100.0);
            let det = ux * vy - uy * vx;
            let (du, dv) = (px - u, py - v);
            at = (at.0 + (du * vy - dv * uy) / det, at.1 + (dv * ux - du * vx) / det);
        }
        at
    }

    fn photograph(&self, dice: &mut Dice) -> Raster {
        let mut pixels = Vec::new();
        for y in 0..SIZE.1 {
            let mut at = (BOARD.0 / 2.0, BOARD.1 / 2.0);
            for x in 0..SIZE.0 {
                at = self.on((f64::from(x) + 0.5, f64::from(y) + 0.5), at);
                let light = 1.0 + self.fall.0 * at.0 / BOARD.0 + self.fall.1 * at.1 / BOARD.1;
                let seen = self.reflected(at);
                let byte = |c: usize, dice: &mut Dice| {
                    let exact = f64::from(to_byte(seen[c] * self.tint[c] * light * self.exposure));
                    (exact + 2.0 * dice.normal()).round().clamp(0.0, 255.0) as u8
                };
                pixels.push([byte(0, dice), byte(1, dice), byte(2, dice), u8::MAX]);
            }
        }
        Raster { width: SIZE.0, height: SIZE.1, pixels }
    }

    fn four(&self, (left, top, right, bottom): (f64, f64, f64, f64)) -> [(f64, f64); 4] {
        let share = |at| {
            let (x, y) = self.seen(at);
            (x / f64::from(SIZE.0), y / f64::from(SIZE.1))
        };
        [(left, top), (right, top), (right, bottom), (left, bottom)].map(share)
    }

    fn shot(&self) -> Shot {
        Shot {
            corners: self.four((0.0, 0.0, BOARD.0, BOARD.1)),
            white: self.four((5.0, -55.0, 595.0, -5.0)),
            reflects: self.paper,
            length: Um(600_000),
            width: None,
            thickness: Um(20_000),
            name: "from the window".into(),
            wood: WoodId("walnut-black".into()),
        }
    }
}

/// The bar: zones' ΔE00 2.0 on average, worst 4. A stated length alone gives the width within 2 mm of 160.
#[test]
fn colours_zones_and_size_come_back() {
    let mut dice = Dice::new(5);
    let (mut off, mut worst_mm) = (Vec::new(), 0.0_f64);
    for round in 0..12 {
        let scene = Scene::random(&mut dice);
        let found =
            photographed(&scene.photograph(&mut dice), &scene.shot()).unwrap_or_else(|r| panic!("{round}: {r}"));
        assert_eq!(found.zones.len(), 1, "{round}: {:?}", found.board.zones);
        off.push(delta_e_2000(found.colour, scene.colours[0]));
        off.push(delta_e_2000(found.zones[0], scene.colours[1]));
        let width = f64::from(found.board.outline[2].y) / 1000.0;
        worst_mm = worst_mm.max((width - BOARD.1).abs());
        let tops: Vec<f64> = found.board.zones[0].outline.iter().map(|p| f64::from(p.y) / 1000.0).collect();
        let top = tops.iter().copied().fold(f64::MAX, f64::min);
        worst_mm = worst_mm.max((top - (1.0 - scene.sap) * BOARD.1).abs() - 600.0 / 120.0);
    }
    let (mean, worst) = (off.iter().sum::<f64>() / off.len() as f64, off.iter().copied().fold(0.0, f64::max));
    println!("ΔE00 {mean:.2} on average, {worst:.2} at worst; {worst_mm:.2} mm");
    assert!(mean <= 2.0 && worst <= 4.0, "{mean} {worst} {off:?}");
    assert!(worst_mm <= 2.0, "{worst_mm}");
}

#[test]
fn what_shows_no_board_is_refused_in_words() {
    let mut dice = Dice::new(9);
    let scene = Scene { exposure: 1.0, ..Scene::random(&mut dice) };
    let said = |scene: &Scene, shot: &Shot, dice: &mut Dice| match photographed(&scene.photograph(dice), shot) {
        Err(refusal) => {
            assert!(!refusal.ways.is_empty());
            refusal.what
        }
        Ok(found) => panic!("{found:?} should have been refused"),
    };
    let burnt = Scene { exposure: 2.5, ..Scene::random(&mut dice) };
    assert!(said(&burnt, &burnt.shot(), &mut dice).contains("overexposed"));
    let black = Shot { white: scene.four((5.0, -120.0, 595.0, -70.0)), ..scene.shot() };
    let dark = Scene { exposure: 0.4, ..Scene::random(&mut dice) };
    let on_cloth = Shot { white: dark.four((5.0, 170.0, 595.0, 200.0)), ..dark.shot() };
    assert!(said(&dark, &on_cloth, &mut dice).contains("dark or coloured"), "{black:?}");
    let blue = Scene { colours: [Lab::new(45.0, 5.0, -40.0); 2], exposure: 0.7, ..Scene::random(&mut dice) };
    assert!(said(&blue, &blue.shot(), &mut dice).contains("no wood"));
    let mut crossed = blue.shot();
    crossed.corners.swap(0, 1);
    assert!(said(&blue, &crossed, &mut dice).contains("corners"));
}
