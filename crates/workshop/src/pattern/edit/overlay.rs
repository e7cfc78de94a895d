//! New borders laid over open areas.
//!
//! Where they meet the rim of what is open, or each other, all are parted; what stands out of the open areas, leads nowhere or
//! parts nothing is left off. Each face between them becomes the new area whose pixels it holds most of. Of several faces of
//! one area the largest is it; the others go to a neighbour unless they are large enough for a piece, so that a border that
//! strays over the rim costs a sliver and not the whole.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use measure::plane::{Cubic, Point, arranged, inside_rings, line};
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

/// A face narrower than this is not told by the pixels in it, pixels.
const UNTOLD_PIXELS: f64 = 2.0;

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
    /// The pattern with its open areas parted; none when the lines lie too close to be told apart. `known` are the junctions
    /// that stay, also where nothing comes in.
    pub(super) fn laid(mut self, known: &BTreeSet<JunctionId>) -> Option<Pattern> {
        self.part()?;
        let faces = self.faces();
        let fresh = self.named(&faces);
        let labels = self.told(&fresh);
        self.gather(&fresh, &labels);
        let added: Vec<JunctionId> = self.pattern.junctions.keys().copied().filter(|id| !known.contains(id)).collect();
        for junction in added {
            dissolve(&mut self.pattern, junction, &mut Changes::default());
        }
        self.pattern.areas.retain(|id, _| !self.open.contains(id));
        let left: Vec<AreaId> = fresh.into_iter().filter(|id| self.pattern.areas.contains_key(id)).collect();
        let circles: Vec<_> = left.par_iter().map(|id| widest::circle(&rings_of(&self.pattern, *id))).collect();
        for (id, circle) in left.iter().zip(circles) {
            let drafted = |label: &(u32, u32)| self.around.draft.areas[&AreaId(label.0 + 1)].becomes;
            let becomes = labels.get(id).map_or(Becomes::Unnumbered, drafted);
            self.pattern.areas.insert(*id, Area { becomes, at: circle.centre });
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
        let mut at: BTreeMap<Point, JunctionId> = self.pattern.junctions.iter().map(|(id, p)| (*p, *id)).collect();
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

    /// Makes each face an area.
    fn named(&mut self, faces: &[Face]) -> BTreeSet<AreaId> {
        let mut fresh = BTreeSet::new();
        for face in faces {
            let id = self.next.new_area();
            self.pattern.areas.insert(id, Area { becomes: Becomes::Unnumbered, at: Point::default() });
            for (border, forward) in face.walks.iter().flatten() {
                let border = self.pattern.borders.get_mut(border).expect("walks are over borders of the pattern");
                *(if *forward { &mut border.right } else { &mut border.left }) = Side::Area(id);
            }
            fresh.insert(id);
        }
        fresh
    }

    /// By face the label that most of its pixels have, of those that are drawn anew, and how many have it.
    fn told(&self, fresh: &BTreeSet<AreaId>) -> BTreeMap<AreaId, (u32, u32)> {
        let Around { labels, owners, .. } = self.around;
        let faces = lines_only(&self.pattern, self.panel).labels(labels.width, labels.height);
        let mut votes: BTreeMap<AreaId, BTreeMap<u32, u32>> = BTreeMap::new();
        for (face, label) in faces.of.iter().zip(&labels.of) {
            if owners[*label as usize].is_none() && fresh.contains(&AreaId(*face)) {
                *votes.entry(AreaId(*face)).or_default().entry(*label).or_default() += 1;
            }
        }
        let most = |of: BTreeMap<u32, u32>| of.into_iter().max_by_key(|(label, pixels)| (*pixels, Reverse(*label)));
        votes.into_iter().filter_map(|(face, of)| Some((face, most(of)?))).collect()
    }

    /// Gives faces that are not the largest of their label to a neighbour: to one of the same label, else, when they are too small
    /// for a piece, to the one that they share most with.
    fn gather(&mut self, fresh: &BTreeSet<AreaId>, labels: &BTreeMap<AreaId, (u32, u32)>) {
        let pixel = f64::from(self.panel.width.0) / f64::from(self.around.labels.width);
        let label = |id: &AreaId| labels.get(id).map(|of| of.0);
        let mut largest: BTreeMap<u32, (u32, Reverse<AreaId>)> = BTreeMap::new();
        for (face, (label, pixels)) in labels {
            let this = (*pixels, Reverse(*face));
            largest.entry(*label).and_modify(|best| *best = this.max(*best)).or_insert(this);
        }
        let sized = |id: &AreaId| {
            let rings = rings_of(&self.pattern, *id);
            let area20: i128 = (self.pattern.borders.values())
                .map(|border| {
                    let green: i128 = border.curve.iter().map(Cubic::green20).sum();
                    let of = |side: Side| i128::from(side == Side::Area(*id));
                    green * (of(border.right) - of(border.left))
                })
                .sum();
            (area20, *id, widest::circle(&rings).radius * 2.0)
        };
        let mut order: Vec<(i128, AreaId, f64)> = fresh.par_iter().map(sized).collect();
        order.sort_by_key(|face| (face.0, face.1));
        let is_largest = |id: &AreaId| label(id).is_some_and(|label| largest[&label].1.0 == *id);
        for (area20, id, width) in order {
            let untold = width < UNTOLD_PIXELS * pixel;
            if is_largest(&id) && !untold {
                continue;
            }
            let beside = self.beside(id, fresh);
            let longest =
                |of: &mut dyn Iterator<Item = (&AreaId, &f64)>| of.max_by(|a, b| a.1.total_cmp(b.1)).map(|of| *of.0);
            let alike =
                longest(&mut beside.iter().filter(|(other, _)| label(&id).is_some() && label(other) == label(&id)));
            let (area_mm2, stock) = (area20 as f64 / 20e6, self.stock);
            let small = untold || width < f64::from(stock.least_width.0) || area_mm2 < f64::from(stock.least_area_mm2);
            let over = alike.or_else(|| longest(&mut beside.iter()).filter(|_| small));
            if let Some(over) = over {
                unite(&mut self.pattern, &[id, over].into(), over, &mut Changes::default());
            }
        }
    }

    /// The new areas beside one, and how long the border to each is, µm.
    fn beside(&self, id: AreaId, fresh: &BTreeSet<AreaId>) -> BTreeMap<AreaId, f64> {
        let mut beside = BTreeMap::new();
        for border in self.pattern.borders.values() {
            let other = match (border.left.area(), border.right.area()) {
                (Some(a), Some(b)) if a == id => b,
                (Some(a), Some(b)) if b == id => a,
                _ => continue,
            };
            if fresh.contains(&other) {
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
}
