//! Tracing again around what is held: a draft of the rest is set between the old borders.
//!
//! The areas that are free become one wherever they touch, as when they are merged; the draft's borders between them are
//! set in, their ends cut off where they stand over the old border that they come to, or drawn on to it; then they are laid
//! over what is open, and each face becomes a new area. Old borders are at most parted, so they stay where they are to under
//! 10 µm. The proof at the end decides; when it fails, the draft is refused.

use std::collections::{BTreeMap, BTreeSet};

use measure::plane::{Cubic, Point, line};

use super::cut::{Bench, Crossing, End, Place, crossings, end};
use super::merge::unite;
use super::overlay::Overlay;
use crate::pattern::prove;
use crate::picture::Labels;
use crate::work::{
    AreaId, Becomes, Border, BorderId, Changes, Ends, JunctionId, Pattern, Piece, Refusal, Side, State, Way, Work,
};

/// Areas that tracing again leaves as they are.
pub fn held(work: &Work) -> BTreeSet<AreaId> {
    let known = |id: &AreaId| work.pattern.areas.contains_key(id);
    settled(work).into_iter().chain(work.held.iter().copied().filter(known)).collect()
}

/// Those of them that stay in any case: made, chosen by hand, or shadow.
pub fn settled(work: &Work) -> BTreeSet<AreaId> {
    let settled = |piece: &Piece| {
        let values = &piece.values;
        let by_hand = [
            values.wood.as_ref().map(|chosen| chosen.by),
            values.grain.map(|chosen| chosen.by),
            values.height.map(|chosen| chosen.by),
            values.thickness.map(|chosen| chosen.by),
            values.raiser.map(|chosen| chosen.by),
        ];
        piece.state != State::Planned || by_hand.into_iter().flatten().any(|by| by != crate::work::By::Act)
    };
    let pieces = work.pieces.values().filter(|piece| settled(piece)).map(|piece| piece.area);
    let shadows = work.pattern.areas.iter().filter(|(_, area)| area.becomes == Becomes::Shadow).map(|(id, _)| *id);
    pieces.chain(shadows).filter(|id| work.pattern.areas.contains_key(id)).collect()
}

/// A draft and what it was fitted to.
pub struct Around<'a> {
    /// The draft of everything.
    pub draft: &'a Pattern,
    /// Its label map: label `n` is the draft's area `n + 1`.
    pub labels: &'a Labels,
    /// By label, which held area of the old pattern it stands for.
    pub owners: &'a [Option<AreaId>],
}

/// The old pattern with its free areas drawn as the draft has them.
pub fn splice(work: &Work, around: &Around) -> Result<Pattern, Refusal> {
    let held: BTreeSet<AreaId> = around.owners.iter().flatten().copied().collect();
    let mut next = work.next;
    let mut pattern = work.pattern.clone();
    let pixel = f64::from(work.panel.width.0) / f64::from(around.labels.width);
    let necks = necks(&pattern, &held, OVER_PIXELS * pixel);
    let open = cleared(&mut pattern, &held);
    let known: BTreeSet<JunctionId> = pattern.junctions.keys().copied().collect();
    let mut set_in =
        SetIn { around, pixel, open, pattern, next: &mut next, new: BTreeSet::new(), junctions: BTreeMap::new() };
    set_in.borders();
    necks.iter().for_each(|neck| set_in.neck(neck));
    let SetIn { open, new, pattern, .. } = set_in;
    let (panel, stock) = (work.panel, &work.choices.stock);
    let laid = Overlay { around, panel, stock, open, new, pattern, next: &mut next }.laid(&known);
    laid.filter(|pattern| prove(pattern, panel).is_empty()).ok_or_else(|| {
        Refusal::new("The new borders cannot be joined to the areas that are held.")
            .way(Way::advice("Ask for a few more or fewer pieces, or let an area go that lies between others."))
    })
}

/// Borders between free areas that are no longer than the pixels may be off: the new areas need not touch there, and what they should
/// part would hang together.
fn necks(pattern: &Pattern, held: &BTreeSet<AreaId>, longest: f64) -> Vec<Border> {
    let is_free = |side: Side| side.area().is_some_and(|id| !held.contains(&id));
    let is_neck =
        |border: &&Border| is_free(border.left) && is_free(border.right) && long(&line(&border.curve)) <= longest;
    pattern.borders.values().filter(is_neck).cloned().collect()
}

