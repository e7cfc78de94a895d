//! Borders that nothing shows from where the work is looked at.
//!
//! A step shows by the shade that it throws on the lower piece: height ÷ the tangent of the light's height above the wall,
//! less where the border runs along the light, none where the step faces it. That shade is seen when it is as broad as a
//! minute of arc, the detail that an eye of full acuity parts (ISO 8596, the Landolt ring of acuity 1.0). A border reads
//! when a third of its length does: outlines are known again with up to two thirds of them taken out, corners left
//! (Biederman 1987, from memory). Colour shows from the visible step of `wood::VISIBLE` on; of pieces narrower than 20
//! minutes of arc lightness and red against green alone, since blue and yellow are lost in so small a field (Willmer and
//! Wright 1945, from memory). An open line shows when it is a minute of arc wide.
//!
//! Where it fails: light from all round softens shade; the saw line, a dark hair, may be seen though it is finer; grain
//! turned apart may part two pieces of one colour.

use measure::colour::{Lab, delta_e_2000};
use measure::length::Um;

use super::findings::{height, movers, nearest_kept, stand};
use super::keep::Keeper;
use super::words;
use crate::pattern::{Meeting, Outlines};
use crate::wood::{VISIBLE, look};
use crate::work::edit::pattern;
use crate::work::{AreaId, Becomes, BorderId, Edit, Finding, Grave, Kind, Number, Reading, Side, Spot, Way, Work};

/// A minute of arc, radians.
const MINUTE: f64 = std::f64::consts::PI / 10_800.0;
/// Pieces under so many minutes of arc show no blue or yellow.
const SMALL_FIELD: f64 = 20.0;
/// The share of a border's length that must show.
const SHOWS: f64 = 1.0 / 3.0;
/// Borders shorter than this carry no form, mm.
const SHORT_MM: f64 = 10.0;
/// A step that would have to be higher than this is no way out, mm.
const STEP_MOST_MM: f64 = 50.0;
/// The least gap and the greatest, µm, and what gaps are rounded up to.
const GAP_UM: std::ops::RangeInclusive<i32> = 300..=3000;
const GAP_ROUND: i32 = 50;

/// Two touching pieces as they are seen.
struct Border<'a> {
    pieces: [Number; 2],
    meeting: &'a Meeting,
    /// Lengths, mm, and how far each stretch faces from the light if the first piece is the higher: 1 straight away, −1
    /// straight towards it.
    stretches: Vec<(f64, f64)>,
    /// Of these, how many mm are open far enough to show.
    open_mm: f64,
}

/// Borders whose step and colour both vanish, if the maker has said from where the work is looked at.
pub(super) fn lost_borders(work: &Work, outlines: &Outlines, keeper: &mut Keeper) -> Vec<Finding> {
    let Some(reading) = work.choices.reading else { return Vec::new() };
    let meetings = outlines.meetings.iter().filter(|(_, meeting)| meeting.length_mm >= SHORT_MM);
    let read = |(areas, meeting)| {
        let border = border(work, outlines, (areas, meeting), reading)?;
        let lost = colour_vanishes(work, outlines, border.pieces, reading)? && !shows(work, &border, reading)?;
        lost.then(|| finding(work, &border, (reading, &mut *keeper)))
    };
    meetings.filter_map(read).collect()
}

/// What an eye parts from the distance, mm.
fn least_mm(reading: Reading) -> f64 {
    reading.distance.to_mm() * libm::tan(MINUTE)
}

fn piece(work: &Work, area: AreaId) -> Option<Number> {
    match work.pattern.areas.get(&area)?.becomes {
        Becomes::Piece(number) => Some(number),
        _ => None,
    }
}

fn border<'a>(
    work: &Work,
    outlines: &Outlines,
    ((one, two), meeting): (&(AreaId, AreaId), &'a Meeting),
    reading: Reading,
) -> Option<Border<'a>> {
    let pieces = [piece(work, *one)?, piece(work, *two)?];
    let from = f64::from(reading.from).to_radians();
    let toward = (libm::sin(from), -libm::cos(from));
    let (mut stretches, mut open_mm) = (Vec::new(), 0.0);
    for id in &meeting.borders {
        let (Some(border), Some(line)) = (work.pattern.borders.get(id), outlines.lines.get(id)) else { continue };
        let side = if border.left == Side::Area(*one) { 1.0 } else { -1.0 };
        for pair in line.windows(2) {
            let ((ax, ay), (bx, by)) = (pair[0].to_mm(), pair[1].to_mm());
            let (dx, dy) = (bx - ax, by - ay);
            let long = (dx * dx + dy * dy).sqrt();
            if long > 0.0 {
                // From the left side to the right, on a page whose y runs down, is (−dy, dx).
                let away = side * (dy * toward.0 - dx * toward.1) / long;
                stretches.push((long, away));
                open_mm += if border.gap.to_mm() >= least_mm(reading) { long } else { 0.0 };
            }
        }
    }
    Some(Border { pieces, meeting, stretches, open_mm })
}

