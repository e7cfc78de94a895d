//! Ways out of what is found at the saw that the maker can take with one word. Each is tried first and offered only where it
//! can be taken and helps.

use std::collections::BTreeSet;

use measure::length::Um;
use measure::plane::Point;

use super::findings::{about, least_neck};
use super::{Neck, necks};
use crate::pattern::{self, Outline, outer_rings};
use crate::relief;
use crate::work::edit::pattern::Edit as Draw;
use crate::work::edit::relief::Edit as Relief;
use crate::work::{AreaId, Becomes, Changes, Edit, Number, Piece, Way, Whom, Work};

/// A neck is made wider than the least by this share, so that rounding leaves none under it.
const MORE: f64 = 1.05;
/// A border is pulled along so many times the least neck to each side.
const BRUSH: f64 = 3.0;
/// How far a line across a neck goes on beyond its ends, µm.
const BEYOND_UM: f64 = 300.0;
/// How far to each side a border is smoothed, and what waves go, in radii of the tightest bend that is wanted.
const STRETCH: f64 = 6.0;
const WAVE: f64 = 8.0;

/// A job in which some edits were made, and what they changed.
struct Trial {
    work: Work,
    changes: Changes,
}

fn tried(work: &Work, edits: &[Draw]) -> Option<Trial> {
    let mut trial = Trial { work: work.clone(), changes: Changes::default() };
    for edit in edits {
        trial.changes.add(pattern::apply(&mut trial.work, edit).ok()?);
    }
    Some(trial)
}

fn way(says: String, edits: Vec<Draw>) -> Way {
    Way::by(says, edits.into_iter().map(Edit::Pattern).collect())
}

/// Pulls the sides of a neck apart: both, or where one cannot give way the other alone. `sawn` is what is left of it now.
pub fn widened(work: &Work, piece: &Piece, (neck, sawn): (&Neck, f64)) -> Option<Way> {
    let least = least_neck(work, piece);
    let outer = outer_rings(&work.pattern, &[piece.area].into()).remove(&piece.area)?.ring;
    // The neck at a hole or a slot is none of the outer ring, by which it is judged.
    if !necks(&[outer], least).iter().any(|found| apart(found.middle(), neck.middle()) < least) {
        return None;
    }
    let missing = MORE * least - sawn;
    let (a, b) = neck.ends;
    let pull = |at: Point, from: Point, by: f64| {
        let to = further(at, from, by);
        Draw::Reshape { at, to, width: Um((BRUSH * least) as i32) }
    };
    let both = vec![pull(a, b, missing / 2.0), pull(b, a, missing / 2.0)];
    let tries = [both, vec![pull(a, b, missing)], vec![pull(b, a, missing)]];
    let edits =
        tries.into_iter().find(|edits| tried(work, edits).is_some_and(|t| helps(work, &t, (piece, neck, least))))?;
    Some(way(format!("Pull its sides apart there, until it is {} wide.", about(work, MORE * least, 10.0)), edits))
}

/// Whether a neck is gone, and none came elsewhere.
fn helps(work: &Work, trial: &Trial, (piece, neck, least): (&Piece, &Neck, f64)) -> bool {
    let narrow = |work: &Work, areas: &BTreeSet<AreaId>| -> Vec<(AreaId, Vec<Neck>)> {
        let rings = outer_rings(&work.pattern, areas);
        rings.into_iter().map(|(area, outer)| (area, necks(&[outer.ring], least_of(work, area)))).collect()
    };
    let pieces = trial.changes.areas.iter().filter(|area| trial.work.pattern.areas.get(area).is_some_and(is_piece));
    let areas: BTreeSet<AreaId> = pieces.copied().collect();
    let (before, after) = (narrow(work, &areas), narrow(&trial.work, &areas));
    let count =
        |all: &[(AreaId, Vec<Neck>)], area| all.iter().find(|(a, _)| *a == area).map_or(0, |(_, found)| found.len());
    let near = |found: &Neck| apart(found.middle(), neck.middle()) < 2.0 * least;
    let gone = after.iter().filter(|(area, _)| *area == piece.area).all(|(_, found)| !found.iter().any(near));
    gone && areas.contains(&piece.area) && areas.iter().all(|area| count(&after, *area) <= count(&before, *area))
}

fn is_piece(area: &crate::work::Area) -> bool {
    matches!(area.becomes, Becomes::Piece(_))
}

fn least_of(work: &Work, area: AreaId) -> f64 {
    work.pieces.values().find(|piece| piece.area == area).map_or(0.0, |piece| least_neck(work, piece))
}