/// Merges all free areas that touch; what is left of them.
fn cleared(pattern: &mut Pattern, held: &BTreeSet<AreaId>) -> BTreeSet<AreaId> {
    let mut open = BTreeSet::new();
    let mut free: BTreeSet<AreaId> = pattern.areas.keys().copied().filter(|id| !held.contains(id)).collect();
    while let Some(first) = free.pop_first() {
        let mut together: BTreeSet<AreaId> = [first].into();
        let mut waiting = vec![first];
        while let Some(id) = waiting.pop() {
            for border in pattern.borders.values() {
                let beside = match (border.left.area(), border.right.area()) {
                    (Some(a), Some(b)) if a == id => b,
                    (Some(a), Some(b)) if b == id => a,
                    _ => continue,
                };
                if free.remove(&beside) {
                    together.insert(beside);
                    waiting.push(beside);
                }
            }
        }
        unite(pattern, &together, first, &mut Changes::default());
        open.insert(first);
    }
    open
}

/// How far a draft's border can stand over the rim that it was fitted beside, pixels of its labels, and the most of its length.
const OVER_PIXELS: f64 = 4.0;
const OVER_SHARE: f64 = 0.4;

/// A border this near to the rim lies on it, pixels: it then meets the rim there, never at a hair's angle.
const ON_PIXELS: f64 = 0.5;

/// What lies nearer to a border's end is that end, µm.
const AT_UM: f64 = 5.0;

/// The last parameter at which a curve is parted.
const LAST: f64 = 1.0 - 1e-3;

/// Where a curve crosses the rim near its start.
struct Over {
    /// The cubic, and the parameter on it.
    index: usize,
    t: f64,
    /// From the start, µm.
    along: f64,
    place: Place,
}

struct SetIn<'a> {
    around: &'a Around<'a>,
    /// A pixel of the labels, µm.
    pixel: f64,
    /// Areas of the pattern that are to be drawn anew.
    open: BTreeSet<AreaId>,
    pattern: Pattern,
    next: &'a mut crate::work::Counters,
    /// Borders that were set in.
    new: BTreeSet<BorderId>,
    /// Junctions of the pattern by the draft's.
    junctions: BTreeMap<JunctionId, JunctionId>,
}

