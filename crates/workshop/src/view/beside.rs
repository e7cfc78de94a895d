//! Views side by side or one under the other, whichever makes the squarer whole, and the picture among them: to compare
//! before it is decided.

use measure::Watch;
use measure::colour::{from_byte, to_byte};

use super::develop::luminance;
use super::{Lit, Pose, Show, render};
use crate::derived::Derived;
use crate::picture::Raster;
use crate::work::Work;

/// Between views, in shares of the height of the first.
const APART: f64 = 0.02;
/// What lies between them: the grey of a mount, the same to both sides.
const MOUNT: u8 = 118;

/// A view of each state of a job, after the picture if it is given; beside that the relief stands without its frame. `None`
/// when stopped.
pub fn compared(
    (states, picture): (&[Work], Option<&Raster>),
    derived: &mut Derived,
    pose: Pose,
    watch: Watch,
) -> Option<Lit> {
    let pose = Pose { frame: pose.frame && picture.is_none(), ..pose };
    let views = states.iter().map(|work| render(work, derived, pose, watch));
    let mut views: Vec<Lit> = views.collect::<Option<_>>()?;
    let height = views.first()?.height;
    views.splice(..0, picture.map(|raster| shown(&of_picture(raster, height), pose.show)));
    beside(&views)
}

/// The picture as the view shows what it shows: in greys where that is in greys.
fn shown(picture: &Lit, show: Show) -> Lit {
    let grey = |pixel: &[u8]| [to_byte(f64::from(luminance([0, 1, 2].map(|c| from_byte(pixel[c]) as f32)))); 3];
    match show {
        Show::Picture => picture.clone(),
        Show::Greys => Lit { pixels: picture.pixels.chunks_exact(3).flat_map(grey).collect(), ..picture.clone() },
    }
}

/// Views in a row, all as high as the first, or in a column, all as wide; `None` when there is none.
fn beside(views: &[Lit]) -> Option<Lit> {
    let first = views.first()?;
    let share = f64::from(first.width) / f64::from(first.height);
    if share > 1.0 && views.len() > 1 {
        let turned: Vec<Lit> = views.iter().map(turned).collect();
        return row(&turned).map(|whole| self::turned(&whole));
    }
    row(views)
}

/// Rows become columns.
fn turned(view: &Lit) -> Lit {
    let (width, height) = (view.height, view.width);
    let at = |at: usize| (at % width as usize) * view.width as usize + at / width as usize;
    let all = 0..width as usize * height as usize;
    let pixels = all.flat_map(|place| view.pixels[at(place) * 3..][..3].iter().copied()).collect();
    Lit { width, height, pixels }
}

fn row(views: &[Lit]) -> Option<Lit> {
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
        let both = row(&[plain(100, 50, 10), plain(60, 100, 200)]).expect("two views");
        assert_eq!((both.width, both.height), (100 + 1 + 30, 50));
        let line = &both.pixels[20 * 131 * 3..21 * 131 * 3];
        assert_eq!((line[99 * 3], line[100 * 3], line[101 * 3], line[130 * 3]), (10, MOUNT, 200, 200));
    }

    #[test]
    fn wide_views_stand_one_under_the_other() {
        let both = beside(&[plain(100, 50, 10), plain(50, 100, 200)]).expect("two views");
        assert_eq!((both.width, both.height), (100, 50 + 2 + 200));
        let at = |row: usize| both.pixels[(row * 100 + 7) * 3];
        assert_eq!([at(49), at(50), at(51), at(52), at(251)], [10, MOUNT, MOUNT, 200, 200]);
        let tall = beside(&[plain(50, 100, 10), plain(50, 100, 200)]).expect("two views");
        assert_eq!((tall.width, tall.height), (102, 100));
    }

    #[test]
    fn the_picture_beside_greys_is_grey() {
        let picture = Lit { width: 1, height: 1, pixels: vec![255, 0, 0] };
        // Red has 0.2126 of the light of white (IEC 61966-2-1), which is the byte 127.
        assert_eq!(shown(&picture, Show::Greys).pixels, [127; 3]);
        assert_eq!(shown(&picture, Show::Picture), picture);
    }

    #[test]
    fn what_is_transparent_shows_white() {
        let raster = Raster { width: 2, height: 1, pixels: vec![[0, 0, 0, 0], [0, 0, 0, 255]] };
        assert_eq!(of_picture(&raster, 1).pixels, [255, 255, 255, 0, 0, 0]);
    }
}
