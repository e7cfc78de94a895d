//! The face of a piece that lies on a photographed board: that part of the photograph, under the job's finish.
//!
//! Each pixel is a raw colour of its own and ages and takes the finish as its wood does. Where it fails: a photograph shows
//! one face, so the sides of a piece show its edge drawn down; what planing brings up is not known.

use std::sync::Arc;

use measure::colour::Lab;
use measure::plane::Point;
use measure::stamp;

use super::pose::{Pose, Surface};
use crate::derived::Derived;
use crate::picture::Shown;
use crate::stock::laid_point;
use crate::wood;
use crate::work::{Lie, Number, Photograph, Wood, Work};

/// Photographs kept as they look: the boards of one job raw, finished and in a few years.
const KEPT: usize = 48;

/// Where a piece lies on a photograph.
#[derive(Clone, Debug)]
pub(super) struct Photo {
    whole: Arc<Shown>,
    /// From x, y of the page in mm to the pixel: the place of the origin, then what a mm right and a mm down add.
    to: [[f32; 2]; 3],
}

impl Photo {
    /// The photograph under a piece, if it lies on a photographed board.
    pub(super) fn of(
        (work, derived): (&Work, &mut Derived),
        number: Number,
        (wood, pose): (&Wood, &Pose),
    ) -> Option<Photo> {
        let lie = work.layout.get(&number)?.value;
        let photograph = work.boards.get(&lie.board)?.photograph.as_ref()?;
        let whole = shown((work, derived), photograph, (wood, pose))?;
        let outlines = derived.outlines(work);
        let outer = outlines.areas.get(&work.pieces.get(&number)?.area)?.rings.first()?;
        Some(Photo { to: to_pixels((outer, &lie), photograph, [whole.across, whole.down]), whole })
    }

    /// The mean of the board.
    pub(super) fn mean(&self) -> [f32; 3] {
        self.whole.mean
    }

    /// What shows at a place of the page, mm; between pixels what lies between them.
    pub(super) fn at(&self, [x, y]: [f32; 2]) -> [f32; 3] {
        let place = |c: usize| self.to[0][c] + x * self.to[1][c] + y * self.to[2][c] - 0.5;
        let [(left, right, u), (top, low, v)] =
            [(place(0), self.whole.across), (place(1), self.whole.down)].map(|(at, count)| between(at, count));
        let pixel = |x: usize, y: usize| self.whole.pixels[y * self.whole.across + x];
        let (a, b, c, d) = (pixel(left, top), pixel(right, top), pixel(left, low), pixel(right, low));
        std::array::from_fn(|k| (1.0 - v) * (a[k] + u * (b[k] - a[k])) + v * (c[k] + u * (d[k] - c[k])))
    }
}

/// The pixels beside a place along one axis, and the share of the second.
fn between(at: f32, count: usize) -> (usize, usize, f32) {
    let at = at.clamp(0.0, (count - 1) as f32);
    let low = at as usize;
    (low, (low + 1).min(count - 1), at - low as f32)
}

fn to_pixels((outer, lie): (&[Point], &Lie), photograph: &Photograph, size: [usize; 2]) -> [[f32; 2]; 3] {
    // Far apart, so that whole micrometres are exact enough.
    const FAR_MM: i32 = 100;
    let on_board = |x: i32, y: i32| {
        let at = laid_point(outer, Point::new(x * FAR_MM * 1000, y * FAR_MM * 1000), lie);
        let share = |um: i32, of: i32, pixels: usize| um as f32 / of.max(1) as f32 * pixels as f32;
        [share(at.x, photograph.length.0, size[0]), share(at.y, photograph.width.0, size[1])]
    };
    let [origin, right, down] = [on_board(0, 0), on_board(1, 0), on_board(0, 1)];
    let step = |end: [f32; 2]| std::array::from_fn(|c| (end[c] - origin[c]) / FAR_MM as f32);
    [origin, step(right), step(down)]
}

fn shown(
    (work, derived): (&Work, &mut Derived),
    photograph: &Photograph,
    (wood, pose): (&Wood, &Pose),
) -> Option<Arc<Shown>> {
    let raster = derived.photograph(&photograph.hash)?.clone();
    let finished = pose.surface == Surface::Finished;
    let finish = finished.then_some((&work.choices.finish, &work.choices.own_finish));
    let key = stamp(&(&photograph.hash, (finish, pose.years), &wood.light));
    if derived.shown.len() >= KEPT && !derived.shown.contains_key(&key) {
        derived.shown.clear();
    }
    let make = || Arc::new(Shown::new(&raster, |raw| look((work, wood), raw, pose)));
    Some(derived.shown.entry(key).or_insert_with(make).clone())
}

fn look((work, wood): (&Work, &Wood), raw: Lab, pose: &Pose) -> Lab {
    match pose.surface {
        Surface::Raw => wood::aged(raw, wood, f64::from(pose.years)),
        Surface::Finished => wood::aged_look((work, wood), raw, f64::from(pose.years)),
    }
}
