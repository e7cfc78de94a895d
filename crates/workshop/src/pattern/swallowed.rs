//! Nothing is swallowed unseen: what the picture shows and no saw could follow is listed, with what a maker can do about it.
//!
//! The gravest places speak for themselves, the rest in one line: a drawing with fine lines has hundreds. A place is found
//! among the outlines by counting crossings of a ray (Shimrat 1962), so it holds after areas were merged or split.

use measure::plane::Point;

use super::findings::show;
use super::{Outline, Outlines};
use crate::work::{AreaId, Becomes, Finding, Grave, Kind, Spot, Swallowed, Way, Work};

/// So many places have a finding of their own; more would hide the other findings.
const EACH: usize = 5;

/// The area that a place lies in now.
pub fn lies_in(outlines: &Outlines, at: Point) -> Option<AreaId> {
    outlines.areas.iter().find(|(_, outline)| holds(outline, at)).map(|(id, _)| *id)
}

fn holds(outline: &Outline, at: Point) -> bool {
    let crossings =
        |ring: &Vec<Point>| (0..ring.len()).filter(|i| crosses(ring[*i], ring[(i + 1) % ring.len()], at)).count();
    outline.rings.iter().map(crossings).sum::<usize>() % 2 == 1
}

/// Whether the ray from `at` to the right crosses the chord.
fn crosses(a: Point, b: Point, at: Point) -> bool {
    let [a, b] = if a.y <= b.y { [a, b] } else { [b, a] };
    let side = i64::from(b.x - a.x) * i64::from(at.y - a.y) - i64::from(b.y - a.y) * i64::from(at.x - a.x);
    a.y <= at.y && at.y < b.y && side > 0
}

/// Findings of what was too fine to saw, the largest first.
pub fn swallowed(work: &Work, outlines: &Outlines) -> Vec<Finding> {
    let mut lost: Vec<&Swallowed> = work.swallowed.iter().collect();
    lost.sort_by_key(|one| (std::cmp::Reverse(one.area), one.at.y, one.at.x));
    let (each, rest) = lost.split_at(lost.len().min(EACH));
    let mut found: Vec<Finding> = each.iter().map(|one| alone(work, outlines, one)).collect();
    found.extend(together(work, rest));
    found
}

fn alone(work: &Work, outlines: &Outlines, one: &Swallowed) -> Finding {
    let area = lies_in(outlines, one.at);
    let spot = spot(work, area, one.at);
    let whose = match spot.pieces.first() {
        Some(number) => format!("piece {number}"),
        None => "what lies there now".into(),
    };
    let stock = &work.choices.stock;
    let (x, y) = (show(work, measure::length::Um(one.at.x)), show(work, measure::length::Um(one.at.y)));
    let why = format!(
        "{x} from the left and {y} from the top the picture shows something {} at its widest, {:.1} mm²; this stock wants {} \
         and {} mm². It went into {whose}.",
        show(work, one.widest),
        f64::from(one.area) / 100.0,
        show(work, stock.least_width),
        stock.least_area_mm2
    );
    let key = format!("swallowed-{:07}-{:07}", one.at.y, one.at.x);
    Finding { kind: Kind::Swallowed, grave: Grave::Note, spot, why, ways: ways(work, &whose), key }
}

pub(super) fn spot(work: &Work, area: Option<AreaId>, at: Point) -> Spot {
    let piece = area.and_then(|id| match work.pattern.areas.get(&id)?.becomes {
        Becomes::Piece(number) => Some(number),
        _ => None,
    });
    Spot { areas: area.into_iter().collect(), at: Some(at), ..Spot::pieces(piece) }
}

fn ways(work: &Work, whose: &str) -> Vec<Way> {
    let least = show(work, work.choices.stock.least_width);
    vec![
        Way::advice(format!("Leave it absorbed, as it is now: {whose} carries it.")),
        Way::advice(format!("Enlarge it: split {whose} along a line that gives it {least} or more at its widest.")),
        Way::advice("Glue it up with a neighbour first, and saw the two as one piece."),
        Way::advice("Saw it as a slot and leave it open to the shadow behind."),
        Way::advice("Burn it into the face after sanding; ventilate, and burn no finished or treated wood."),
    ]
}

fn together(work: &Work, rest: &[&Swallowed]) -> Option<Finding> {
    let first = rest.first()?;
    let area: u64 = rest.iter().map(|one| u64::from(one.area)).sum();
    let places = if rest.len() == 1 { "1 more place".into() } else { format!("{} more places", rest.len()) };
    let why = format!(
        "{places} in the picture, {:.0} mm² together, the largest {:.1} mm², are too fine for this stock and went into the \
         pieces around them.",
        area as f64 / 100.0,
        f64::from(first.area) / 100.0
    );
    let ways = ways(work, "the piece around it");
    let spot = Spot { at: Some(first.at), ..Spot::default() };
    Some(Finding { kind: Kind::Swallowed, grave: Grave::Note, spot, why, ways, key: "swallowed-rest".into() })
}

#[cfg(test)]
mod tests {
    use measure::length::Um;

    use super::*;

    fn fleck(x: i32, area: u32) -> Swallowed {
        Swallowed { at: Point::new(x, 1000), widest: Um(1500), area }
    }

    #[test]
    fn the_largest_speak_alone_and_the_rest_together() {
        let swallowed = (0..9).map(|i| fleck(i, 100 + i as u32)).collect();
        let work = Work { swallowed, ..Work::default() };
        let found = super::swallowed(&work, &Outlines::default());
        assert_eq!(found.len(), EACH + 1);
        assert!(found[0].why.contains("1.1 mm²") && found[0].spot.at == Some(Point::new(8, 1000)), "{}", found[0].why);
        assert!(found[EACH].why.starts_with("4 more places"), "{}", found[EACH].why);
        assert!(found.iter().all(|finding| finding.ways.len() == 5 && finding.grave == Grave::Note));
    }

    #[test]
    fn a_place_lies_in_an_outline_but_not_in_its_hole() {
        let square = |a: i32, b: i32| vec![Point::new(a, a), Point::new(b, a), Point::new(b, b), Point::new(a, b)];
        let circle = measure::plane::Circle { centre: Point::new(0, 0), radius: 0.0 };
        let outline =
            Outline { rings: vec![square(0, 100), square(40, 60)], borders: vec![], area_mm2: 0.0, widest: circle };
        let inside = [(10, 10), (0, 0), (39, 50), (60, 50)].map(|(x, y)| holds(&outline, Point::new(x, y)));
        let outside = [(50, 50), (100, 50), (-1, 50), (50, 100)].map(|(x, y)| holds(&outline, Point::new(x, y)));
        assert_eq!((inside, outside), ([true; 4], [false; 4]));
    }
}
