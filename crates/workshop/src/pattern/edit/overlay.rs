//! New borders laid over open areas.
//!
//! Where they meet the rim of what is open, or each other, all are parted; what stands out of the open areas, leads nowhere or
//! parts nothing is left off. Each face between them becomes the new area whose pixels it holds most of. Of several faces of
//! one area the largest is it; the others go to a neighbour unless they are large enough for a piece, so that a border that
//! strays over the rim costs a sliver and not the whole.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use measure::plane::{Cubic, FLATNESS_UM, Point, arranged, inside_rings, line};
use rayon::prelude::*;

use super::again::{Around, long};
use super::faces::{Face, faces, half_way, parts};
use super::merge::{dissolve, unite};
use super::settle::rings_of;
use crate::pattern::outline::{lines_only, rings, widest};
use crate::work::{
    Area, AreaId, Becomes, Border, BorderId, Changes, Counters, Ends, JunctionId, Pattern, Side, Size, Stock,
};

/// What stands for all that is open while faces are looked for.
const OPEN: AreaId = AreaId(u32::MAX);

/// A face of fewer pixels than this is not told by them.
const UNTOLD_PIXELS: u32 = 4;

/// What the pixels of a face show.
#[derive(Clone, Copy)]
struct Shown {
    /// The label that most of them have, and how many have it.
    label: Option<u32>,
    pixels: u32,
    /// What the face is then.
    becomes: Becomes,
}

/// Areas that are drawn anew, and the borders that were set into them.
pub(super) struct Overlay<'a> {
    pub(super) around: &'a Around<'a>,
    pub(super) panel: Size,
    pub(super) stock: &'a Stock,
    pub(super) open: BTreeSet<AreaId>,
    /// Borders in what is open.
    pub(super) new: BTreeSet<BorderId>,
    pub(super) pattern: Pattern,
    pub(super) next: &'a mut Counters,
}