impl SetIn<'_> {
    fn owner(&self, side: Side) -> Option<AreaId> {
        side.area().and_then(|id| self.around.owners[id.0 as usize - 1])
    }

    fn is_free(&self, side: Side) -> bool {
        side.area().is_some() && self.owner(side).is_none()
    }

    fn borders(&mut self) {
        let draft = self.around.draft;
        let at_edge: BTreeSet<JunctionId> = (draft.borders.values())
            .filter(|border| !self.is_free(border.left) || !self.is_free(border.right))
            .flat_map(|border| match border.ends {
                Ends::Between(a, b) => vec![a, b],
                Ends::Ring(_) => vec![],
            })
            .collect();
        for border in draft.borders.values() {
            if !self.is_free(border.left) || !self.is_free(border.right) {
                continue;
            }
            let mut set = border.clone();
            if let Ends::Between(a, b) = border.ends {
                let a = self.end(a, at_edge.contains(&a), &mut set.curve);
                set.curve = reversed(&set.curve);
                let b = self.end(b, at_edge.contains(&b), &mut set.curve);
                set.curve = reversed(&set.curve);
                let [from, to] = [a, b].map(|id| self.pattern.junctions[&id]);
                set.ends = Ends::Between(a, b);
                draw_on(&mut set.curve, from, to);
            }
            (set.left, set.right) = (Side::Beyond, Side::Beyond);
            let id = self.next.new_border();
            self.pattern.borders.insert(id, set);
            self.new.insert(id);
        }
    }

    /// Sets an old border in again that leads from rim to rim.
    fn neck(&mut self, old: &Border) {
        let [from, to] = [old.curve[0].start(), old.curve[old.curve.len() - 1].end()].map(|at| self.rim_junction(at));
        if let (Some(from), Some(to)) = (from, to) {
            let id = self.next.new_border();
            let mut curve = old.curve.clone();
            draw_on(&mut curve, self.pattern.junctions[&from], self.pattern.junctions[&to]);
            let (left, right) = (Side::Beyond, Side::Beyond);
            let set = Border { ends: Ends::Between(from, to), curve, left, right, ..old.clone() };
            self.pattern.borders.insert(id, set);
            self.new.insert(id);
        }
    }

    /// The junction in a place of the rim, made if there is none; none off the rim.
    fn rim_junction(&mut self, at: Point) -> Option<JunctionId> {
        let near = self.pattern.junctions.iter().find(|(_, known)| apart(**known, at) <= AT_UM);
        near.map(|(id, _)| *id).or_else(|| {
            let (_, place) = self.nearest(at).filter(|(away, _)| *away <= AT_UM)?;
            let mut changes = Changes::default();
            Some(Bench { pattern: &mut self.pattern, next: self.next, changes: &mut changes }.insert(place))
        })
    }

    /// The junction at which a curve begins. What stands over the rim of what is open, or runs on it, is cut off, also where that shows
    /// only once the curve is drawn on to the rim.
    fn end(&mut self, drafted: JunctionId, at_edge: bool, curve: &mut Vec<Cubic>) -> JunctionId {
        let cut = |curve: &mut Vec<Cubic>, over: &Over| {
            let (_, rest) = curve[over.index].split(over.t);
            curve.splice(..=over.index, [rest]);
        };
        let over = if at_edge { self.stands_over(curve) } else { None };
        let known = self.junctions.get(&drafted).copied();
        let place = match (over, known) {
            (Some(over), _) => {
                cut(curve, &over);
                self.settled(over.place)
            }
            (None, Some(known)) => return known,
            (None, None) => {
                let at = self.around.draft.junctions[&drafted];
                let Some((_, place)) = self.nearest(at).filter(|_| at_edge) else {
                    let fresh = self.next.new_junction();
                    self.pattern.junctions.insert(fresh, at);
                    self.junctions.insert(drafted, fresh);
                    return fresh;
                };
                self.settled(place)
            }
        };
        let (x, y) = self.pattern.borders[&place.border].curve[place.cubic].point(place.t);
        let to = curve[curve.len() - 1].end();
        draw_on(curve, Point::new(x.round() as i32, y.round() as i32), to);
        let beyond = self.crossed(curve).filter(|over| over.along > AT_UM);
        let place = match beyond.max_by(|a, b| a.along.total_cmp(&b.along)) {
            Some(over) => {
                cut(curve, &over);
                inner(over.place)
            }
            None => place,
        };
        let found = self.made(place);
        self.junctions.entry(drafted).or_insert(found);
        found
    }

    /// How near to its start a curve can stand over the rim, µm.
    fn reach(&self, curve: &[Cubic]) -> f64 {
        (OVER_PIXELS * self.pixel).min(long(&line(curve)) * OVER_SHARE)
    }

    /// Where a curve crosses the rim near its start.
    fn crossed(&self, curve: &[Cubic]) -> impl Iterator<Item = Over> {
        let reach = self.reach(curve);
        let mut gone = 0.0;
        let mut found = Vec::new();
        for (index, cubic) in curve.iter().enumerate() {
            let points = line(&[*cubic]);
            let chords = (points.len() - 1) as f64;
            for (id, border) in self.pattern.borders.iter().filter(|(_, border)| self.is_rim(border)) {
                for crossing in crossings(&points, *id, border) {
                    let chord = (crossing.along as usize).min(points.len() - 2);
                    let on = (crossing.along - chord as f64) * apart(points[chord], points[chord + 1]);
                    let (along, t) = (gone + long(&points[..=chord]) + on, (crossing.along / chords).min(LAST));
                    found.push(Over { index, t, along, place: crossing.place });
                }
            }
            gone += long(&points);
            if gone > reach {
                break;
            }
        }
        found.into_iter().filter(move |over| over.along <= reach)
    }

    /// The last place near the start of a curve at which it crosses the rim or lies on it.
    fn stands_over(&self, curve: &[Cubic]) -> Option<Over> {
        let reach = self.reach(curve);
        let mut found: Vec<Over> = self.crossed(curve).collect();
        let mut gone = 0.0;
        for (index, cubic) in curve.iter().enumerate() {
            let whole = long(&line(&[*cubic]));
            let steps = (whole / (ON_PIXELS * self.pixel)).ceil().max(1.0);
            for share in (0..=steps as u32).map(|step| f64::from(step) / steps) {
                let along = gone + whole * share;
                if along <= reach {
                    let (x, y) = cubic.point(share);
                    let near = self.nearest(Point::new(x.round() as i32, y.round() as i32));
                    let on = near.filter(|(away, _)| *away <= ON_PIXELS * self.pixel);
                    found.extend(on.map(|(_, place)| Over { index, t: share.min(LAST), along, place }));
                }
            }
            gone += whole;
            if gone > reach {
                break;
            }
        }
        found.into_iter().max_by(|a, b| a.along.total_cmp(&b.along))
    }

    /// The junction at a place of the rim: one that is close by, or a new one.
    fn made(&mut self, place: Place) -> JunctionId {
        let border = &self.pattern.borders[&place.border];
        let crossing = Crossing { along: 0.0, place, at: border.curve[place.cubic].point(place.t) };
        match end(&self.pattern, &crossing) {
            End::There(id) => id,
            End::New(place) => {
                let mut changes = Changes::default();
                Bench { pattern: &mut self.pattern, next: self.next, changes: &mut changes }.insert(place)
            }
        }
    }

    /// The nearest place of the rim, and how far it is, µm.
    fn nearest(&self, at: Point) -> Option<(f64, Place)> {
        let mut best: Option<(f64, Place)> = None;
        for (id, border) in self.pattern.borders.iter().filter(|(_, border)| self.is_rim(border)) {
            for (cubic, curve) in border.curve.iter().enumerate() {
                let mut points = Vec::new();
                curve.flatten(&mut points);
                let chords = (points.len() - 1) as f64;
                for (i, chord) in points.windows(2).enumerate() {
                    let (share, square) = foot(at, chord[0], chord[1]);
                    if best.is_none_or(|best| square < best.0) {
                        best = Some((square, Place { border: *id, cubic, t: (i as f64 + share) / chords }));
                    }
                }
            }
        }
        best.map(|(square, place)| (square.sqrt(), place))
    }

    /// The place itself, or the seam of two cubics beside it, the sharper of two: in a corner a border comes in at the corner,
    /// not beside it.
    fn settled(&self, place: Place) -> Place {
        let curve = &self.pattern.borders[&place.border].curve;
        let (x, y) = curve[place.cubic].point(place.t);
        let at = Point::new(x.round() as i32, y.round() as i32);
        let seams = [(place.cubic, 0.0), (place.cubic + 1, 1.0)].into_iter().filter(|(seam, _)| {
            *seam > 0 && *seam < curve.len() && apart(curve[*seam].start(), at) <= ON_PIXELS * self.pixel
        });
        let sharpest = seams.min_by(|a, b| onward(curve, a.0).total_cmp(&onward(curve, b.0)));
        sharpest.map_or(inner(place), |(_, t)| Place { t, ..place })
    }

    /// Whether the border has what is open on one side and what stays on the other.
    fn is_rim(&self, border: &Border) -> bool {
        let open = |side: Side| side.area().is_some_and(|id| self.open.contains(&id));
        open(border.left) != open(border.right)
    }
}

