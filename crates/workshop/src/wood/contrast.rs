//! Touching pieces of different meaning that look alike: finished, after years, or raw at the bench; and what cannot be
//! told from the data and goes on the list of tests.
//!
//! Two pieces were meant to be told apart when their colours in the picture are; shading inside one form is left in peace, and
//! so are short borders, a readable step in height and an open line. What looks alike under the finish is a doubt, what does
//! after twenty years is another; a pair that is alike raw only is a note, since woods are picked on raw boards.

use std::collections::{BTreeMap, BTreeSet};

use measure::colour::delta_e_2000;
use measure::length::Um;
use serde::Serialize;

use super::findings::{choose, in_use, length, name, seeing};
use super::grain::{APART as TURNED_APART, between};
use super::sure::{Seeing, VISIBLE, Verdict, judge};
use super::years::HOLDS_YEARS;
use crate::pattern::{Meeting, Outlines};
use crate::picture::Colours;
use crate::work::edit::{pattern, relief, wood};
use crate::work::{Axis, Edit, Finding, Grave, Kind, Number, Piece, Spot, State, Way, Whom, Wood, WoodId, Work};

/// Two touching pieces whose picture colours lie this far apart were meant to be told apart. Lower floods the list with
/// shading inside one form.
const MEANT_APART: f64 = 8.0;

/// Common borders shorter than this carry no form, mm.
pub(super) const SHORT_BORDER_MM: f64 = 10.0;

/// An open line reads from this gap on; the one that is offered as a mend is wider.
const GAP_READS: Um = Um(300);
const GAP_OFFERED: Um = Um(800);

/// Coats on a test: wax changed no more after two (Les/Wood 18732).
const COATS: u32 = 2;

/// Two woods whose colours cannot be told apart or together from the data, to be tested on offcuts.
#[derive(Clone, Debug, Serialize)]
pub struct Offcuts {
    /// The woods to lay side by side.
    pub woods: [WoodId; 2],
    /// The finish, by its key.
    pub finish: String,
    /// Coats of it.
    pub coats: u32,
    /// Touching pieces that hang on the answer.
    pub pieces: Vec<[Number; 2]>,
    /// Length of their borders, mm.
    pub border_mm: f64,
    /// ΔE00 by the table, under the finish.
    pub difference: f64,
}

