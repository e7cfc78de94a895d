//! What a check finds at the saw, each with its mends.

use std::collections::BTreeMap;

use measure::length::{Um, inch_text, mm_text};
use measure::plane::Point;
use rayon::prelude::*;

use super::hollow::{Hollow, hollows};
use super::mends;
use super::small::small;
use super::tongue::{self, Tongue, tongues};
use super::turns::turns;
use super::{Neck, necks, slots, slotted};
use crate::pattern::{Outline, Outlines};
use crate::work::edit::wood;
use crate::work::{
    AreaId, Axis, BorderId, Edit, Finding, Grave, Kind, Number, Pattern, Piece, Size, Spot, State, Unit, Way, Whom,
    Work,
};

/// The least neck of a piece 6 mm thick or less, and of one 20 mm thick or more; between them in proportion. From memory.
const LEAST_NECK: [(i32, i32); 2] = [(6000, 2000), (20_000, 3000)];
/// Short grain is looked for at necks up to this many times the least: common practice, no source for a figure.
const SHORT_GRAIN: f64 = 3.0;
/// Grain that runs nearer than this to straight across a neck is short, degrees: common practice, no source for a figure.
const ACROSS_DEGREES: f64 = 30.0;

/// Narrow places found before, each with the outline that it was looked for in and how wide a place was looked for. A check
/// after a change looks again only at the pieces that changed.
#[derive(Default)]
pub struct Narrow {
    known: BTreeMap<AreaId, Known>,
    /// What the ways out of necks rest on that were tried out, and those ways by piece.
    rests_on: Option<RestsOn>,
    tried: BTreeMap<Number, Tried>,
}

#[derive(PartialEq)]
struct RestsOn {
    pattern: Pattern,
    panel: Size,
    unit: Unit,
    /// The pieces that are still to be sawn, each with its least neck.
    planned: Vec<(Number, f64)>,
}

/// A neck, what is left of it between gaps, and the ways out of it.
#[derive(Clone)]
struct Tried {
    neck: Neck,
    sawn: f64,
    widened: Option<Way>,
    parted: Option<Way>,
}

struct Known {
    rings: Vec<Vec<Point>>,
    most: f64,
    necks: Vec<Neck>,
    slender: f64,
    tongues: Vec<Tongue>,
    drum: Um,
    hollows: Vec<Hollow>,
}

impl Narrow {
    /// Looks where the outline, or how wide a place counts, is another than before.
    fn follow(&mut self, work: &Work, outlines: &Outlines, planned: &[(Number, &Piece, &Outline)]) {
        let slots = slots(work, outlines);
        let before = std::mem::take(&mut self.known);
        let look = |(_, piece, outline): &(Number, &Piece, &Outline)| {
            let most = SHORT_GRAIN * least_neck(work, piece);
            let own = slots.iter().filter(|(area, _)| *area == piece.area).map(|(_, slot)| *slot);
            let rings = slotted(&outline.rings, own);
            let known = before.get(&piece.area).filter(|known| known.rings == rings);
            let alike = known.filter(|known| known.most == most);
            let necks = alike.map_or_else(|| necks(&rings, most), |known| known.necks.clone());
            let slender = least_neck(work, piece) + widest_gap(work, outline);
            let alike = known.filter(|known| known.slender == slender);
            let tongues = alike.map_or_else(|| tongues(&rings, slender), |known| known.tongues.clone());
            let drum = work.choices.saw.drum;
            let alike = known.filter(|known| known.drum == drum);
            let hollows =
                alike.map_or_else(|| hollows(&outline.rings, f64::from(drum.0) / 2.0), |known| known.hollows.clone());
            (piece.area, Known { rings, most, necks, slender, tongues, drum, hollows })
        };
        self.known = planned.par_iter().map(look).collect::<Vec<_>>().into_iter().collect();
    }

