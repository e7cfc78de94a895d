//! The picture turned and cropped. Without a pattern the panel takes the shape of what is seen; a pattern stays as it is, and the
//! picture moves beneath it. What was marked on the picture moves with it.

use measure::plane::Point;

use super::setup::set_panel;
use crate::picture::{Framed, fitted, scaled};
use crate::work::edit::{Edit, picture};
use crate::work::{Crop, Framing, PictureRef, Place, Refusal, Size, SubjectMarks, Way, Work};

/// Half a turn, hundredths of a degree.
const HALF_TURN: i32 = 18_000;
/// The shortest side that shows shapes, pixels.
const LEAST_SIDE: f64 = 16.0;
/// Farther out than this a crop is a slip, millionths of the picture.
const FARTHEST: std::ops::RangeInclusive<i32> = -1_000_000..=2_000_000;
/// How much the shape of what is seen may differ from the panel's: what rounding gives, and no eye sees.
const SHAPE: f64 = 0.002;
/// How far strokes may run out of the panel, µm.
const OUT: i32 = 1_000;

/// Width and height of what is seen of a picture, pixels; refused where nothing sound is seen.
pub(super) fn sound(picture: &PictureRef) -> Result<(f64, f64), Refusal> {
    let framed = Framed::of(picture);
    let Some(framing) = &picture.framing else { return Ok(framed.size()) };
    let Crop { left, top, width, height } = framing.crop;
    if !(-HALF_TURN..=HALF_TURN).contains(&framing.turn) {
        let what = format!("A picture cannot be turned by {}°.", f64::from(framing.turn) / 100.0);
        return Err(Refusal::new(what).way(Way::advice("Turn it by -180 to 180 degrees, clockwise as seen.")));
    }
    if width <= 0 || height <= 0 {
        return Err(Refusal::new("The crop is empty: it has no width or no height.")
            .way(Way::advice("Say its left and upper edge, then how wide and how high it is.")));
    }
    if [left, top, width, height].iter().any(|share| !FARTHEST.contains(share)) || !framed.is_over() {
        return Err(Refusal::new("The crop lies outside the picture.")
            .way(Way::advice("Its middle, at least, lies on the picture.")));
    }
    let (across, down) = framed.size();
    if across < LEAST_SIDE || down < LEAST_SIDE {
        let what = format!("The crop is {across:.0} by {down:.0} pixels, which shows no shapes to saw.");
        return Err(Refusal::new(what).way(Way::advice("Crop less of the picture away.")));
    }
    Ok((across, down))
}

/// The same, all of it on the picture.
pub(super) fn sound_inside(picture: &PictureRef) -> Result<(f64, f64), Refusal> {
    let size = sound(picture)?;
    if Framed::of(picture).is_inside() {
        return Ok(size);
    }
    let refusal = Refusal::new("The crop reaches beyond the picture.");
    Err(match picture.framing.and_then(|framing| fitted(&framing, picture)) {
        Some(fits) => refusal.way(way("Crop as much of it as lies on the picture.", fits)),
        None => refusal,
    })
}

fn way(says: &str, framing: Framing) -> Way {
    Way { says: says.into(), edits: vec![Edit::Picture(picture::Edit::Framing(Some(framing)))] }
}

/// Turns and crops the job's picture.
pub(super) fn set(work: &mut Work, framing: Option<Framing>) -> Result<(), Refusal> {
    let Some(before) = work.picture.clone() else {
        return Err(Refusal::new("There is no picture to crop: this pattern is an own drawing."));
    };
    let after = PictureRef { framing: framing.filter(|framing| *framing != Framing::default()), ..before.clone() };
    let panel = work.panel;
    if work.pattern.areas.is_empty() {
        let (across, down) = sound_inside(&after)?;
        let height = measure::length::Um::mm(panel.width.to_mm() * down / across);
        set_panel(work, Size { width: panel.width, height })?;
    } else {
        of_panel_shape(&after, panel)?;
    }
    let moved = Moved { from: (Framed::of(&before), panel), to: (Framed::of(&after), work.panel) };
    let trace = &mut work.choices.trace;
    trace.subject = trace.subject.iter().filter_map(|round| moved.round(round)).collect();
    trace.places = trace.places.iter().filter_map(|place| moved.place(place)).collect();
    work.picture = Some(after);
    Ok(())
}

