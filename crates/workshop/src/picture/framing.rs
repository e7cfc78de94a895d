//! The picture as it lies under the panel: turned, levelled, cropped, resampled once.
//!
//! A crop without a turn takes whole pixels as they are and quarter turns move them; else each pixel of the crop is taken by a
//! bicubic (Catmull-Rom, as Keys 1981 with a = -1/2) from the picture, brought down before where the crop has more pixels
//! than are worked on. Beyond the picture's edges its outermost pixels go on.

use image::imageops::{FilterType, crop_imm, rotate90, rotate180, rotate270};
use image::{Rgba, RgbaImage};
use rayon::prelude::*;

use super::{Raster, size};
use crate::work::{Crop, Framing, PictureRef};

/// A whole side in millionths.
const WHOLE: f64 = 1_000_000.0;
/// A quarter turn, hundredths of a degree.
const QUARTER: i32 = 9000;
/// How far corners may lie beyond the picture, shares of its sides: half a pixel of a large picture, for millionths are rounded.
const SLACK: f64 = 1e-4;
/// Pixels that a bicubic looks at beyond the one it is in, and one for rounding.
const MARGIN: f64 = 3.0;

type Place = (f64, f64);

/// A framing over a picture of known sides.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Framed {
    /// Sides of the picture, upright.
    picture: Place,
    /// Quarter turns clockwise, 0 to 3.
    quarters: i32,
    /// Cosine and sine of the rest of the turn.
    rest: Place,
    /// Left, top, width and height of the crop, in pixels of the picture after its quarter turns.
    left_top: Place,
    size: Place,
}

impl Framed {
    /// `framing` over a picture of these sides.
    pub(crate) fn new(framing: &Framing, (width, height): Place) -> Framed {
        let quarters = (framing.turn + QUARTER / 2).div_euclid(QUARTER);
        let rest = f64::from(framing.turn - quarters * QUARTER) / 100.0 * std::f64::consts::PI / 180.0;
        let rest = (libm::cos(rest), libm::sin(rest));
        let quarters = quarters.rem_euclid(4);
        let lying = if quarters % 2 == 0 { (width, height) } else { (height, width) };
        let Crop { left, top, width: across, height: down } = framing.crop;
        let of = |share: i32, side: f64| f64::from(share) / WHOLE * side;
        Framed {
            picture: (width, height),
            quarters,
            rest,
            left_top: (of(left, lying.0), of(top, lying.1)),
            size: (of(across, lying.0), of(down, lying.1)),
        }
    }

    /// As the picture of a job lies, or whole.
    pub(crate) fn of(picture: &PictureRef) -> Framed {
        let sides = (f64::from(picture.width), f64::from(picture.height));
        Framed::new(&picture.framing.unwrap_or_default(), sides)
    }

    /// Width and height of what is seen, pixels of the picture.
    pub(crate) fn size(&self) -> Place {
        self.size
    }

    /// Sides of the picture after its quarter turns.
    fn lying(&self) -> Place {
        let (width, height) = self.picture;
        if self.quarters % 2 == 0 { (width, height) } else { (height, width) }
    }

    /// From shares of the crop to pixels of the upright picture.
    pub(crate) fn picture_at(self, (u, v): Place) -> Place {
        let lying = self.lying();
        let (x, y) =
            (self.left_top.0 + u * self.size.0 - lying.0 / 2.0, self.left_top.1 + v * self.size.1 - lying.1 / 2.0);
        let (cos, sin) = self.rest;
        let (x, y) = (x * cos + y * sin + lying.0 / 2.0, y * cos - x * sin + lying.1 / 2.0);
        match self.quarters {
            0 => (x, y),
            1 => (y, lying.0 - x),
            2 => (lying.0 - x, lying.1 - y),
            _ => (lying.1 - y, x),
        }
    }