    /// Tries ways out of the narrowest neck of each piece, where they do not rest on the same as before.
    fn mend(&mut self, work: &Work, outlines: &Outlines, planned: &[(Number, &Piece, &Outline)]) {
        let least = planned.iter().map(|(number, piece, _)| (*number, least_neck(work, piece))).collect();
        let (panel, unit) = (work.panel, work.choices.unit);
        let rests_on = RestsOn { pattern: work.pattern.clone(), panel, unit, planned: least };
        let before = std::mem::take(&mut self.tried);
        let before = if self.rests_on.as_ref() == Some(&rests_on) { before } else { BTreeMap::new() };
        self.rests_on = Some(rests_on);
        let known = &self.known;
        let of = |(number, piece, outline): &(Number, &Piece, &Outline)| {
            let necks = &known[&piece.area].necks;
            let (sawn, neck) = *too_narrow(work, outlines, (piece, outline), necks).first()?;
            let tried = before.get(number).filter(|tried| tried.neck == *neck && tried.sawn == sawn);
            let tried = tried.cloned().unwrap_or_else(|| Tried {
                neck: *neck,
                sawn,
                widened: mends::widened(work, piece, (neck, sawn)),
                parted: mends::parted(work, piece, neck),
            });
            Some((*number, tried))
        };
        self.tried = planned.par_iter().map(of).collect::<Vec<_>>().into_iter().flatten().collect();
    }
}

/// What a check finds of the pieces that are still to be sawn.
pub fn findings(work: &Work, outlines: &Outlines, narrow: &mut Narrow) -> Vec<Finding> {
    let planned: Vec<(Number, &Piece, &Outline)> = work
        .pieces
        .iter()
        .filter(|(_, piece)| piece.state == State::Planned)
        .filter_map(|(number, piece)| Some((*number, piece, outlines.areas.get(&piece.area)?)))
        .collect();
    narrow.follow(work, outlines, &planned);
    narrow.mend(work, outlines, &planned);
    let of = |(number, piece, outline): &(Number, &Piece, &Outline)| {
        let Known { necks, tongues, .. } = &narrow.known[&piece.area];
        let mut found = narrow_places(work, outlines, (*number, piece, outline), necks, narrow.tried.get(number));
        found.extend(tongue::finding(work, outlines, (*number, piece, outline), tongues));
        found.extend(beyond(work, *number, piece, outline));
        found
    };
    let mut found: Vec<Finding> = planned.iter().flat_map(of).collect();
    found.extend(tall(work, &planned));
    found.extend(small(work, outlines, &planned));
    found.extend(turns(work, &planned));
    found.extend(unreached(work, &planned, narrow));
    found
}

/// A drum that stays off by less than this reaches well enough with a fold of paper over it, µm: from memory.
const OFF: f64 = 1000.0;

/// Pieces with hollows that the smallest drum does not reach, in one finding.
fn unreached(work: &Work, planned: &[(Number, &Piece, &Outline)], narrow: &Narrow) -> Option<Finding> {
    let of = |(number, piece, _): &(Number, &Piece, &Outline)| {
        let hollows = narrow.known[&piece.area].hollows.iter();
        let off = hollows.map(|hollow| (hollow.off.unwrap_or(f64::INFINITY), hollow.at));
        off.filter(|(off, _)| *off >= OFF).max_by(|a, b| a.0.total_cmp(&b.0)).map(|(off, at)| (off, *number, at))
    };
    let found: Vec<(f64, Number, Point)> = planned.iter().filter_map(of).collect();
    let (off, worst, at) = *found.iter().max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))?;
    let stays =
        if off.is_finite() { format!("it stays {} off", about(work, off, 100.0)) } else { "it does not go in".into() };
    let why = format!(
        "{} hollows that a disc never reaches and a drum of {} does not reach either, most of all piece {worst}: {stays}.",
        if found.len() == 1 { "One piece has".into() } else { format!("{} pieces have", found.len()) },
        show(work, work.choices.saw.drum.0.into())
    );
    let ways = vec![
        Way::advice(
            "Sand them by hand around a dowel or with a file, and saw these edges so clean that little is left to do.",
        ),
        Way::advice("Ease the border there, or split the piece in the hollow so that its edges lie open."),
        Way::advice("Tell spelk of a smaller drum or spindle: edit, setup, saw, drum."),
    ];
    let spot = Spot { at: Some(at), ..Spot::pieces(found.iter().map(|(_, number, _)| *number)) };
    Some(Finding { kind: Kind::Hollow, grave: Grave::Note, spot, why, ways, key: "hollow".into() })
}

