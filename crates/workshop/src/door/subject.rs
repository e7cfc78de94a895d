//! What of the picture becomes wood, at once: for marks to be followed while they are made.

use std::sync::Arc;

use measure::plane::Point;
use measure::stamp;

use crate::derived::Derived;
use crate::picture::{self, Cutout, under_mark};
use crate::work::{Refusal, Size, SubjectMarks, Way, Work};

/// The subject, on the picture's pixels.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Subject {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Row by row from the top: whether a pixel becomes wood; else it is ground.
    pub inside: Vec<bool>,
}

impl Subject {
    /// How many strokes of a round just made have no effect, to keep and to drop: no pixel under them is of their side.
    pub fn idle(&self, round: &SubjectMarks, panel: Size) -> (usize, usize) {
        let idle = |strokes: &[Vec<Point>], keep: bool| {
            let goes_over = |stroke: &&Vec<Point>| {
                let mut over = false;
                under_mark((self.width, self.height), panel, stroke, |pixel| over |= self.inside[pixel] == keep);
                over
            };
            strokes.iter().filter(|stroke| !goes_over(stroke)).count()
        };
        (idle(&round.keep, true), idle(&round.drop, false))
    }
}

/// The subject as the next trace finds it: by the marks, or without any by transparency and a plain ground. The leaves of
/// the picture are kept, so a further round takes a fraction of the first.
pub fn subject(work: &Work, derived: &mut Derived) -> Result<Subject, Refusal> {
    let raster = derived.picture().cloned().ok_or_else(|| {
        Refusal::new("There is no picture here.")
            .way(Way::advice("Start the job from a picture to choose its subject."))
    })?;
    let (width, height, choices) = (raster.width, raster.height, &work.choices.trace);
    if choices.subject.is_empty() {
        let inside = picture::plain_subject(&raster, work.panel, choices.ground);
        return Ok(Subject { width, height, inside });
    }
    let key = stamp(&work.picture);
    let cutout = match &derived.cutout {
        Some((known, cutout)) if *known == key => cutout.clone(),
        _ => derived.cutout.insert((key, Arc::new(Cutout::new(&raster)))).1.clone(),
    };
    Ok(Subject { width, height, inside: cutout.inside(work.panel, &choices.subject) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::work::edit::{Edit, picture as edit};
    use measure::plane::Point;

    fn scene() -> (Work, Derived) {
        scene_of(1)
    }

    /// A brown disc on a green ground of two tones, and a blue patch in the ground; so many pixels a millimetre.
    fn scene_of(fine: u32) -> (Work, Derived) {
        let colour = |at: u32| {
            let (x, y) = (f64::from(at % (200 * fine) / fine), f64::from(at / (200 * fine) / fine));
            let shade = (at * 37 % 7) as u8;
            if libm::hypot(x - 90.0, y - 70.0) < 40.0 {
                [150 + shade, 90, 50, 255]
            } else if x > 150.0 && y > 90.0 {
                [40, 60 + shade, 160, 255]
            } else {
                [60, 140 + shade + if y < 70.0 { 30 } else { 0 }, 70, 255]
            }
        };
        let pixels = (0..200 * 140 * fine * fine).map(colour).collect();
        let raster = picture::Raster { width: 200 * fine, height: 140 * fine, pixels };
        let mut work = crate::work::Work::default();
        work.panel = crate::work::Size { width: measure::length::Um(200_000), height: measure::length::Um(140_000) };
        let place = serde_json::from_str(r#"{"hash": "a", "width": 200, "height": 140}"#).unwrap();
        crate::apply(&mut work, &Edit::Picture(edit::Edit::Place(place))).unwrap();
        (work, Derived::with_picture(Some(Arc::new(raster))))
    }

    fn mark(work: &mut Work, keep: &[(i32, i32)], drop: &[(i32, i32)]) {
        let strokes = |points: &[(i32, i32)]| match points {
            [] => vec![],
            _ => vec![points.iter().map(|(x, y)| Point::new(x * 1000, y * 1000)).collect::<Vec<_>>()],
        };
        let round = SubjectMarks { keep: strokes(keep), drop: strokes(drop) };
        crate::apply(work, &Edit::Picture(edit::Edit::Mark(round))).unwrap();
    }

    /// How many pixels are not as the disc has them.
    fn beside_disc(found: &Subject) -> usize {
        let disc = |x: u32, y: u32| libm::hypot(f64::from(x) - 90.0, f64::from(y) - 70.0) < 40.0;
        (0..200 * 140u32).filter(|at| is_subject(found, at % 200, at / 200) != disc(at % 200, at / 200)).count()
    }

    fn is_subject(found: &Subject, x: u32, y: u32) -> bool {
        found.inside[(y * found.width + x) as usize]
    }

    #[test]
    fn marks_are_followed_out_to_the_edges_and_refined() {
        let (mut work, mut derived) = scene();
        mark(&mut work, &[(70, 70), (110, 70)], &[(5, 5), (5, 130), (100, 130)]);
        let first = subject(&work, &mut derived).unwrap();
        let wrong = beside_disc(&first);
        assert!(wrong < 40, "{wrong} of 5,000 pixels of the disc");
        mark(&mut work, &[(170, 120)], &[]);
        let second = subject(&work, &mut derived).unwrap();
        assert!(is_subject(&second, 160, 100) && is_subject(&second, 90, 70) && !is_subject(&second, 20, 20));
        let undone = {
            let mut work = work.clone();
            work.choices.trace.subject.pop();
            subject(&work, &mut derived).unwrap()
        };
        assert_eq!(undone, first);
        let (_, mut anew) = scene();
        assert_eq!(subject(&work, &mut anew).unwrap(), second, "what is kept is what would be made anew");
    }

    #[test]
    fn a_ring_drops_all_beyond_it() {
        let (mut work, mut derived) = scene();
        mark(&mut work, &[(80, 70), (100, 70)], &[(40, 20), (140, 20), (140, 120), (40, 120), (40, 20)]);
        let found = subject(&work, &mut derived).unwrap();
        assert!(is_subject(&found, 90, 50) && !is_subject(&found, 180, 120) && !is_subject(&found, 10, 10));
    }

    #[test]
    fn one_kind_of_mark_is_enough() {
        let (mut work, mut derived) = scene();
        mark(&mut work, &[(80, 70), (100, 70)], &[]);
        let kept = subject(&work, &mut derived).unwrap();
        assert!(is_subject(&kept, 90, 50) && !is_subject(&kept, 10, 10));
        crate::apply(&mut work, &Edit::Picture(edit::Edit::Unmark)).unwrap();
        mark(&mut work, &[], &[(10, 10), (10, 130)]);
        let dropped = subject(&work, &mut derived).unwrap();
        assert!(is_subject(&dropped, 90, 70) && !is_subject(&dropped, 20, 100));
    }

    #[test]
    fn marks_give_the_same_in_any_order_and_however_many_a_round() {
        let keep: &[(i32, i32)] = &[(70, 70), (110, 70)];
        let drops: [&[(i32, i32)]; 2] = [&[(10, 10), (150, 12)], &[(160, 120), (190, 130)]];
        let (mut work, mut derived) = scene();
        mark(&mut work, keep, drops[0]);
        mark(&mut work, &[], drops[1]);
        let found = subject(&work, &mut derived).unwrap();
        assert!(beside_disc(&found) < 40, "{} of 5,000 pixels of the disc", beside_disc(&found));
        for order in [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]] {
            let (mut work, mut derived) = scene();
            for at in order {
                let (keep, drop) = if at == 0 { (keep, &[][..]) } else { (&[][..], drops[at - 1]) };
                mark(&mut work, keep, drop);
                subject(&work, &mut derived).unwrap();
            }
            assert!(subject(&work, &mut derived).unwrap() == found, "order {order:?}");
        }
    }

    #[test]
    fn a_mark_to_drop_some_of_the_ground_takes_none_of_the_rest_in() {
        for drop in [&[(10, 10), (150, 12)][..], &[(160, 120), (190, 130)], &[(5, 100), (20, 130)], &[(30, 70)]] {
            let (mut work, mut derived) = scene();
            mark(&mut work, &[(70, 70), (110, 70)], &[]);
            let before = beside_disc(&subject(&work, &mut derived).unwrap());
            mark(&mut work, &[], drop);
            let after = beside_disc(&subject(&work, &mut derived).unwrap());
            assert!(before < 40 && after < 40, "{before}, then {after} of 5,000 pixels of the disc by {drop:?}");
        }
    }

    /// Also on blocks of pixels, which large pictures are looked at by.
    #[test]
    fn all_that_lies_under_a_mark_is_on_its_side() {
        for fine in [1, 7] {
            let (mut work, mut derived) = scene_of(fine);
            let across: &[(i32, i32)] = &[(60, 60), (199, 62)];
            let under: &[(i32, i32)] = &[(70, 80), (85, 105), (20, 120)];
            mark(&mut work, across, under);
            mark(&mut work, &[(1, 1)], &[(95, 90)]);
            let found = subject(&work, &mut derived).unwrap();
            for (stroke, keep) in [(across, true), (under, false), (&[(1, 1)], true), (&[(95, 90)], false)] {
                for (x, y) in along(stroke, fine) {
                    assert_eq!(is_subject(&found, x, y), keep, "{x} {y} of {fine} a millimetre, kept: {keep}");
                }
            }
        }
    }

    /// Pixels along a stroke, over the middle of its width.
    fn along(stroke: &[(i32, i32)], fine: u32) -> Vec<(u32, u32)> {
        let ends =
            if stroke.len() == 1 { vec![[stroke[0]; 2]] } else { stroke.windows(2).map(|p| [p[0], p[1]]).collect() };
        let at = |from: i32, to: i32, step: i32| {
            ((f64::from(from) + f64::from(to - from) * f64::from(step) / 300.0) * f64::from(fine)) as u32
        };
        let line = |[a, b]: [(i32, i32); 2]| (0..=300).map(move |step| (at(a.0, b.0, step), at(a.1, b.1, step)));
        ends.into_iter().flat_map(line).collect()
    }

    #[test]
    fn where_marks_cross_the_later_counts() {
        let [keep, drop]: [&[(i32, i32)]; 2] = [&[(70, 70), (110, 70)], &[(90, 60), (90, 80)]];
        let (mut work, mut derived) = scene();
        mark(&mut work, keep, &[]);
        mark(&mut work, &[], drop);
        assert!(!is_subject(&subject(&work, &mut derived).unwrap(), 90, 70));
        mark(&mut work, keep, &[]);
        assert!(is_subject(&subject(&work, &mut derived).unwrap(), 90, 70));
        crate::apply(&mut work, &Edit::Picture(edit::Edit::Unmark)).unwrap();
        mark(&mut work, keep, drop);
        assert!(is_subject(&subject(&work, &mut derived).unwrap(), 90, 70), "of one round that to keep");
    }

    #[test]
    fn marks_that_say_nothing_or_lie_beside_are_refused() {
        let (mut work, _) = scene();
        let mut refused =
            |round: SubjectMarks| crate::apply(&mut work, &Edit::Picture(edit::Edit::Mark(round))).unwrap_err();
        assert!(refused(SubjectMarks::default()).what.contains("without a point"));
        let beside = SubjectMarks { keep: vec![vec![Point::new(900_000, 0)]], drop: vec![] };
        assert!(refused(beside).what.contains("200 mm by 140 mm"));
    }
}