    /// From pixels of the upright picture to shares of the crop.
    pub(crate) fn share_at(self, (x, y): Place) -> Place {
        let lying = self.lying();
        let (x, y) = match self.quarters {
            0 => (x, y),
            1 => (lying.0 - y, x),
            2 => (lying.0 - x, lying.1 - y),
            _ => (y, lying.1 - x),
        };
        let (x, y) = (x - lying.0 / 2.0, y - lying.1 / 2.0);
        let (cos, sin) = self.rest;
        let (x, y) = (x * cos - y * sin + lying.0 / 2.0, y * cos + x * sin + lying.1 / 2.0);
        ((x - self.left_top.0) / self.size.0, (y - self.left_top.1) / self.size.1)
    }

    /// Whether a pixel place lies on the picture.
    fn on_picture(&self, (x, y): Place) -> bool {
        let within = |at: f64, side: f64| (-SLACK * side..=(1.0 + SLACK) * side).contains(&at);
        within(x, self.picture.0) && within(y, self.picture.1)
    }

    /// Whether the whole crop lies on the picture.
    pub(crate) fn is_inside(&self) -> bool {
        CORNERS.iter().all(|corner| self.on_picture(self.picture_at(*corner)))
    }

    /// Whether the crop's middle lies on the picture.
    pub(crate) fn is_over(&self) -> bool {
        self.on_picture(self.picture_at((0.5, 0.5)))
    }

    /// By how much the crop may be scaled about its middle and still lie on the picture, 1 at the most.
    fn room(&self) -> f64 {
        let middle = self.picture_at((0.5, 0.5));
        let room = |from: f64, to: f64, side: f64| {
            let way = to - from;
            if way == 0.0 { f64::INFINITY } else { (if way > 0.0 { side - from } else { -from }) / way }
        };
        CORNERS.iter().fold(1.0, |most, corner| {
            let (x, y) = self.picture_at(*corner);
            most.min(room(middle.0, x, self.picture.0)).min(room(middle.1, y, self.picture.1))
        })
    }
}

/// In shares of the crop.
const CORNERS: [Place; 4] = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];

/// The same turn with the crop scaled about its middle as far as it must be to lie on the picture; `None` where its middle does not.
pub(crate) fn fitted(framing: &Framing, picture: &PictureRef) -> Option<Framing> {
    let placed = Framed::new(framing, (f64::from(picture.width), f64::from(picture.height)));
    let room = placed.room();
    (placed.is_over() && room > 0.0).then(|| Framing { crop: scaled(framing.crop, (room, room)), ..*framing })
}

/// A crop with both sides scaled about its middle, rounded inwards.
pub(crate) fn scaled(crop: Crop, by: Place) -> Crop {
    let side = |from: i32, length: i32, by: f64| {
        let spare = (f64::from(length) * (1.0 - by) / 2.0).ceil() as i32;
        (from + spare, length - 2 * spare)
    };
    let ((left, width), (top, height)) = (side(crop.left, crop.width, by.0), side(crop.top, crop.height, by.1));
    Crop { left, top, width, height }
}

/// What of the picture is seen, at working size.
pub(super) fn seen(picture: &RgbaImage, framing: &Framing) -> Raster {
    let placed = Framed::new(framing, (f64::from(picture.width()), f64::from(picture.height())));
    if placed.rest == (1.0, 0.0) && placed.is_inside() {
        return size::to_working(whole_pixels(picture, &placed));
    }
    resampled(picture, &placed)
}

/// A crop along the pixels.
fn whole_pixels(picture: &RgbaImage, placed: &Framed) -> RgbaImage {
    let (one, other) = (placed.picture_at((0.0, 0.0)), placed.picture_at((1.0, 1.0)));
    let side = |a: f64, b: f64, most: u32| {
        let from = (a.min(b).round().max(0.0) as u32).min(most - 1);
        (from, ((a.max(b).round() as u32).min(most) - from).max(1))
    };
    let (left, width) = side(one.0, other.0, picture.width());
    let (top, height) = side(one.1, other.1, picture.height());
    let crop = crop_imm(picture, left, top, width, height).to_image();
    match placed.quarters {
        0 => crop,
        1 => rotate90(&crop),
        2 => rotate180(&crop),
        _ => rotate270(&crop),
    }
}