pub(super) fn show(work: &Work, length: f64) -> String {
    let length = Um(length as i32);
    match work.choices.unit {
        Unit::Mm => mm_text(length),
        Unit::Inch => inch_text(length),
    }
}

/// A length to so many µm: nobody measures nearer on a pattern.
pub(super) fn about(work: &Work, length: f64, to: f64) -> String {
    show(work, (length / to).round() * to)
}

pub(super) fn spot(piece: &Piece, number: Number, at: Point) -> Spot {
    Spot { areas: vec![piece.area], at: Some(at), ..Spot::pieces([number]) }
}

/// The least neck for a thickness; for one that is undecided that of the thinnest stock, so that no more is asked than must be.
pub(super) fn least_neck(work: &Work, piece: &Piece) -> f64 {
    let thickness = piece.values.thickness.map(|chosen| chosen.value);
    let thickness = thickness.or(work.choices.stock.thicknesses.first().copied()).unwrap_or_default();
    let [(thin, low), (thick, high)] = LEAST_NECK.map(|(at, least)| (f64::from(at), f64::from(least)));
    let along = ((f64::from(thickness.0) - thin) / (thick - thin)).clamp(0.0, 1.0);
    low + along * (high - low)
}

/// What is left of a neck between gaps, and the neck.
type Sawn<'a> = (f64, &'a Neck);

fn sawn<'a>(work: &Work, outlines: &Outlines, outline: &Outline, neck: &'a Neck) -> Sawn<'a> {
    (neck.width - gaps(work, outlines, outline, neck), neck)
}

/// The necks that the stock of a piece is too weak for, the narrowest first.
fn too_narrow<'a>(
    work: &Work,
    outlines: &Outlines,
    (piece, outline): (&Piece, &Outline),
    found: &'a [Neck],
) -> Vec<Sawn<'a>> {
    let least = least_neck(work, piece);
    let sawn = found.iter().map(|neck| sawn(work, outlines, outline, neck));
    let mut narrow: Vec<Sawn> = sawn.filter(|(sawn, _)| *sawn < least).collect();
    narrow.sort_by(|(a, _), (b, _)| a.total_cmp(b));
    narrow
}

fn narrow_places(
    work: &Work,
    outlines: &Outlines,
    (number, piece, outline): (Number, &Piece, &Outline),
    found: &[Neck],
    tried: Option<&Tried>,
) -> Vec<Finding> {
    let least = least_neck(work, piece);
    let narrow = too_narrow(work, outlines, (piece, outline), found);
    let wide = found.iter().map(|neck| sawn(work, outlines, outline, neck)).enumerate();
    let short = wide.filter(|(_, (sawn, _))| *sawn >= least).filter_map(|(at, (sawn, neck))| {
        short_grain(work, (number, piece), neck, (sawn, format!("short-grain-{number:05}-{at}")))
    });
    neck_finding(work, (number, piece), &narrow, tried).into_iter().chain(short).collect()
}

/// The widest gap of a piece's borders, µm.
fn widest_gap(work: &Work, outline: &Outline) -> f64 {
    let gap = |(id, _): &(BorderId, bool)| work.pattern.borders[id].gap.0;
    outline.borders.iter().flatten().map(gap).max().unwrap_or(0).into()
}

/// What the gaps of the borders at the ends of a neck take from it, µm.
pub(super) fn gaps(work: &Work, outlines: &Outlines, outline: &Outline, neck: &Neck) -> f64 {
    let near = |end: Point| {
        let away = |line: &[Point]| line.iter().map(|p| square(*p, end)).min().unwrap_or(i64::MAX);
        let borders = outline.borders.iter().flatten().map(|(id, _)| *id);
        borders.min_by_key(|id| (away(&outlines.lines[id]), *id)).map_or(0, |id| work.pattern.borders[&id].gap.0)
    };
    if outline.borders.iter().flatten().all(|(id, _)| work.pattern.borders[id].gap.0 == 0) {
        return 0.0;
    }
    f64::from(near(neck.ends.0) + near(neck.ends.1)) / 2.0
}