/// Splits a piece along its neck, when both parts can be sawn.
pub fn parted(work: &Work, piece: &Piece, neck: &Neck) -> Option<Way> {
    let (a, b) = neck.ends;
    let along = vec![further(a, b, BEYOND_UM), further(b, a, BEYOND_UM)];
    let edits = vec![Draw::Split { area: piece.area, along }];
    let trial = tried(work, &edits)?;
    let stock = &work.choices.stock;
    let made = pattern::outlines(&trial.work.pattern, work.panel);
    let large = |area: &AreaId| {
        made.areas.get(area).is_some_and(|outline| {
            outline.area_mm2 >= f64::from(stock.least_area_mm2)
                && 2.0 * outline.widest.radius >= f64::from(stock.least_width.0)
        })
    };
    trial.changes.areas.iter().all(large).then(|| way("Split the piece there.".into(), edits))
}

/// Builds pieces thinner, each on a raiser that keeps its height: the thickest stock up to what is said of each. Those of which a
/// must would be broken so are left out.
pub fn thinner<'a>(work: &Work, pieces: impl IntoIterator<Item = (Number, &'a Piece, f64)>) -> Option<Way> {
    let stock = &work.choices.stock;
    let (mut trial, broken) = (work.clone(), relief::broken_musts(work));
    let one = |(number, piece, most): (Number, &Piece, f64)| {
        let height = piece.values.height?.value;
        let fits = |t: &&Um| f64::from(t.0) <= most && stock.raisers.contains(&Um(height.0 - t.0));
        let thickness = *stock.thicknesses.iter().filter(fits).max()?;
        let raiser = Um(height.0 - thickness.0);
        let edit = Edit::Relief(Relief::Build { whom: Whom::Piece(number), thickness, raiser });
        let mut next = trial.clone();
        crate::apply(&mut next, &edit).ok()?;
        if !relief::broken_musts(&next).is_subset(&broken) {
            return None;
        }
        trial = next;
        Some(edit)
    };
    let edits: Vec<Edit> = pieces.into_iter().filter_map(one).collect();
    let says = match edits.len() {
        0 => return None,
        1 => "Build it in thinner stock on a raiser, as high as it is.".into(),
        count => format!("Build {count} of them in thinner stock on raisers, as high as they are."),
    };
    Some(Way::by(says, edits))
}

/// Smooths a border round a place of an outline, when that leaves no bend as tight as `least` there.
pub fn smoothed(work: &Work, (piece, outline): (&Piece, &Outline), at: Point, least: f64) -> Option<Way> {
    let near = |p: &&Point| apart(**p, at) <= STRETCH * least;
    // It is judged by the outer ring.
    let ring = outline.rings.first().filter(|ring| ring.contains(&at))?;
    let from = ring.iter().position(|p| *p == at)?;
    let n = ring.len();
    let back = (0..n / 2).map(|k| &ring[(from + n - k) % n]).take_while(near).last()?;
    let on = (0..n / 2).map(|k| &ring[(from + k) % n]).take_while(near).last()?;
    let edits = vec![Draw::Smooth { along: vec![*back, at, *on], by: Um((WAVE * least) as i32) }];
    let trial = tried(work, &edits)?;
    let ring = outer_rings(&trial.work.pattern, &[piece.area].into()).remove(&piece.area)?.ring;
    let (radius, bend) = super::bend::tightest_at(&ring)?;
    let eased = radius >= least || apart(bend, at) > STRETCH * least;
    eased.then(|| way("Smooth the border there.".into(), edits))
}

/// A place moved on, away from another, by so many µm.
fn further(at: Point, from: Point, by: f64) -> Point {
    let (x, y) = (f64::from(at.x) - f64::from(from.x), f64::from(at.y) - f64::from(from.y));
    let long = libm::hypot(x, y).max(1e-9);
    Point::new((f64::from(at.x) + by * x / long).round() as i32, (f64::from(at.y) + by * y / long).round() as i32)
}

fn apart(a: Point, b: Point) -> f64 {
    libm::hypot(f64::from(a.x) - f64::from(b.x), f64::from(a.y) - f64::from(b.y))
}

#[cfg(test)]
mod tests {
    use super::super::{Narrow, findings};
    use super::*;
    use crate::pattern::outlines;
    use crate::pattern::sample::accepted;
    use crate::work::{Chosen, Finding, Kind};