fn resampled(picture: &RgbaImage, placed: &Framed) -> Raster {
    let by = size::scale(placed.size.0 * placed.size.1);
    let side = |side: f64| (side * by).round().max(1.0) as u32;
    let (width, height) = (side(placed.size.0), side(placed.size.1));
    let (part, (left, top)) = beneath(picture, placed);
    let (mut part, less) = if by < 1.0 {
        let less = |side: u32| (f64::from(side) * by).round().max(1.0) as u32;
        let (across, down) = (less(part.width()), less(part.height()));
        let less = (f64::from(across) / f64::from(part.width()), f64::from(down) / f64::from(part.height()));
        (size::resized(part, across, down, FilterType::Triangle), less)
    } else {
        (part, (1.0, 1.0))
    };
    part.pixels_mut().for_each(|pixel| size::weight(&mut pixel.0));
    let pixel = |at: u32| {
        let (x, y) = (f64::from(at % width) + 0.5, f64::from(at / width) + 0.5);
        let (x, y) = placed.picture_at((x / f64::from(width), y / f64::from(height)));
        bicubic(&part, ((x - left) * less.0 - 0.5, (y - top) * less.1 - 0.5))
    };
    Raster { width, height, pixels: (0..width * height).into_par_iter().map(pixel).collect() }
}

/// What of the picture lies beneath the crop, and its left upper corner.
fn beneath(picture: &RgbaImage, placed: &Framed) -> (RgbaImage, Place) {
    let corners = CORNERS.map(|corner| placed.picture_at(corner));
    let side = |of: fn(&Place) -> f64, most: u32| {
        let least = corners.iter().map(of).fold(f64::INFINITY, f64::min) - MARGIN;
        let far = corners.iter().map(of).fold(f64::NEG_INFINITY, f64::max) + MARGIN;
        let from = (least.floor().max(0.0) as u32).min(most - 1);
        (from, (far.ceil().max(0.0) as u32).clamp(from + 1, most) - from)
    };
    let (left, width) = side(|place| place.0, picture.width());
    let (top, height) = side(|place| place.1, picture.height());
    (crop_imm(picture, left, top, width, height).to_image(), (f64::from(left), f64::from(top)))
}

/// The colour at a place between pixels that are weighted by their alpha.
fn bicubic(picture: &RgbaImage, (x, y): Place) -> [u8; 4] {
    let (left, top) = (x.floor(), y.floor());
    let (across, down) = (weights(x - left), weights(y - top));
    let near = |at: f64, step: usize, side: u32| (at + step as f64 - 1.0).clamp(0.0, f64::from(side - 1)) as u32;
    let mut sums = [0.0f64; 4];
    for (row, down) in down.iter().enumerate() {
        let y = near(top, row, picture.height());
        for (column, across) in across.iter().enumerate() {
            let Rgba(pixel) = picture.get_pixel(near(left, column, picture.width()), y);
            sums.iter_mut().zip(pixel).for_each(|(sum, value)| *sum += across * down * f64::from(*value));
        }
    }
    let mut pixel = sums.map(|sum| sum.round().clamp(0.0, 255.0) as u8);
    size::unweight(&mut pixel);
    pixel
}