fn square(a: Point, b: Point) -> i64 {
    let (x, y) = (i64::from(a.x) - i64::from(b.x), i64::from(a.y) - i64::from(b.y));
    x * x + y * y
}

/// The direction along a neck, as grain would run to hold it together.
pub(super) fn along(neck: &Neck) -> Axis {
    let (a, b) = neck.ends;
    // y runs down the page and grain is counted counterclockwise; the way along stands square to the way across.
    Axis::degrees(libm::atan2(f64::from(a.y - b.y), f64::from(b.x - a.x)).to_degrees() + 90.0)
}

pub(super) fn turned(number: Number, neck: &Neck) -> Way {
    let grain = wood::Edit::Grain { whom: Whom::Piece(number), axis: along(neck) };
    Way::by("Turn its grain to run along the narrow place.", vec![Edit::Wood(grain)])
}

/// Where a neck is, in words.
pub(super) fn place(work: &Work, neck: &Neck) -> String {
    let Point { x, y } = neck.middle();
    format!("{} from the left and {} from the top", about(work, x.into(), 100.0), about(work, y.into(), 100.0))
}

/// More places of one piece than this are only counted.
const PLACES_TOLD: usize = 6;

/// Places of one piece after each other, with `word` before each but the first.
pub(super) fn listed(places: &[String], word: &str) -> String {
    let (told, rest) = places.split_at(places.len().min(PLACES_TOLD));
    let more = match rest.len() {
        0 => String::new(),
        1 => "; and at 1 place more".into(),
        more => format!("; and at {more} places more"),
    };
    format!("{}{more}", told.join(&format!("; {word}")))
}

/// The necks of a piece, the narrowest first, in one finding.
fn neck_finding(
    work: &Work,
    (number, piece): (Number, &Piece),
    narrow: &[Sawn],
    tried: Option<&Tried>,
) -> Option<Finding> {
    let (_, neck) = *narrow.first()?;
    if let Some(gone) = parted(work, (number, piece), narrow) {
        return Some(gone);
    }
    let one = |(sawn, neck): &Sawn| format!("{}, {}", about(work, *sawn, 10.0), place(work, neck));
    let places: Vec<String> = narrow.iter().map(one).collect();
    let why = format!(
        "Piece {number} narrows to {}; a neck of this stock wants {} (from memory). It breaks in the saw or in the hand.",
        listed(&places, "to "),
        show(work, least_neck(work, piece))
    );
    let advice = [
        "Split the piece at its narrow place, or merge what hangs on it with a neighbour.",
        "Saw it taped to a thin backing, and leave the waste beside the neck until the last.",
    ];
    let (widened, parted) = tried.map(|tried| (tried.widened.clone(), tried.parted.clone())).unwrap_or_default();
    let split = usize::from(parted.is_some());
    let ways = std::iter::once(turned(number, neck)).chain(widened).chain(parted);
    let ways = ways.chain(advice.into_iter().skip(split).map(Way::advice)).collect();
    let (spot, key) = (spot(piece, number, neck.middle()), format!("neck-{number:05}"));
    Some(Finding { kind: Kind::Neck, grave: Grave::Doubt, spot, why, ways, key })
}

/// Less wood than this is none, µm.
const NOTHING: f64 = 5.0;

/// A piece that the gaps on both sides of a neck leave nothing of.
fn parted(work: &Work, (number, piece): (Number, &Piece), narrow: &[(f64, &Neck)]) -> Option<Finding> {
    let gone: Vec<&Neck> = narrow.iter().filter(|(sawn, _)| *sawn < NOTHING).map(|(_, neck)| *neck).collect();
    let (first, more) = (*gone.first()?, gone.len() - 1);
    let more = if more > 0 { format!(" and at {more} more") } else { String::new() };
    let why = format!(
        "The gaps beside piece {number} leave no wood of it {}{more}: it falls apart there.",
        place(work, first)
    );
    let ways = vec![
        Way::advice("Make the gaps beside it narrower there, or close them."),
        Way::advice("Split it there into two pieces, or merge what hangs on it with a neighbour."),
    ];
    let (spot, key) = (spot(piece, number, first.middle()), format!("neck-{number:05}"));
    Some(Finding { kind: Kind::Neck, grave: Grave::Grave, spot, why, ways, key })
}

