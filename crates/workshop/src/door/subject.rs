//! What of the picture becomes wood, at once: for marks to be followed while they are made.

use std::sync::Arc;

use measure::stamp;

use crate::derived::Derived;
use crate::picture::{self, Cutout, Sides};
use crate::work::{Refusal, Way, Work};

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

/// The subject as the next trace finds it: by the marks, or without any by transparency and a plain ground. The leaves of
/// the picture and what earlier rounds of marks gave are kept, so a further round takes a fraction of the first.
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
        _ => {
            derived.sides.clear();
            derived.cutout.insert((key, Arc::new(Cutout::new(&raster)))).1.clone()
        }
    };
    let sides = followed(work, derived, &cutout);
    Ok(Subject { width, height, inside: cutout.inside(work.panel, &choices.subject, &sides) })
}

/// The sides after all rounds, each kept by the rounds that led to it.
fn followed(work: &Work, derived: &mut Derived, cutout: &Cutout) -> Arc<Sides> {
    let rounds = &work.choices.trace.subject;
    let key = |count: usize| stamp(&(&work.picture, work.panel, &rounds[..count]));
    let known = |(at, (stamp, _)): (usize, &(_, _))| at < rounds.len() && *stamp == key(at + 1);
    let same = derived.sides.iter().enumerate().take_while(|kept| known(*kept)).count();
    derived.sides.truncate(same);
    for count in same + 1..=rounds.len() {
        let before = derived.sides.last().map(|(_, sides): &(_, Arc<Sides>)| sides.clone());
        let sides = cutout.refined(work.panel, &rounds[..count], before.as_deref());
        derived.sides.push((key(count), Arc::new(sides)));
    }
    derived.sides.last().expect("there are marks").1.clone()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::work::SubjectMarks;
    use crate::work::edit::{Edit, picture as edit};
    use measure::plane::Point;

    /// A brown disc on a green ground of two tones, and a blue patch in the ground.
    fn scene() -> (Work, Derived) {
        let colour = |at: u32| {
            let (x, y) = (f64::from(at % 200), f64::from(at / 200));
            let shade = (at * 37 % 7) as u8;
            if libm::hypot(x - 90.0, y - 70.0) < 40.0 {
                [150 + shade, 90, 50, 255]
            } else if x > 150.0 && y > 90.0 {
                [40, 60 + shade, 160, 255]
            } else {
                [60, 140 + shade + if y < 70.0 { 30 } else { 0 }, 70, 255]
            }
        };
        let pixels = (0..200 * 140).map(colour).collect();
        let raster = picture::Raster { width: 200, height: 140, pixels };
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

    fn is_subject(found: &Subject, x: u32, y: u32) -> bool {
        found.inside[(y * found.width + x) as usize]
    }

    #[test]
    fn marks_are_followed_out_to_the_edges_and_refined() {
        let (mut work, mut derived) = scene();
        mark(&mut work, &[(70, 70), (110, 70)], &[(5, 5), (5, 130), (100, 130)]);
        let first = subject(&work, &mut derived).unwrap();
        let wrong = (0..200 * 140u32).filter(|at| {
            let (x, y) = (at % 200, at / 200);
            let disc = libm::hypot(f64::from(x) - 90.0, f64::from(y) - 70.0) < 40.0;
            is_subject(&first, x, y) != disc
        });
        let wrong = wrong.count();
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
    fn marks_that_say_nothing_or_lie_beside_are_refused() {
        let (mut work, _) = scene();
        let mut refused =
            |round: SubjectMarks| crate::apply(&mut work, &Edit::Picture(edit::Edit::Mark(round))).unwrap_err();
        assert!(refused(SubjectMarks::default()).what.contains("without a point"));
        let beside = SubjectMarks { keep: vec![vec![Point::new(900_000, 0)]], drop: vec![] };
        assert!(refused(beside).what.contains("200 mm by 140 mm"));
    }
}