/// A place that parts its cubic.
fn inner(place: Place) -> Place {
    Place { t: place.t.clamp(1.0 - LAST, LAST), ..place }
}

/// The share of the chord at which it comes nearest to a point, and the squared distance there.
fn foot(p: Point, a: Point, b: Point) -> (f64, f64) {
    let f = |p: Point, q: Point| (f64::from(q.x) - f64::from(p.x), f64::from(q.y) - f64::from(p.y));
    let (u, v) = (f(a, b), f(a, p));
    let length = (u.0 * u.0 + u.1 * u.1).max(1e-12);
    let share = ((u.0 * v.0 + u.1 * v.1) / length).clamp(0.0, 1.0);
    let (dx, dy) = (v.0 - share * u.0, v.1 - share * u.1);
    (share, dx * dx + dy * dy)
}

/// How straight a curve goes on from the cubic before `seam` to the one after it: the cosine of its turn.
fn onward(curve: &[Cubic], seam: usize) -> f64 {
    let way = |from: Point, to: Point| {
        let (x, y) = (f64::from(to.x - from.x), f64::from(to.y - from.y));
        let length = libm::hypot(x, y).max(1e-9);
        (x / length, y / length)
    };
    let (before, after) = (curve[seam - 1].0, curve[seam].0);
    let ((ax, ay), (bx, by)) = (way(before[2], before[3]), way(after[0], after[1]));
    ax * bx + ay * by
}

pub(super) fn long(points: &[Point]) -> f64 {
    points.windows(2).map(|chord| apart(chord[0], chord[1])).sum()
}

fn apart(a: Point, b: Point) -> f64 {
    libm::hypot(f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y))
}

fn reversed(curve: &[Cubic]) -> Vec<Cubic> {
    let back = |Cubic([a, b, c, d]): &Cubic| Cubic([*d, *c, *b, *a]);
    curve.iter().rev().map(back).collect()
}

/// Moves both ends of a curve, each with the control point that leads out of it.
fn draw_on(curve: &mut [Cubic], from: Point, to: Point) {
    let moved = |p: Point, by: (i32, i32)| Point::new(p.x + by.0, p.y + by.1);
    let first = &mut curve[0].0;
    let by = (from.x - first[0].x, from.y - first[0].y);
    (first[0], first[1]) = (from, moved(first[1], by));
    let last = &mut curve.last_mut().expect("a border has a cubic").0;
    let by = (to.x - last[3].x, to.y - last[3].y);
    (last[3], last[2]) = (to, moved(last[2], by));
}