fn short_grain(work: &Work, (number, piece): (Number, &Piece), neck: &Neck, told: (f64, String)) -> Option<Finding> {
    let grain = piece.values.grain?.value;
    let away = (grain.to_degrees() - along(neck).to_degrees()).rem_euclid(180.0);
    if (away - 90.0).abs() > ACROSS_DEGREES {
        return None;
    }
    let (sawn, key) = told;
    let why = format!(
        "In piece {number} the grain runs across a place {} wide, {}: short grain snaps there (common practice, no source).",
        about(work, sawn, 10.0),
        place(work, neck)
    );
    let spot = spot(piece, number, neck.middle());
    Some(Finding { kind: Kind::ShortGrain, grave: Grave::Doubt, spot, why, ways: vec![turned(number, neck)], key })
}

/// Too thick or too long for the saw.
fn beyond(work: &Work, number: Number, piece: &Piece, outline: &Outline) -> Vec<Finding> {
    let saw = &work.choices.saw;
    let place = || spot(piece, number, outline.widest.centre);
    let mut found = Vec::new();
    if let Some(thickness) = piece.values.thickness.map(|chosen| chosen.value).filter(|t| *t > saw.thickest) {
        let (thick, takes) = (show(work, thickness.0.into()), show(work, saw.thickest.0.into()));
        found.push(Finding {
            kind: Kind::BeyondSaw,
            grave: Grave::Grave,
            spot: place(),
            why: format!("Piece {number} is {thick} thick; the saw takes {takes}."),
            ways: (mends::thinner(work, [(number, piece, saw.thickest.0.into())]).into_iter())
                .chain([Way::advice(
                    "Saw it in thinner stock and lift it with a raiser, or glue it up from two layers sawn alike.",
                )])
                .collect(),
            key: format!("thick-{number:05}"),
        });
    }
    let long = longest(outline, f64::from(saw.throat.0));
    if long > f64::from(saw.throat.0) {
        let (long, throat) = (about(work, long, 100.0), show(work, saw.throat.0.into()));
        found.push(Finding {
            kind: Kind::BeyondSaw,
            grave: Grave::Doubt,
            spot: place(),
            why: format!(
                "Piece {number} is {long} long; the saw has {throat} behind the blade, so it cannot be swung round."
            ),
            ways: vec![Way::advice(
                "Split it, saw it from both ends, or use a coping saw or band saw for its long sides.",
            )],
            key: format!("long-{number:05}"),
        });
    }
    found
}

/// The longest way across the outline, µm; 0 where its box shows that it is no longer than `most`.
pub(super) fn longest(outline: &Outline, most: f64) -> f64 {
    let ring = outline.rings.first().map_or(&[][..], Vec::as_slice);
    let span = |of: fn(&Point) -> i32| {
        let (low, high) = ring.iter().map(of).fold((i32::MAX, i32::MIN), |(low, high), at| (low.min(at), high.max(at)));
        f64::from(high) - f64::from(low)
    };
    if ring.is_empty() || libm::hypot(span(|p| p.x), span(|p| p.y)) <= most {
        return 0.0;
    }
    // The farthest pair lies on the hull; every seventh point is within a blade's width of any other.
    let some: Vec<Point> = ring.iter().copied().step_by((ring.len() / 200).max(1)).collect();
    let far = |a: &Point| some.iter().map(|b| square(*a, *b)).max().unwrap_or(0);
    (some.iter().map(far).max().unwrap_or(0) as f64).sqrt()
}