/// Under a pattern what is seen has the panel's shape.
fn of_panel_shape(picture: &PictureRef, panel: Size) -> Result<(), Refusal> {
    let (across, down) = sound(picture)?;
    let wider = across / down * panel.height.to_mm() / panel.width.to_mm();
    if (wider - 1.0).abs() <= SHAPE {
        return Ok(());
    }
    let framing = picture.framing.unwrap_or_default();
    let by = if wider > 1.0 { (1.0 / wider, 1.0) } else { (1.0, wider) };
    let shaped = Framing { crop: scaled(framing.crop, by), ..framing };
    let what = "The pattern keeps its shape, and this crop of the picture has another.";
    Err(Refusal::new(what).way(way("Crop the most of it that has the panel's shape.", shaped)))
}

/// What was said on the picture, as it lies under the panel now.
struct Moved {
    from: (Framed, Size),
    to: (Framed, Size),
}

impl Moved {
    fn point(&self, point: Point) -> Point {
        let sides = |size: Size| (f64::from(size.width.0), f64::from(size.height.0));
        let ((from, before), (to, after)) = ((self.from.0, sides(self.from.1)), (self.to.0, sides(self.to.1)));
        let (u, v) = to.share_at(from.picture_at((f64::from(point.x) / before.0, f64::from(point.y) / before.1)));
        Point::new((u * after.0).round() as i32, (v * after.1).round() as i32)
    }

    fn is_on(&self, point: &Point) -> bool {
        let size = self.to.1;
        (-OUT..=size.width.0 + OUT).contains(&point.x) && (-OUT..=size.height.0 + OUT).contains(&point.y)
    }

    /// What of the strokes lies on the panel; a round of which nothing does is gone.
    fn round(&self, round: &SubjectMarks) -> Option<SubjectMarks> {
        let strokes = |all: &[Vec<Point>]| all.iter().flat_map(|stroke| self.stroke(stroke)).collect::<Vec<_>>();
        let moved = SubjectMarks { keep: strokes(&round.keep), drop: strokes(&round.drop) };
        (!moved.keep.is_empty() || !moved.drop.is_empty()).then_some(moved)
    }

    fn stroke(&self, stroke: &[Point]) -> Vec<Vec<Point>> {
        let moved: Vec<Point> = stroke.iter().map(|point| self.point(*point)).collect();
        moved.split(|point| !self.is_on(point)).filter(|run| !run.is_empty()).map(<[Point]>::to_vec).collect()
    }

    fn place(&self, place: &Place) -> Option<Place> {
        let around: Vec<Point> = place.around.iter().map(|point| self.point(*point)).collect();
        around.iter().any(|point| self.is_on(point)).then_some(Place { around, ..*place })
    }
}

#[cfg(test)]
mod tests {
    use measure::length::Um;

    use super::*;
    use crate::apply;
    use crate::pattern::sample::accepted;

    fn framing(turn: i32, [left, top, width, height]: [i32; 4]) -> Framing {
        Framing { turn, crop: Crop { left, top, width, height } }
    }

    fn edit(framing: Framing) -> Edit {
        Edit::Picture(picture::Edit::Framing(Some(framing)))
    }

    /// Without a pattern, on a picture of 300 by 200 pixels, 420 mm wide.
    fn begun() -> Work {
        let mut work = Work { panel: Size { width: Um(420_000), height: Um(280_000) }, ..Work::default() };
        place(&mut work, 300, 200);
        work
    }