/// Two touching pieces that are meant to be told apart.
struct Pair<'a> {
    pieces: [(Number, &'a Piece); 2],
    woods: [&'a Wood; 2],
    meeting: &'a Meeting,
    /// ΔE00 in the picture.
    meant: f64,
    /// Which is the lighter in the picture: 1 when the first, −1 when the second.
    lighter: f64,
}

fn pairs<'a>(work: &'a Work, outlines: &'a Outlines, colours: &Colours) -> Vec<Pair<'a>> {
    let pieces: BTreeMap<_, _> = work.pieces.iter().map(|(n, piece)| (piece.area, (*n, piece))).collect();
    let wood = |piece: &Piece| work.woods.get(&piece.values.wood.as_ref()?.value);
    let read = |((one, two), meeting): (&_, &'a Meeting)| {
        let pair = [*pieces.get(one)?, *pieces.get(two)?];
        let (a, b) = (colours.get(one)?, colours.get(two)?);
        let meant = delta_e_2000(*a, *b);
        let woods = [wood(pair[0].1)?, wood(pair[1].1)?];
        let seen = meeting.length_mm >= SHORT_BORDER_MM && meant >= MEANT_APART;
        let told = step_tells(work, pair) || line_tells(work, meeting);
        (seen && !told).then_some(Pair { pieces: pair, woods, meeting, meant, lighter: (a.l - b.l).signum() })
    };
    outlines.meetings.iter().filter_map(read).collect()
}

/// Whether a readable step in height parts the two.
fn step_tells(work: &Work, [(_, one), (_, two)]: [(Number, &Piece); 2]) -> bool {
    let (Some(a), Some(b)) = (one.values.height, two.values.height) else { return false };
    (i64::from(a.value.0) - i64::from(b.value.0)).abs() >= i64::from(work.choices.stock.readable_step.0)
}

/// Whether the whole line between the two is open.
fn line_tells(work: &Work, meeting: &Meeting) -> bool {
    let open = |id| work.pattern.borders.get(id).is_some_and(|border| border.gap >= GAP_READS);
    !meeting.borders.is_empty() && meeting.borders.iter().all(open)
}

/// Woods judged once for each pair of them.
struct Judged<'a> {
    known: BTreeMap<(&'a WoodId, &'a WoodId), (f64, Verdict)>,
    seeing: Seeing<'a>,
}

impl<'a> Judged<'a> {
    fn new(seeing: Seeing<'a>) -> Judged<'a> {
        Judged { known: BTreeMap::new(), seeing }
    }

    fn of(&mut self, [one, two]: [&'a Wood; 2]) -> (f64, Verdict) {
        let (one, two) = if one.id <= two.id { (one, two) } else { (two, one) };
        *self.known.entry((&one.id, &two.id)).or_insert_with(|| judge(one, two, self.seeing))
    }
}

/// The difference of two woods of the job under its finish, ΔE00, and what can be said of it.
pub fn judged(work: &Work, one: &WoodId, two: &WoodId) -> Option<(f64, Verdict)> {
    Some(judge(work.woods.get(one)?, work.woods.get(two)?, seeing(work, 0.0)))
}

/// What a check finds of contrast.
pub(super) fn contrast(work: &Work, outlines: &Outlines, colours: &Colours) -> Vec<Finding> {
    let mut now = Judged::new(seeing(work, 0.0));
    let mut later = Judged::new(seeing(work, HOLDS_YEARS));
    let mut raw = Judged::new(Seeing { finish: None, years: 0.0 });
    let mut found = Vec::new();
    let mut alike_raw: BTreeMap<[&WoodId; 2], BTreeSet<Number>> = BTreeMap::new();
    for pair in pairs(work, outlines, colours) {
        let (finished, aged, bare) = (now.of(pair.woods).0, later.of(pair.woods).0, raw.of(pair.woods).0);
        if finished < VISIBLE {
            found.push(alike(work, &pair, finished));
        } else if aged < VISIBLE {
            found.push(fades(work, &pair, (finished, aged)));
        } else if bare < VISIBLE {
            let mut woods = pair.woods.map(|wood| &wood.id);
            woods.sort();
            alike_raw.entry(woods).or_default().extend(pair.pieces.map(|(n, _)| n));
        }
    }
    found.extend(alike_raw.into_iter().map(|(woods, pieces)| only_raw(work, woods, pieces)));
    found
}

/// Pairs of woods that can't be told, the longest common border first.
pub fn offcuts(work: &Work, outlines: &Outlines, colours: &Colours) -> Vec<Offcuts> {
    let mut now = Judged::new(seeing(work, 0.0));
    let mut found: BTreeMap<[&WoodId; 2], Offcuts> = BTreeMap::new();
    for pair in pairs(work, outlines, colours) {
        let (difference, verdict) = now.of(pair.woods);
        if verdict != Verdict::CantTell {
            continue;
        }
        let mut woods = pair.woods.map(|wood| &wood.id);
        woods.sort();
        let entry = found.entry(woods).or_insert_with(|| Offcuts {
            woods: woods.map(Clone::clone),
            finish: work.choices.finish.clone(),
            coats: COATS,
            pieces: Vec::new(),
            border_mm: 0.0,
            difference,
        });
        entry.pieces.push(pair.pieces.map(|(n, _)| n));
        entry.border_mm += pair.meeting.length_mm;
    }
    let mut list: Vec<Offcuts> = found.into_values().collect();
    list.sort_by(|a, b| b.border_mm.total_cmp(&a.border_mm).then(a.woods.cmp(&b.woods)));
    list
}

fn spot(pair: &Pair) -> Spot {
    Spot {
        pieces: pair.pieces.map(|(n, _)| n).to_vec(),
        borders: pair.meeting.borders.clone(),
        woods: pair.woods.map(|wood| &wood.id).into_iter().cloned().collect::<BTreeSet<_>>().into_iter().collect(),
        ..Spot::default()
    }
}

fn in_what(pair: &Pair) -> String {
    let [one, two] = pair.woods;
    if one.id == two.id { format!("both in {}", one.name) } else { format!("in {} and {}", one.name, two.name) }
}

fn alike(work: &Work, pair: &Pair, finished: f64) -> Finding {
    let [(one, _), (two, _)] = pair.pieces;
    let turned = turned_apart(pair);
    Finding {
        kind: Kind::LowContrast,
        grave: if turned { Grave::Note } else { Grave::Doubt },
        spot: spot(pair),
        why: format!(
            "Pieces {one} and {two} differ in the picture (ΔE {:.0}) but will look alike {} (ΔE {finished:.1} finished), along \
             {}{}.",
            pair.meant,
            in_what(pair),
            length(work, Um::mm(pair.meeting.length_mm.round())),
            if turned { ": only their grain, turned apart, tells them" } else { "" },
        ),
        ways: mends(work, pair),
        key: format!("contrast/{one}/{two}"),
    }
}

fn fades(work: &Work, pair: &Pair, (finished, aged): (f64, f64)) -> Finding {
    let [(one, _), (two, _)] = pair.pieces;
    Finding {
        kind: Kind::Fades,
        grave: Grave::Doubt,
        spot: spot(pair),
        why: format!(
            "Pieces {one} and {two} {} differ when finished (ΔE {finished:.1}) but grow alike with the years (ΔE {aged:.1} \
             after {HOLDS_YEARS:.0}).",
            in_what(pair)
        ),
        ways: mends(work, pair),
        key: format!("fades/{one}/{two}"),
    }
}

fn only_raw(work: &Work, [one, two]: [&WoodId; 2], pieces: BTreeSet<Number>) -> Finding {
    Finding {
        kind: Kind::LowContrast,
        grave: Grave::Note,
        spot: Spot { woods: vec![one.clone(), two.clone()], ..Spot::pieces(pieces) },
        why: format!(
            "{} and {} look alike raw and come apart under the finish: mark their boards, and wipe an offcut with spirit to see.",
            name(work, one),
            name(work, two)
        ),
        ways: vec![Way::advice("Write the wood on the back of each piece as soon as it is sawn.")],
        key: format!("contrast-raw/{one}/{two}"),
    }
}

/// Whether both have one wood and their grain is turned apart.
fn turned_apart(pair: &Pair) -> bool {
    let [Some(one), Some(two)] = pair.pieces.map(|(_, piece)| piece.values.grain) else { return false };
    pair.woods[0].id == pair.woods[1].id && between(one.value, two.value) >= TURNED_APART
}

/// Another wood, the grain turned, a step in height, an open line.
fn mends(work: &Work, pair: &Pair) -> Vec<Way> {
    let mut ways: Vec<Way> = [0, 1].into_iter().filter_map(|at| other_wood(work, pair, at)).collect();
    ways.extend(turn(pair));
    ways.push(step(work, pair));
    ways.push(open(work, pair));
    ways
}

/// A wood already in use that parts the piece from the other now and in years: the one nearest to what it has.
fn other_wood(work: &Work, pair: &Pair, at: usize) -> Option<Way> {
    let ((number, piece), stay) = (pair.pieces[at], pair.woods[1 - at]);
    if piece.state != State::Planned {
        return None;
    }
    let (now, later) = (seeing(work, 0.0), seeing(work, HOLDS_YEARS));
    let lighter = if at == 0 { pair.lighter } else { -pair.lighter };
    let look = |wood: &Wood| now.look(wood, wood.colour.value);
    let parts = |wood: &&Wood| {
        (look(wood).l - look(stay).l) * lighter >= 0.0
            && judge(wood, stay, now).0 >= VISIBLE
            && judge(wood, stay, later).0 >= VISIBLE
    };
    let (_, wood) = in_use(work)
        .into_keys()
        .filter_map(|id| work.woods.get(id))
        .filter(parts)
        .map(|wood| (delta_e_2000(look(wood), look(pair.woods[at])), wood))
        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.id.cmp(&b.1.id)))?;
    Some(Way::by(format!("Saw piece {number} from {} instead.", wood.name), vec![choose(number, &wood.id)]))
}

fn turn(pair: &Pair) -> Option<Way> {
    let [Some(one), Some(two)] = pair.pieces.map(|(_, piece)| piece.values.grain) else { return None };
    let at = pair.pieces.iter().position(|(_, piece)| piece.state == State::Planned)?;
    if pair.woods[0].id != pair.woods[1].id || between(one.value, two.value) >= TURNED_APART {
        return None;
    }
    let stays = [one, two][1 - at].value.to_degrees();
    let axis = Axis::degrees(stays + if [one, two][at].value.to_degrees() >= stays { 25.0 } else { -25.0 });
    let number = pair.pieces[at].0;
    let says = format!("Turn the grain of piece {number}: the same wood catches the light differently.");
    Some(Way::by(says, vec![Edit::Wood(wood::Edit::Grain { whom: Whom::Piece(number), axis })]))
}

/// Raises the higher one to a readable step where the stock's range allows it.
fn step(work: &Work, pair: &Pair) -> Way {
    let stock = &work.choices.stock;
    let says = |what: String| format!("Set {what} at least {} above the other.", length(work, stock.readable_step));
    let heights = pair.pieces.map(|(_, piece)| piece.values.height.map(|height| height.value));
    let [Some(a), Some(b)] = heights else { return Way::advice(says("one of them".into())) };
    let (high, low) = if a >= b { (pair.pieces[0], b) } else { (pair.pieces[1], a) };
    let height = Um(low.0 + stock.readable_step.0);
    if high.1.state != State::Planned || height > stock.highest {
        return Way::advice(says("one of them".into()));
    }
    let edit = relief::Edit::Height { whom: Whom::Piece(high.0), height };
    Way::by(says(format!("piece {}", high.0)), vec![Edit::Relief(edit)])
}

fn open(work: &Work, pair: &Pair) -> Way {
    let says = format!("Open the line between them to {}.", length(work, GAP_OFFERED));
    let gap = |border: &_| Edit::Pattern(pattern::Edit::Gap { border: *border, gap: GAP_OFFERED });
    Way::by(says, pair.meeting.borders.iter().map(gap).collect())
}
