//! Views side by side, and the picture among them: to compare before it is decided.

use measure::Watch;

use super::{Lit, Pose, render};
use crate::derived::Derived;
use crate::picture::Raster;
use crate::work::Work;

/// Between views, in shares of the height of the first.
const APART: f64 = 0.02;
/// What lies between them: the grey of a mount, the same to both sides.
const MOUNT: u8 = 118;

/// A view of each state of a job, with the picture to their left if it is given. `None` when stopped.
pub fn compared(
    (states, picture): (&[Work], Option<&Raster>),
    derived: &mut Derived,
    pose: Pose,
    watch: Watch,
) -> Option<Lit> {
    let views = states.iter().map(|work| render(work, derived, pose, watch));
    let mut views: Vec<Lit> = views.collect::<Option<_>>()?;
    let height = views.first()?.height;
    views.splice(..0, picture.map(|raster| of_picture(raster, height)));
    beside(&views)
}

/// Views beside each other, from the left, all brought to the height of the first; `None` when there is none.
fn beside(views: &[Lit]) -> Option<Lit> {
    let height = views.first()?.height;
    let views: Vec<Lit> = views.iter().map(|view| scaled(view, height)).collect();
    let apart = ((f64::from(height) * APART).round() as u32).max(1);
    let width = views.iter().map(|view| view.width + apart).sum::<u32>() - apart;
    let mut pixels = vec![MOUNT; width as usize * height as usize * 3];
    let mut left = 0;
    for view in &views {
        for (row, line) in view.pixels.chunks_exact(view.width as usize * 3).enumerate() {
            pixels[(row * width as usize + left) * 3..][..line.len()].copy_from_slice(line);
        }
        left += (view.width + apart) as usize;
    }
    Some(Lit { width, height, pixels })
}

/// The picture that the work starts from, as a view of this height; what is transparent shows white.
fn of_picture(raster: &Raster, height: u32) -> Lit {
    let over = |[r, g, b, a]: [u8; 4]| {
        [r, g, b].map(|channel| ((u32::from(channel) * u32::from(a) + 255 * (255 - u32::from(a)) + 127) / 255) as u8)
    };
    let pixels = raster.pixels.iter().flat_map(|pixel| over(*pixel)).collect();
    scaled(&Lit { width: raster.width, height: raster.height, pixels }, height)
}

/// Brought to a height: the mean of what each pixel covers, or what lies nearest when it grows.
fn scaled(view: &Lit, height: u32) -> Lit {
    if view.height == height || view.width == 0 || view.height == 0 {
        return view.clone();
    }
    let of = |pixels: &Lit, row: usize, column: usize, c: usize| {
        pixels.pixels[(row * pixels.width as usize + column) * 3 + c]
    };
    let width = ((u64::from(view.width) * u64::from(height) + u64::from(view.height) / 2) / u64::from(view.height))
        .max(1) as u32;
    let span = |at: u32, from: u32, to: u32| {
        let first = u64::from(at) * u64::from(from) / u64::from(to);
        let past = (u64::from(at) + 1) * u64::from(from) / u64::from(to);
        first as usize..(past.max(first + 1) as usize).min(from as usize)
    };
    let mut pixels = Vec::with_capacity(width as usize * height as usize * 3);
    for row in 0..height {
        let rows = span(row, view.height, height);
        for column in 0..width {
            let columns = span(column, view.width, width);
            let count = (rows.len() * columns.len()) as u32;
            for c in 0..3 {
                let all = rows.clone().flat_map(|y| columns.clone().map(move |x| (y, x)));
                let sum: u32 = all.map(|(y, x)| u32::from(of(view, y, x, c))).sum();
                pixels.push(((sum + count / 2) / count) as u8);
            }
        }
    }
    Lit { width, height, pixels }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(width: u32, height: u32, value: u8) -> Lit {
        Lit { width, height, pixels: vec![value; (width * height * 3) as usize] }
    }

    #[test]
    fn views_stand_at_one_height_with_a_gap_between() {
        let both = beside(&[plain(100, 50, 10), plain(60, 100, 200)]).expect("two views");
        assert_eq!((both.width, both.height), (100 + 1 + 30, 50));
        let row = &both.pixels[20 * 131 * 3..21 * 131 * 3];
        assert_eq!((row[99 * 3], row[100 * 3], row[101 * 3], row[130 * 3]), (10, MOUNT, 200, 200));
    }

    #[test]
    fn what_is_transparent_shows_white() {
        let raster = Raster { width: 2, height: 1, pixels: vec![[0, 0, 0, 0], [0, 0, 0, 255]] };
        assert_eq!(of_picture(&raster, 1).pixels, [255, 255, 255, 0, 0, 0]);
    }
}