    fn place(work: &mut Work, width: u32, height: u32) {
        let text = format!(r#"{{"hash": "a", "width": {width}, "height": {height}}}"#);
        let picture = serde_json::from_str(&text).unwrap();
        apply(work, &Edit::Picture(picture::Edit::Place(picture))).unwrap();
    }

    #[test]
    fn without_a_pattern_the_panel_takes_the_shape_and_marks_stay_on_the_picture() {
        let mut work = begun();
        let stroke = vec![Point::new(210_000, 140_000), Point::new(320_000, 140_000), Point::new(415_000, 140_000)];
        let round = SubjectMarks { keep: vec![stroke], drop: vec![vec![Point::new(2_000, 2_000)]] };
        apply(&mut work, &Edit::Picture(picture::Edit::Mark(round))).unwrap();
        apply(&mut work, &edit(framing(0, [250_000, 0, 500_000, 1_000_000]))).unwrap();
        assert_eq!(work.panel, Size { width: Um(420_000), height: Um(560_000) });
        // The middle stays the middle; the upper end lies beyond, as does what was dropped.
        let kept = vec![Point::new(210_000, 280_000)];
        assert_eq!(work.choices.trace.subject, [SubjectMarks { keep: vec![kept], drop: vec![] }][..]);
        apply(&mut work, &edit(framing(9000, [0, 0, 1_000_000, 1_000_000]))).unwrap();
        assert_eq!(work.panel.height, Um(630_000));
        assert_eq!(work.choices.trace.subject[0].keep[0], [Point::new(210_000, 315_000)]);
        apply(&mut work, &Edit::Picture(picture::Edit::Framing(None))).unwrap();
        assert_eq!((work.panel.height, work.picture.unwrap().framing), (Um(280_000), None));
    }

    #[test]
    fn under_a_pattern_only_the_picture_moves() {
        let mut work = accepted(6, 4);
        let (across, down) = (work.panel.width.0 as u32 / 100, work.panel.height.0 as u32 / 100);
        place(&mut work, across, down);
        let before = work.clone();
        apply(&mut work, &edit(framing(300, [200_000, 100_000, 700_000, 700_000]))).unwrap();
        assert_eq!((&work.pattern, &work.pieces, work.panel), (&before.pattern, &before.pieces, before.panel));
        let refusal = apply(&mut work, &edit(framing(0, [200_000, 100_000, 500_000, 700_000]))).unwrap_err();
        assert!(refusal.what.contains("keeps its shape"), "{refusal}");
        apply(&mut work, &refusal.ways[0].edits[0]).unwrap();
        assert_eq!(work.picture.unwrap().framing.unwrap().crop.width, 500_000);
    }

    #[test]
    fn what_shows_nothing_is_refused() {
        let mut work = begun();
        for (turn, crop, says) in [
            (0, [0, 0, 0, 500_000], "empty"),
            (0, [0, 0, 500_000, -3], "empty"),
            (0, [1_200_000, 0, 500_000, 500_000], "outside"),
            (0, [0, i32::MAX, 500_000, 500_000], "outside"),
            (0, [0, 0, 50_000, 50_000], "15 by 10 pixels"),
            (0, [600_000, 0, 500_000, 1_000_000], "beyond"),
            (200, [0, 0, 1_000_000, 1_000_000], "beyond"),
            (36_000, [0, 0, 1_000_000, 1_000_000], "360°"),
        ] {
            let before = work.clone();
            let refusal = apply(&mut work, &edit(framing(turn, crop))).unwrap_err();
            assert!(refusal.what.contains(says), "{crop:?}: {refusal}");
            assert_eq!(work, before);
            if let Some(mend) = refusal.ways[0].edits.first() {
                apply(&mut work, mend).unwrap();
            }
        }
        let bare = apply(&mut Work::default(), &edit(framing(0, [0, 0, 500_000, 500_000]))).unwrap_err();
        assert!(bare.what.contains("no picture"), "{bare}");
    }
}