/// The least step, mm, that shows with the first piece higher, or with the second; `None` where no step does.
fn least_step(border: &Border, first_higher: bool, reading: Reading) -> Option<f64> {
    let sign = if first_higher { 1.0 } else { -1.0 };
    let mut stretches: Vec<(f64, f64)> = border.stretches.iter().map(|(long, away)| (sign * away, *long)).collect();
    stretches.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut wanted = SHOWS * stretches.iter().map(|(_, long)| long).sum::<f64>() - border.open_mm;
    let last = stretches.into_iter().find(|(_, long)| {
        wanted -= long;
        wanted <= 0.0
    })?;
    let step = least_mm(reading) * libm::tan(f64::from(reading.height).to_radians()) / last.0;
    (last.0 > 0.0 && step <= STEP_MOST_MM).then_some(step)
}

/// Whether the step shows, or the border is open; `None` where a height is undecided.
fn shows(work: &Work, border: &Border, reading: Reading) -> Option<bool> {
    let step = height(work, border.pieces[0])? - height(work, border.pieces[1])?;
    let whole: f64 = border.stretches.iter().map(|(long, _)| long).sum();
    let least = least_step(border, step > 0, reading);
    let high = f64::from(step.abs()) / 1000.0;
    Some(border.open_mm >= SHOWS * whole || step != 0 && least.is_some_and(|least| high >= least))
}

/// Whether the finished woods look alike from there; `None` where one is undecided.
fn colour_vanishes(work: &Work, outlines: &Outlines, pieces: [Number; 2], reading: Reading) -> Option<bool> {
    let seen = |number: Number| {
        let piece = work.pieces.get(&number)?;
        let wood = work.woods.get(&piece.values.wood.as_ref()?.value)?;
        Some((look(work, wood), 2.0 * outlines.areas.get(&piece.area)?.widest.radius / 1000.0))
    };
    let ((one, wide), (two, narrow)) = (seen(pieces[0])?, seen(pieces[1])?);
    let small = wide.min(narrow) < SMALL_FIELD * least_mm(reading);
    let two = if small { Lab { b: one.b, ..two } } else { two };
    Some(delta_e_2000(one, two) < VISIBLE)
}

fn finding(work: &Work, border: &Border, (reading, keeper): (Reading, &mut Keeper)) -> Finding {
    let [a, b] = border.pieces;
    let why = format!(
        "From {} away, in light from {} and {}° above the wall, nothing shows between pieces {a} and {b}: their woods look \
         alike, and the step throws no shade of {} along a third of the {} where they touch.",
        words::distance(work, reading.distance),
        words::direction(reading.from),
        reading.height,
        words::roughly(work, Um(libm::ceil(1000.0 * least_mm(reading)) as i32)),
        words::roughly(work, Um((1000.0 * border.meeting.length_mm).round() as i32)),
    );
    let mut ways: Vec<Way> =
        steps(work, border, (reading, keeper)).into_iter().chain(open(work, border, reading)).collect();
    ways.push(Way::advice("Or choose another wood for one of the two."));
    let key = format!("lost_border:{a},{b}");
    Finding { kind: Kind::LostBorder, grave: Grave::Doubt, spot: Spot::pieces([a, b]), why, ways, key }
}

/// The nearest step in stock that shows: the way that the two stand already, or where they are level the smaller one.
fn steps(work: &Work, border: &Border, (reading, keeper): (Reading, &mut Keeper)) -> Option<Way> {
    let [a, b] = border.pieces;
    let stands = height(work, a)?.cmp(&height(work, b)?);
    let mut needs: Vec<(bool, f64, bool)> = [true, false]
        .into_iter()
        .filter_map(|first| {
            Some((stands.is_gt() != first || stands.is_eq(), least_step(border, first, reading)?, first))
        })
        .collect();
    needs.sort_by(|one, two| one.0.cmp(&two.0).then(one.1.total_cmp(&two.1)));
    needs.into_iter().find_map(|(_, step, first)| {
        let (high, low) = if first { (a, b) } else { (b, a) };
        let step = (libm::ceil(step * 1000.0) as i32).max(work.choices.stock.readable_step.0);
        movers(work, high, low).into_iter().find_map(|(mover, other)| {
            let at = height(work, other)?;
            let up = mover == high;
            let to = nearest_kept(work, mover, if up { at + step } else { at - step }, (up, &mut *keeper))?;
            let says = format!("Make the step show: piece {mover} at {}", words::length(work, Um(to)));
            Some(Way::by(says, vec![stand(work, mover, to)]))
        })
    })
}

/// An open line that shows.
fn open(work: &Work, border: &Border, reading: Reading) -> Option<Way> {
    let least = libm::ceil(1000.0 * least_mm(reading) / f64::from(GAP_ROUND)) as i32 * GAP_ROUND;
    let gap = Um(least.max(*GAP_UM.start()));
    let edit = |id: &BorderId| Edit::Pattern(pattern::Edit::Gap { border: *id, gap });
    let says = format!("Open the line between them by {}", words::length(work, gap));
    GAP_UM.contains(&gap.0).then(|| Way::by(says, border.meeting.borders.iter().map(edit).collect()))
}