impl Overlay<'_> {
    /// The pattern with its open areas parted; none when the lines lie too close to be told apart. Junctions that are not `known` go
    /// where nothing comes in.
    pub(super) fn laid(mut self, known: &BTreeSet<JunctionId>) -> Option<Pattern> {
        self.part()?;
        self.without_twins();
        let faces = self.faces();
        let fresh = self.named(&faces);
        let mut faces = self.shown(fresh);
        self.gather(&mut faces);
        let added: Vec<JunctionId> = self.pattern.junctions.keys().copied().filter(|id| !known.contains(id)).collect();
        for junction in added {
            dissolve(&mut self.pattern, junction, &mut Changes::default());
        }
        self.pattern.areas.retain(|id, _| !self.open.contains(id));
        let middles: Vec<Point> =
            faces.par_iter().map(|(id, _)| widest::circle(&rings_of(&self.pattern, *id)).centre).collect();
        for ((id, Shown { becomes, .. }), at) in faces.into_iter().zip(middles) {
            self.pattern.areas.insert(id, Area { becomes, at });
        }
        Some(self.pattern)
    }

    /// The borders around and in what is open, with one area for all of it.
    fn opened(&self) -> (Pattern, BTreeMap<BorderId, Vec<Point>>) {
        let side = |side: Side| match side.area() {
            Some(area) if self.open.contains(&area) => Side::Area(OPEN),
            _ => Side::Beyond,
        };
        let of = |(id, border): (&BorderId, &Border)| {
            let within = self.new.contains(id);
            let (left, right) =
                if within { (Side::Area(OPEN), Side::Area(OPEN)) } else { (side(border.left), side(border.right)) };
            (within || left != right).then(|| (*id, Border { left, right, ..border.clone() }))
        };
        let borders: BTreeMap<BorderId, Border> = self.pattern.borders.iter().filter_map(of).collect();
        let lines = borders.iter().map(|(id, border)| (*id, line(&border.curve))).collect();
        (Pattern { borders, ..Pattern::default() }, lines)
    }

    /// Parts borders where they meet; what lies out of the open areas goes.
    fn part(&mut self) -> Option<()> {
        let new = std::mem::take(&mut self.new);
        let (rim, lines) = self.opened();
        let walks = rings::walks(&rim, &lines, rings::Turn::Part).remove(&OPEN).unwrap_or_default();
        let zone: Vec<Vec<Point>> = walks.iter().map(|walk| rings::points(walk, &lines)).collect();
        // What was there comes first: of two lines in one place the first stays.
        let ids: Vec<BorderId> = rim.borders.into_keys().chain(new.iter().copied()).collect();
        let cubics =
            |id: &BorderId| self.pattern.borders[id].curve.iter().map(|cubic| (*id, *cubic)).collect::<Vec<_>>();
        let (of, curves): (Vec<BorderId>, Vec<Cubic>) = ids.iter().flat_map(cubics).unzip();
        let edges = arranged(&curves, 0.0, false).ok()?.edges;
        let mut meeting: BTreeMap<Point, usize> = BTreeMap::new();
        edges.iter().flat_map(|edge| ends(&edge.curve)).for_each(|p| *meeting.entry(p).or_default() += 1);
        let passes = |p: Point| meeting[&p] == 2;
        let mut runs: BTreeMap<BorderId, Vec<Vec<Cubic>>> = BTreeMap::new();
        for edge in edges {
            let runs = runs.entry(of[edge.source]).or_default();
            let [start, _] = ends(&edge.curve);
            match runs.last_mut() {
                Some(run) if ends(run)[1] == start && passes(start) => run.extend(edge.curve),
                _ => runs.push(edge.curve),
            }
        }
        let mut at: BTreeMap<Point, JunctionId> = BTreeMap::new();
        self.pattern.junctions.iter().for_each(|(id, p)| _ = at.entry(*p).or_insert(*id));
        for id in ids {
            let border = self.pattern.borders.remove(&id).expect("each border comes once");
            let (is_ring, is_new) = (matches!(border.ends, Ends::Ring(_)), new.contains(&id));
            let mut runs = runs.remove(&id).unwrap_or_default();
            if let [first, .., last] = &runs[..]
                && is_ring
                && ends(last)[1] == ends(first)[0]
                && passes(ends(first)[0])
            {
                let first = runs.remove(0);
                runs.last_mut().expect("there were two").extend(first);
            }
            if is_new {
                runs.retain(|run| is_inside(&zone, run));
            }
            for (index, curve) in runs.into_iter().enumerate() {
                let [start, end] = ends(&curve);
                let mut junction = |p: Point| *at.entry(p).or_insert_with(|| self.next.new_junction());
                let closed = is_ring && start == end && passes(start);
                let ends = if closed { Ends::Ring(start) } else { Ends::Between(junction(start), junction(end)) };
                let part = if index == 0 { id } else { self.next.new_border() };
                self.pattern.borders.insert(part, Border { ends, curve, ..border.clone() });
                if is_new {
                    self.new.insert(part);
                }
            }
        }
        self.pattern.junctions = at.into_iter().map(|(p, id)| (id, p)).collect();
        Some(())
    }

    /// Takes away new borders that lead beside another from the same junction to the same, nearer to it than flat chords tell.
    fn without_twins(&mut self) {
        let mut known: BTreeMap<[JunctionId; 2], Vec<(i128, f64)>> = BTreeMap::new();
        let (own, lines) = self.opened();
        let rim_first = |id: &&BorderId| (self.new.contains(id), **id);
        let mut ids: Vec<&BorderId> = own.borders.keys().collect();
        ids.sort_by_key(rim_first);
        let mut twins = Vec::new();
        for id in ids {
            let Ends::Between(from, to) = own.borders[id].ends else { continue };
            let (along, length) = (own.borders[id].curve.iter().map(Cubic::green20).sum::<i128>(), long(&lines[id]));
            let this = (if from <= to { along } else { -along }, length);
            let others = known.entry([from.min(to), from.max(to)]).or_default();
            let is_near = |other: &(i128, f64)| {
                ((this.0 - other.0).abs() as f64) < 20.0 * FLATNESS_UM * length
                    && (length - other.1).abs() < 0.1 * length
            };
            if self.new.contains(id) && others.iter().any(is_near) {
                twins.push(*id);
            } else {
                others.push(this);
            }
        }
        for id in twins {
            self.new.remove(&id);
            self.pattern.borders.remove(&id);
        }
    }

    /// The faces of what is open. Borders with one of them on both sides go.
    fn faces(&mut self) -> Vec<Face> {
        loop {
            let (own, lines) = self.opened();
            let walks = rings::walks(&own, &lines, rings::Turn::Follow).remove(&OPEN).unwrap_or_default();
            let found = faces(&own, &lines, walks);
            let idle: Vec<BorderId> = self.new.iter().copied().filter(|id| !parts(&found, *id)).collect();
            if idle.is_empty() {
                return found;
            }
            for id in idle {
                self.new.remove(&id);
                self.pattern.borders.remove(&id);
            }
        }
    }

    /// Makes each face an area, and says what it was part of.
    fn named(&mut self, faces: &[Face]) -> BTreeMap<AreaId, Becomes> {
        let mut fresh = BTreeMap::new();
        for face in faces {
            let id = self.next.new_area();
            let mut was = Becomes::Unnumbered;
            for (border, forward) in face.walks.iter().flatten() {
                let border = self.pattern.borders.get_mut(border).expect("walks are over borders of the pattern");
                let side = if *forward { &mut border.right } else { &mut border.left };
                let old = side.area().filter(|old| self.open.contains(old)).map(|old| self.pattern.areas[&old].becomes);
                was = old.filter(|old| *old == Becomes::Ground).unwrap_or(was);
                *side = Side::Area(id);
            }
            self.pattern.areas.insert(id, Area { becomes: was, at: Point::default() });
            fresh.insert(id, was);
        }
        fresh
    }

    /// What each face shows: the label that most of its pixels have, of those that are drawn anew.
    fn shown(&self, fresh: BTreeMap<AreaId, Becomes>) -> BTreeMap<AreaId, Shown> {
        let Around { labels, owners, draft } = self.around;
        let faces = lines_only(&self.pattern, self.panel).labels(labels.width, labels.height);
        let mut votes: BTreeMap<AreaId, BTreeMap<u32, u32>> = BTreeMap::new();
        for (face, label) in faces.of.iter().zip(&labels.of) {
            if owners[*label as usize].is_none() && fresh.contains_key(&AreaId(*face)) {
                *votes.entry(AreaId(*face)).or_default().entry(*label).or_default() += 1;
            }
        }
        let most = |of: &BTreeMap<u32, u32>| {
            of.iter()
                .max_by_key(|(label, pixels)| (**pixels, Reverse(**label)))
                .map(|(label, pixels)| (*label, *pixels))
        };
        let shown = |(face, was): (AreaId, Becomes)| match votes.get(&face).and_then(most) {
            Some((label, pixels)) => {
                let becomes = draft.areas[&AreaId(label + 1)].becomes;
                (face, Shown { label: Some(label), pixels, becomes })
            }
            None => (face, Shown { label: None, pixels: 0, becomes: was }),
        };
        fresh.into_iter().map(shown).collect()
    }

    /// Gives faces that are not the largest of their label to a neighbour: to one of the same label, else, when they are too small
    /// for a piece, to the one of their kind that they share most with. A face of too few pixels, or far too small, goes to any.
    fn gather(&mut self, faces: &mut BTreeMap<AreaId, Shown>) {
        let mut largest: BTreeMap<u32, (u32, Reverse<AreaId>)> = BTreeMap::new();
        for (face, shown) in faces.iter() {
            if let Some(label) = shown.label {
                let this = (shown.pixels, Reverse(*face));
                largest.entry(label).and_modify(|best| *best = this.max(*best)).or_insert(this);
            }
        }
        let is_largest = |id: AreaId, shown: &Shown| shown.label.is_some_and(|label| largest[&label].1.0 == id);
        let mut order: Vec<(u32, AreaId)> = faces.iter().map(|(id, shown)| (shown.pixels, *id)).collect();
        order.sort_unstable();
        for (pixels, id) in order {
            let (this, untold) = (faces[&id], pixels < UNTOLD_PIXELS);
            if is_largest(id, &this) && !untold {
                continue;
            }
            let beside = self.beside(id, faces);
            let longest = |may: &dyn Fn(&Shown) -> bool| {
                let those = beside.iter().filter(|(other, _)| may(&faces[other]));
                those.max_by(|a, b| a.1.total_cmp(b.1)).map(|(other, _)| *other)
            };
            let over = longest(&|other| this.label.is_some() && other.label == this.label)
                .or_else(|| longest(&|other| other.becomes == this.becomes).filter(|_| untold || self.is_small(id)))
                .or_else(|| longest(&|_| true).filter(|_| untold || self.is_crumb(id)));
            if let Some(over) = over {
                unite(&mut self.pattern, &[id, over].into(), over, &mut Changes::default());
                faces.remove(&id);
            }
        }
    }

    /// Whether an area is under the stock's limits.
    fn is_small(&self, id: AreaId) -> bool {
        let width = || widest::circle(&rings_of(&self.pattern, id)).radius * 2.0;
        self.share(id) < 1.0 || width() < f64::from(self.stock.least_width.0)
    }

    /// Whether an area is under half the least.
    fn is_crumb(&self, id: AreaId) -> bool {
        self.share(id) < 0.5
    }

    /// An area as a share of the stock's least.
    fn share(&self, id: AreaId) -> f64 {
        let is = |side: Side| i128::from(side == Side::Area(id));
        let green = |border: &Border| border.curve.iter().map(Cubic::green20).sum::<i128>();
        let area20: i128 = (self.pattern.borders.values())
            .map(|border| (is(border.right) - is(border.left), border))
            .filter(|(turns, _)| *turns != 0)
            .map(|(turns, border)| turns * green(border))
            .sum();
        area20 as f64 / (20e6 * f64::from(self.stock.least_area_mm2.max(1)))
    }

    /// The new areas beside one, and how long the border to each is, µm.
    fn beside(&self, id: AreaId, faces: &BTreeMap<AreaId, Shown>) -> BTreeMap<AreaId, f64> {
        let mut beside = BTreeMap::new();
        for border in self.pattern.borders.values() {
            let other = match (border.left.area(), border.right.area()) {
                (Some(a), Some(b)) if a == id => b,
                (Some(a), Some(b)) if b == id => a,
                _ => continue,
            };
            if faces.contains_key(&other) {
                *beside.entry(other).or_default() += long(&line(&border.curve));
            }
        }
        beside
    }
}