/// Pieces thicker than they are wide, in one finding: in thick stock they are many. Where some are thicker than they are long
/// any way, which stand the least, it is of those alone.
fn tall(work: &Work, planned: &[(Number, &Piece, &Outline)]) -> Option<Finding> {
    struct Tall<'a> {
        number: Number,
        piece: &'a Piece,
        thick: f64,
        wide: f64,
        long: f64,
    }
    let over = |(number, piece, outline): &(Number, &'_ Piece, &Outline)| {
        let thick = f64::from(piece.values.thickness?.value.0);
        let wide = 2.0 * outline.widest.radius;
        (thick > wide).then(|| (*number, thick, wide, longest(outline, 0.0)))
    };
    let mut found: Vec<Tall> = (planned.iter())
        .filter_map(|one| over(one).map(|(number, thick, wide, long)| Tall { number, piece: one.1, thick, wide, long }))
        .collect();
    let all = found.len();
    if found.iter().any(|one| one.thick > one.long) {
        found.retain(|one| one.thick > one.long);
    }
    let steep = |one: &Tall| one.thick / one.wide;
    let worst = found.iter().max_by(|a, b| steep(a).total_cmp(&steep(b)).then(b.number.cmp(&a.number)))?;
    let are = |count: usize| if count == 1 { "One piece is".to_owned() } else { format!("{count} pieces are") };
    let counted = match found.len() < all || worst.thick > worst.long {
        true => format!("{} thicker than wide, {} of them thicker than long any way", are(all), found.len()),
        false => format!("{} thicker than wide", are(all)),
    };
    let why = format!(
        "{counted}, most of all piece {}, {} thick and {} at its widest: such a piece tips at the blade, and stands on little glue.",
        worst.number,
        show(work, worst.thick),
        about(work, worst.wide, 100.0)
    );
    let thinner = mends::thinner(work, found.iter().map(|one| (one.number, one.piece, one.wide)));
    let advice = [
        "Saw it while it hangs on a larger blank, and part it last; hold it with a stick, never with fingertips at the blade.",
        "Glue it to a neighbour or onto a scrap first, or plan it in thinner stock on a raiser.",
    ];
    let ways = thinner.into_iter().chain(advice.map(Way::advice)).collect();
    let spot = Spot::pieces(found.iter().map(|one| one.number));
    Some(Finding { kind: Kind::Tall, grave: Grave::Note, spot, why, ways, key: "tall".into() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::outlines;
    use crate::pattern::sample::accepted;

    /// What is found of a piece that narrows to so many µm at places 10 mm apart, from 10 mm on.
    fn found(widths: &[i32]) -> Vec<Finding> {
        let work = accepted(3, 2);
        let (number, piece) = work.pieces.iter().next().expect("there is a piece");
        let all = outlines(&work.pattern, work.panel);
        let neck = |(at, width): (i32, &i32)| Neck {
            ends: (Point::new(at * 10_000, 5000), Point::new(at * 10_000, 5000 + width)),
            width: f64::from(*width),
        };
        let necks: Vec<Neck> = (1..).zip(widths).map(neck).collect();
        narrow_places(&work, &all, (*number, piece, &all.areas[&piece.area]), &necks, None)
    }

    #[test]
    fn the_necks_of_a_piece_are_one_finding_with_their_places_the_narrowest_first() {
        let two = found(&[1500, 1000]);
        assert_eq!(two.len(), 1, "{two:?}");
        let told = "narrows to 1 mm, 20 mm from the left and 5.5 mm from the top; to 1.5 mm, 10 mm from the left and 5.8 mm from the top; a neck";
        assert!(two[0].why.contains(told), "{}", two[0].why);
        assert_eq!(two[0].spot.at, Some(Point::new(20_000, 5500)));
        let many = found(&[1000; 9]);
        assert!(many.len() == 1 && many[0].why.contains("; and at 3 places more; a neck"), "{many:?}");
        assert!(found(&[1000; 7])[0].why.contains("; and at 1 place more; a neck"));
        assert_eq!(found(&[8000]), []);
        let gone = found(&[1500, -434]);
        assert_eq!((gone.len(), gone[0].grave), (1, Grave::Grave));
        assert!(gone[0].why.contains("leave no wood of it 20 mm from the left"), "{}", gone[0].why);
    }
}