    fn found(work: &Work, kind: Kind) -> Vec<Finding> {
        let all = findings(work, &outlines(&work.pattern, work.panel), &mut Narrow::default());
        all.into_iter().filter(|finding| finding.kind == kind).collect()
    }

    /// The job after a way with these words was taken.
    fn taken(work: &Work, finding: &Finding, says: &str) -> Work {
        let way = finding.ways.iter().find(|way| way.says.contains(says) && !way.edits.is_empty());
        let mut after = work.clone();
        let edits = &way.unwrap_or_else(|| panic!("there is no way \"{says}\" in {:?}", finding.ways)).edits;
        crate::apply_all(&mut after, edits).expect("it is offered, so it can be taken");
        after
    }

    fn pull(work: &mut Work, at: (i32, i32), to: (i32, i32), width: i32) {
        let [at, to] = [at, to].map(|(x, y)| Point::new(x, y));
        let edit = Edit::Pattern(Draw::Reshape { at, to, width: Um(width) });
        crate::apply(work, &edit).expect("the border can be pulled");
    }

    /// The middle cell of nine, pressed together from above and below.
    fn necked() -> Work {
        let mut work = accepted(3, 3);
        pull(&mut work, (30_000, 20_000), (30_000, 29_200), 5000);
        pull(&mut work, (30_000, 40_000), (30_000, 30_800), 5000);
        work
    }

    #[test]
    fn a_neck_is_pulled_wide_or_split_by_its_mends() {
        let work = necked();
        let necks = found(&work, Kind::Neck);
        assert_eq!(necks.len(), 1, "{necks:?}");
        let wide = taken(&work, &necks[0], "Pull its sides apart");
        assert_eq!(found(&wide, Kind::Neck), []);
        assert_eq!(wide.pieces.len(), work.pieces.len());
        let split = taken(&work, &necks[0], "Split the piece there");
        assert_eq!((split.pieces.len(), found(&split, Kind::Neck).len()), (work.pieces.len() + 1, 0));
    }

    /// Borders of pieces that are cut stay where they are.
    #[test]
    fn what_cannot_be_taken_is_not_offered() {
        let mut work = necked();
        let neck = found(&work, Kind::Neck).remove(0);
        let lines = outlines(&work.pattern, work.panel);
        let mut narrow = Narrow::default();
        findings(&work, &lines, &mut narrow);
        let beside = work.pieces.values_mut().filter(|piece| !neck.spot.areas.contains(&piece.area));
        beside.for_each(|piece| piece.state = crate::work::State::Cut);
        let necks = found(&work, Kind::Neck);
        assert_eq!(
            findings(&work, &lines, &mut narrow).into_iter().find(|f| f.kind == Kind::Neck),
            necks.first().cloned()
        );
        assert!(
            necks[0].ways.iter().all(|way| !way.says.contains("Pull")),
            "its neighbours are cut: {:?}",
            necks[0].ways
        );
    }

    #[test]
    fn a_bend_is_smoothed_by_its_mend() {
        let mut work = accepted(3, 3);
        let thick = Some(Chosen::hand(Um(25_000)));
        work.pieces.values_mut().for_each(|piece| piece.values.thickness = thick);
        assert_eq!(found(&work, Kind::TightBend), []);
        pull(&mut work, (30_000, 20_000), (30_000, 21_000), 1000);
        let bends = found(&work, Kind::TightBend);
        assert_eq!(bends.len(), 1);
        assert_eq!(found(&taken(&work, &bends[0], "Smooth"), Kind::TightBend), []);
    }

    #[test]
    fn tall_and_tiny_pieces_have_mends_that_help() {
        let mut work = accepted(3, 3);
        let number = *work.pieces.keys().last().expect("there are pieces");
        let values = &mut work.pieces.get_mut(&number).expect("it is there").values;
        let all = [&mut values.height, &mut values.thickness, &mut values.raiser];
        all.into_iter().zip([24_000, 24_000, 0]).for_each(|(value, um)| *value = Some(Chosen::act(Um(um))));
        let tall = found(&work, Kind::Tall);
        let thin = taken(&work, &tall[0], "thinner stock on a raiser");
        assert_eq!(found(&thin, Kind::Tall), []);
        assert_eq!(thin.pieces[&number].values.height.map(|chosen| chosen.value), Some(Um(24_000)));
        let tiny = found(&work, Kind::LittleGlue);
        let least = tiny[0].spot.pieces.len();
        let merged = taken(&work, &tiny[0], "Merge piece");
        assert!(found(&merged, Kind::LittleGlue).iter().all(|finding| finding.spot.pieces.len() < least));
    }
}