fn ends(curve: &[Cubic]) -> [Point; 2] {
    [curve[0].start(), curve[curve.len() - 1].end()]
}

/// Whether a curve lies inside rings, by the middle of its longest chord.
fn is_inside(zone: &[Vec<Point>], curve: &[Cubic]) -> bool {
    let square = |chord: &[Point]| {
        let (x, y) = (i64::from(chord[1].x) - i64::from(chord[0].x), i64::from(chord[1].y) - i64::from(chord[0].y));
        x * x + y * y
    };
    let points = line(curve);
    let longest = points.windows(2).max_by_key(|chord| square(chord));
    longest.is_some_and(|chord| inside_rings(zone.iter().map(Vec::as_slice), half_way(chord[0], chord[1])))
}

#[cfg(test)]
mod tests {
    use measure::Watch;
    use measure::length::Um;

    use super::*;
    use crate::pattern::edit::again::splice;
    use crate::pattern::{accept, fit, outlines};
    use crate::picture::{Labels, Regions};
    use crate::work::Work;

    const PANEL: Size = Size { width: Um(120_000), height: Um(80_000) };

    /// Regions by pixel, at 1 mm a pixel, labelled densely.
    fn regions(label: impl Fn(f64, f64) -> u32) -> Regions {
        let place = |at: u32| (f64::from(at % 120) + 0.5, f64::from(at / 120) + 0.5);
        let of: Vec<u32> = (0..120 * 80).map(|at| label(place(at).0, place(at).1)).collect();
        let ground = vec![false; *of.iter().max().unwrap() as usize + 1];
        Regions { labels: Labels { width: 120, height: 80, of }, ground, swallowed: Vec::new() }
    }