#[cfg(test)]
mod tests {
    use measure::plane::{Cubic, Point};

    use super::super::tests::job;
    use super::*;
    use crate::work::{By, Chosen, Ends, JunctionId, Origin, WoodId};

    /// Piece 1 to the left of piece 2, of one wood, along 100 mm of an upright line; seen from 2 m in light at 45°.
    fn side_by_side(from: u16, tops: [i32; 2]) -> (Work, Outlines) {
        let (mut work, mut outlines) = job(2);
        work.woods = crate::wood::table();
        work.choices.reading = Some(Reading { distance: Um(2_000_000), from, height: 45 });
        let (top, foot) = (Point::new(0, 0), Point::new(0, 100_000));
        let border = crate::work::Border {
            ends: Ends::Between(JunctionId(1), JunctionId(2)),
            curve: vec![Cubic([top, top, foot, foot])],
            // Who walks down the page has the right of it to the left.
            left: Side::Area(AreaId(2)),
            right: Side::Area(AreaId(1)),
            gap: Um(0),
            ink: Um(0),
            from: Origin::Traced,
        };
        work.pattern.borders.insert(BorderId(1), border);
        outlines.lines.insert(BorderId(1), vec![top, foot]);
        let meeting = Meeting { borders: vec![BorderId(1)], length_mm: 100.0 };
        outlines.meetings.insert((AreaId(1), AreaId(2)), meeting);
        for (number, um) in (1..).zip(tops) {
            let values = &mut work.pieces.get_mut(&Number(number)).unwrap().values;
            values.height = Some(Chosen { value: Um(um), by: By::Act });
            values.wood = Some(Chosen { value: WoodId("cherry-black".into()), by: By::Act });
        }
        (work, outlines)
    }

    fn lost(from: u16, tops: [i32; 2]) -> bool {
        let (work, outlines) = side_by_side(from, tops);
        !lost_borders(&work, &outlines, &mut Keeper::new(&work)).is_empty()
    }

    /// A minute of arc at 2 m is 0.582 mm; at 45° a step throws a shade as long as it is high.
    #[test]
    fn a_step_shows_by_its_shade() {
        assert!((least_mm(Reading { distance: Um(2_000_000), from: 0, height: 45 }) - 0.5818).abs() < 1e-4);
        assert!(lost(270, [20_000, 20_000]));
        assert!(lost(270, [20_580, 20_000]) && !lost(270, [20_583, 20_000]));
        assert!(lost(270, [18_000, 25_000]), "towards the light there is no shade");
        assert!(!lost(90, [18_000, 25_000]));
        assert!(lost(0, [30_000, 20_000]), "along the light neither");
        // At 45° across the border the shade is 1/√2 as broad.
        assert!(lost(225, [20_822, 20_000]) && !lost(225, [20_824, 20_000]));
    }

    #[test]
    fn colour_and_an_open_line_show_too() {
        let (mut work, outlines) = side_by_side(270, [20_000, 20_000]);
        work.pattern.borders.get_mut(&BorderId(1)).unwrap().gap = Um(600);
        assert!(lost_borders(&work, &outlines, &mut Keeper::new(&work)).is_empty());
        work.pattern.borders.get_mut(&BorderId(1)).unwrap().gap = Um(550);
        assert_eq!(lost_borders(&work, &outlines, &mut Keeper::new(&work)).len(), 1);
        let wood = &mut work.pieces.get_mut(&Number(2)).unwrap().values.wood;
        *wood = Some(Chosen { value: WoodId("walnut-black".into()), by: By::Act });
        assert!(lost_borders(&work, &outlines, &mut Keeper::new(&work)).is_empty());
        work.pieces.get_mut(&Number(2)).unwrap().values.wood = None;
        assert!(lost_borders(&work, &outlines, &mut Keeper::new(&work)).is_empty(), "what is undecided is left alone");
    }

    #[test]
    fn the_step_that_is_offered_shows() {
        for (from, tops) in [(270, [20_000, 20_000]), (90, [20_000, 20_000]), (270, [18_000, 20_000])] {
            let (mut work, outlines) = side_by_side(from, tops);
            let found = lost_borders(&work, &outlines, &mut Keeper::new(&work));
            let [step, open, other] = found[0].ways.as_slice() else { panic!("three ways: {:?}", found[0].ways) };
            assert!(step.says.starts_with("Make the step show") && other.edits.is_empty());
            assert_eq!(open.edits, [Edit::Pattern(pattern::Edit::Gap { border: BorderId(1), gap: Um(600) })]);
            step.edits.iter().for_each(|edit| {
                crate::apply(&mut work, edit).unwrap();
            });
            assert!(lost_borders(&work, &outlines, &mut Keeper::new(&work)).is_empty(), "{}", step.says);
        }
    }
}