/// Of the four pixels about a place, `t` beyond the second.
fn weights(t: f64) -> [f64; 4] {
    let (t2, t3) = (t * t, t * t * t);
    [(-t3 + 2.0 * t2 - t) / 2.0, (3.0 * t3 - 5.0 * t2 + 2.0) / 2.0, (-3.0 * t3 + 4.0 * t2 + t) / 2.0, (t3 - t2) / 2.0]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A picture whose colours tell where each pixel lies.
    fn sample() -> RgbaImage {
        RgbaImage::from_fn(120, 80, |x, y| Rgba([(2 * x) as u8, (3 * y) as u8, ((x * 7 + y * 13) % 200) as u8, 255]))
    }

    fn framing(turn: i32, [left, top, width, height]: [i32; 4]) -> Framing {
        Framing { turn, crop: Crop { left, top, width, height } }
    }

    #[test]
    fn a_crop_is_what_cutting_the_file_gives() {
        let cut = crop_imm(&sample(), 30, 20, 60, 40).to_image();
        assert_eq!(seen(&sample(), &framing(0, [250_000, 250_000, 500_000, 500_000])), size::to_working(cut));
    }

    #[test]
    fn quarter_turns_move_pixels() {
        for (turn, turned) in
            [(9000, rotate90(&sample())), (18000, rotate180(&sample())), (-9000, rotate270(&sample()))]
        {
            assert_eq!(seen(&sample(), &framing(turn, [0, 0, 1_000_000, 1_000_000])), size::to_working(turned));
        }
        let turned = crop_imm(&rotate90(&sample()), 8, 60, 40, 30).to_image();
        assert_eq!(seen(&sample(), &framing(9000, [100_000, 500_000, 500_000, 250_000])), size::to_working(turned));
    }

    #[test]
    fn there_and_back_is_the_same_place() {
        for turn in [0, 350, -4499, 9000, 9500, 18000, -17000, -9000, 4600] {
            let placed = Framed::new(&framing(turn, [200_000, 100_000, 400_000, 300_000]), (300.0, 200.0));
            for share in [(0.0, 0.0), (0.3, 0.9), (1.0, 0.5)] {
                let back = placed.share_at(placed.picture_at(share));
                assert!((back.0 - share.0).abs() < 1e-12 && (back.1 - share.1).abs() < 1e-12, "{turn} {share:?}");
            }
        }
    }

    /// The largest rectangle of a rectangle's own shape in it, turned by t: its sides shrink to 1 ÷ (cos t + a·sin t), a being the
    /// longer side by the shorter.
    #[test]
    fn a_levelled_picture_keeps_the_most_of_itself() {
        let picture: PictureRef = serde_json::from_str(r#"{"hash": "a", "width": 300, "height": 200}"#).unwrap();
        for turn in [250, -700, 3000] {
            let fits = fitted(&framing(turn, [0, 0, 1_000_000, 1_000_000]), &picture).unwrap();
            let angle = f64::from(turn.abs()) / 100.0 * std::f64::consts::PI / 180.0;
            let share = 1.0 / (libm::cos(angle) + 1.5 * libm::sin(angle));
            let crop = fits.crop;
            assert!((f64::from(crop.width) / WHOLE - share).abs() < 4e-6, "{turn}: {crop:?}, not {share}");
            assert_eq!((crop.left, crop.width), (crop.top, crop.height));
            assert!(Framed::new(&fits, (300.0, 200.0)).is_inside());
        }
        assert_eq!(fitted(&framing(0, [900_000, 0, 300_000, 200_000]), &picture), None);
    }

    /// A horizon that falls to the right by 5° lies level when the picture is turned by 5° counterclockwise.
    #[test]
    fn a_sloping_horizon_is_levelled() {
        let slope = libm::tan(5.0 * std::f64::consts::PI / 180.0);
        let sky = |x: f64, y: f64| y < 200.0 + (x - 300.0) * slope;
        let picture = RgbaImage::from_fn(600, 400, |x, y| {
            Rgba(if sky(f64::from(x) + 0.5, f64::from(y) + 0.5) { [230, 240, 250, 255] } else { [30, 60, 40, 255] })
        });
        let place: PictureRef = serde_json::from_str(r#"{"hash": "a", "width": 600, "height": 400}"#).unwrap();
        let level = fitted(&framing(-500, [0, 0, 1_000_000, 1_000_000]), &place).unwrap();
        let raster = seen(&picture, &level);
        for column in [0.02, 0.3, 0.7, 0.98] {
            let x = (column * f64::from(raster.width)) as u32;
            let dark = (0..raster.height).find(|y| raster.pixels[(y * raster.width + x) as usize][0] < 128).unwrap();
            let share = f64::from(dark) / f64::from(raster.height);
            assert!((share - 0.5).abs() < 0.004, "the horizon is at {share} of the height at {column}");
        }
    }

    #[test]
    fn beyond_the_picture_its_edge_goes_on() {
        let raster = seen(&sample(), &framing(0, [-200_000, 0, 1_000_000, 1_000_000]));
        let row = raster.height / 2 * raster.width;
        assert_eq!(raster.pixels[row as usize], raster.pixels[(row + raster.width / 10) as usize]);
        assert!(raster.pixels.iter().all(|pixel| pixel[3] == 255));
    }
}