    fn is_in_disc(x: f64, y: f64, radius: f64) -> bool {
        let (x, y) = (x - 60.0, y - 40.0);
        x * x + y * y < radius * radius
    }

    /// A disc is held, and the draft's one border comes to it, passes it by, or strays over it, as it would were the disc fitted smaller;
    /// wherever it runs, the disc stays and two areas come about. A border that strayed over had been refused.
    #[test]
    fn a_border_that_strays_over_what_is_held_is_cut_off_there() {
        let first = fit(&regions(|x, y| u32::from(is_in_disc(x, y, 14.0))), PANEL, Watch::silent());
        let mut work = Work { panel: PANEL, ..Work::default() };
        accept(&mut work, &first).unwrap();
        let disc = AreaId(2);
        let before = outlines(&work.pattern, PANEL).areas[&disc].clone();
        for level in 20..60 {
            let drafted = regions(|x, y| match is_in_disc(x, y, 9.0) {
                true => 2,
                false => u32::from(y > f64::from(level)),
            });
            let draft = fit(&drafted, PANEL, Watch::silent());
            let around = Around { draft: &draft, labels: &drafted.labels, owners: &[None, None, Some(disc)] };
            let after = splice(&work, &around).unwrap();
            let found = outlines(&after, PANEL);
            assert_eq!(found.areas.len(), 3, "level {level}");
            assert!((found.areas[&disc].area_mm2 - before.area_mm2).abs() < 0.1, "level {level}");
            // A corner of the panel lies in the area that the draft has there.
            let beside = |y: f64| found.at(Point::new(1000, (y * 1000.0) as i32));
            assert!(beside(f64::from(level) - 2.0) != beside(f64::from(level) + 2.0), "level {level}");
        }
    }

    /// Two free areas meet in a neck between two held ones, which the draft has as held: they stay two.
    #[test]
    fn areas_that_meet_in_a_neck_stay_apart() {
        let label = |x: f64, y: f64| match (x, y) {
            (40.0..80.0, ..39.0) => 2,
            (40.0..80.0, 41.0..) => 3,
            (..60.0, _) => 0,
            _ => 1,
        };
        let (west, east, north, south) = (label(1.0, 1.0), label(119.0, 1.0), label(60.0, 1.0), label(60.0, 79.0));
        let first = regions(label);
        let mut work = Work { panel: PANEL, ..Work::default() };
        accept(&mut work, &fit(&first, PANEL, Watch::silent())).unwrap();
        let drafted = regions(|x, y| if (40.0..80.0).contains(&x) && y < 41.0 { north } else { label(x, y) });
        let draft = fit(&drafted, PANEL, Watch::silent());
        let mut owners = [None; 4];
        for held in [north, south] {
            owners[held as usize] = Some(AreaId(held + 1));
        }
        let after = splice(&work, &Around { draft: &draft, labels: &drafted.labels, owners: &owners }).unwrap();
        assert_eq!(after.areas.len(), 4);
        let found = outlines(&after, PANEL);
        let at = |x: i32| found.at(Point::new(x, 40_000)).map(|id| found.areas[&id].area_mm2);
        let before = outlines(&work.pattern, PANEL);
        for (x, was) in [(1000, west), (119_000, east)] {
            let was = before.areas[&AreaId(was + 1)].area_mm2;
            assert!((at(x).unwrap() - was).abs() < 1.0, "{:?} of {was}", at(x));
        }
    }
}
