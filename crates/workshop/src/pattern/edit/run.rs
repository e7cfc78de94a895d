//! A stroke over several borders: they are straightened or smoothed as one line, over the junctions between them.
//!
//! Of all ways through the borders near the stroke the one is meant that strays least from it (Dijkstra 1959). Its junctions
//! move onto the new line, and what else meets in them follows.

use std::collections::{BTreeMap, BTreeSet};

use kurbo::Vec2;
use measure::length::Um;
use measure::plane::{Point, thinned};

use super::bend::{REACH_UM, SAMPLES, SHORT_UM, brush, chord, distance, falls, followed, nowhere, set_curve};
use super::settle::{around, refuse_if_beside_made, settled};
use super::track::Track;
use crate::pattern::fit::hand::{calmed, even, float, snapped_point};
use crate::work::{Border, BorderId, Changes, Ends, JunctionId, Origin, Refusal, Spot, Work};

/// A stroke begins on any border that passes within this of its nearest, µm.
const BEGINS_UM: f64 = 500.0;
/// What a stroke covers of its first and its last border by less than this is not meant, µm.
const TRIFLE_UM: f64 = 1000.0;
/// A stroke is known by points that stay so near to it, µm.
const OFF_UM: f64 = 100.0;
/// A way is worth so much of its length, µm, beside how far it strays.
const LENGTH_UM: f64 = 200.0;
/// What meets in a junction follows it over so many times its way, and over so much at least, µm.
const FOLLOWS: f64 = 4.0;
const FOLLOWS_LEAST_UM: f64 = 3000.0;

/// Borders one after the other.
pub(super) struct Run {
    steps: Vec<Step>,
    /// Those between them: one fewer.
    junctions: Vec<JunctionId>,
}

/// A border and the stretch of it; against its own way where it begins later than it ends.
#[derive(Clone, Copy)]
struct Step {
    id: BorderId,
    from: f64,
    to: f64,
}

impl Step {
    fn stretch(self) -> [f64; 2] {
        [self.from.min(self.to), self.from.max(self.to)]
    }

    /// A pair in the run's order in the border's own, and the other way round.
    fn turned<T>(self, [a, b]: [T; 2]) -> [T; 2] {
        if self.from > self.to { [b, a] } else { [a, b] }
    }
}

/// A border near a stroke.
struct Near {
    track: Track,
    ends: [JunctionId; 2],
}

/// The borders that a stroke follows over junctions; `None` when it follows one, or none.
pub(super) fn followed_by(work: &Work, stroke: &[Point]) -> Option<Run> {
    let places = thinned(&stroke.iter().map(|p| (f64::from(p.x), f64::from(p.y))).collect::<Vec<_>>(), OFF_UM);
    let stroke: Vec<Vec2> = places.into_iter().map(|(x, y)| Vec2::new(x, y)).collect();
    let near: BTreeMap<BorderId, Near> =
        work.pattern.borders.iter().filter_map(|(id, b)| Some((*id, near(b, &stroke)?))).collect();
    let cost = |id: BorderId, [a, b]: [f64; 2]| -> Option<f64> {
        let points = near[&id].track.points_between([a.min(b), a.max(b)]);
        points.windows(2).try_fold(0.0, |sum, w| {
            let off = distance(&stroke, w[1]);
            (off <= REACH_UM).then(|| sum + (off + LENGTH_UM) * (w[1] - w[0]).hypot2().sqrt())
        })
    };
    let [starts, ends] = [stroke[0], stroke[stroke.len() - 1]].map(|place| {
        let found = near.iter().map(|(id, near)| (*id, near.track.nearest(snapped_point(place))));
        let found: Vec<(BorderId, f64, f64)> = found
            .map(|(id, along)| (id, along, (near[&id].track.points_between([along, along])[0] - place).hypot2().sqrt()))
            .collect();
        let best = found.iter().map(|of| of.2).fold(f64::MAX, f64::min);
        found
            .into_iter()
            .filter(|of| of.2 <= (best + BEGINS_UM).min(REACH_UM))
            .map(|of| (of.0, of.1))
            .collect::<Vec<_>>()
    });
    // By junction what the best way to it strays, and its last step with the junction before it.
    let mut best: BTreeMap<JunctionId, (f64, Step, Option<JunctionId>)> = BTreeMap::new();
    let mut open: Vec<(f64, JunctionId, Step, Option<JunctionId>)> = Vec::new();
    let to_end = |id: BorderId, end: usize| if end == 0 { 0.0 } else { near[&id].track.length() };
    let mut one: f64 = f64::MAX;
    for (id, from) in &starts {
        for end in [0, 1] {
            let step = Step { id: *id, from: *from, to: to_end(*id, end) };
            open.extend(cost(*id, [step.from, step.to]).map(|cost| (cost, near[id].ends[end], step, None)));
        }
        let whole = ends.iter().filter(|(other, _)| other == id).filter_map(|(_, to)| cost(*id, [*from, *to]));
        one = whole.fold(one, f64::min);
    }
    while let Some(at) = (0..open.len()).min_by(|a, b| open[*a].0.total_cmp(&open[*b].0)) {
        let (so_far, junction, step, before) = open.swap_remove(at);
        if best.contains_key(&junction) {
            continue;
        }
        best.insert(junction, (so_far, step, before));
        for (id, next) in near.iter().filter(|(id, _)| **id != step.id) {
            for end in (0..2).filter(|end| next.ends[*end] == junction) {
                let step = Step { id: *id, from: to_end(*id, end), to: to_end(*id, 1 - end) };
                let whole = cost(*id, [step.from, step.to]);
                open.extend(whole.map(|cost| (so_far + cost, next.ends[1 - end], step, Some(junction))));
            }
        }
    }
    let last = ends.iter().flat_map(|(id, to)| {
        let (near, best, cost) = (&near, &best, &cost);
        (0..2).filter_map(move |end| {
            let junction = near.get(id)?.ends[end];
            let (so_far, before, _) = best.get(&junction)?;
            let from = if end == 0 { 0.0 } else { near[id].track.length() };
            let step = Step { id: *id, from, to: *to };
            (before.id != *id).then_some(())?;
            Some((so_far + cost(*id, [step.from, step.to])?, junction, step))
        })
    });
    let (total, mut junction, step) = last.min_by(|a, b| a.0.total_cmp(&b.0))?;
    if total >= one {
        return None;
    }
    let (mut steps, mut junctions) = (vec![step], Vec::new());
    loop {
        let (_, step, before) = best[&junction];
        junctions.push(junction);
        steps.push(step);
        match before {
            Some(before) => junction = before,
            None => break,
        }
    }
    steps.reverse();
    junctions.reverse();
    let trifle = |step: &Step| (step.to - step.from).abs() < TRIFLE_UM;
    if steps.len() > 1 && trifle(&steps[0]) {
        steps.remove(0);
        junctions.remove(0);
    }
    if steps.len() > 1 && trifle(&steps[steps.len() - 1]) {
        steps.pop();
        junctions.pop();
    }
    let mut ids: Vec<BorderId> = steps.iter().map(|step| step.id).collect();
    ids.sort_unstable();
    ids.dedup();
    (steps.len() > 1 && ids.len() == steps.len()).then_some(Run { steps, junctions })
}

/// A border between junctions inside the panel that somewhere passes near a stroke.
fn near(border: &Border, stroke: &[Vec2]) -> Option<Near> {
    let Ends::Between(a, b) = border.ends else { return None };
    let whole = |of: fn(f64, f64) -> f64, start: f64, points: &[Vec2]| {
        points.iter().fold((start, start), |(x, y), p| (of(x, p.x), of(y, p.y)))
    };
    let handles: Vec<Vec2> = border.curve.iter().flat_map(|c| c.0.map(float)).collect();
    let [low, high] = [whole(f64::min, f64::MAX, stroke), whole(f64::max, f64::MIN, stroke)];
    let [least, most] = [whole(f64::min, f64::MAX, &handles), whole(f64::max, f64::MIN, &handles)];
    let apart = (least.0 - high.0).max(low.0 - most.0).max(least.1 - high.1).max(low.1 - most.1);
    (border.from != Origin::Edge && apart <= REACH_UM).then(|| Near { track: Track::new(border), ends: [a, b] })
}

impl Run {
    fn tracks(&self, work: &Work) -> Vec<Track> {
        self.steps.iter().map(|step| Track::new(&work.pattern.borders[&step.id])).collect()
    }

    /// Makes all of it straight from its first place to its last.
    pub(super) fn straighten(&self, work: &mut Work) -> Result<Changes, Refusal> {
        let tracks = self.tracks(work);
        let place = |at: usize, along: f64| tracks[at].points_between([along, along])[0];
        let last = self.steps.len() - 1;
        let [start, end] = [place(0, self.steps[0].from), place(last, self.steps[last].to)];
        let way = (end - start) / (end - start).hypot2().sqrt().max(1e-9);
        let shares: Vec<f64> =
            self.junctions.iter().map(|id| (float(work.pattern.junctions[id]) - start).dot(way)).collect();
        let all: Vec<f64> =
            [0.0].into_iter().chain(shares.iter().copied()).chain([(end - start).hypot2().sqrt()]).collect();
        if all.windows(2).any(|w| w[1] - w[0] < SHORT_UM) {
            return Err(nowhere(
                "No straight line leads over these junctions.",
                Some(&snapped_point(start)),
                "Draw along less of it.",
            ));
        }
        let places: Vec<Point> = shares.iter().map(|share| snapped_point(start + way * *share)).collect();
        let curves = self.steps.iter().zip(&tracks).enumerate().map(|(at, (step, track))| {
            let ends = step.turned([at.checked_sub(1).map(|k| places[k]), places.get(at).copied()]);
            chord(track, step.stretch(), ends)
        });
        let curves: Vec<_> = curves.collect();
        self.put(work, &places, curves)
    }

    /// Takes waves shorter than `by` out of all of it.
    pub(super) fn smooth(&self, work: &mut Work, by: Um) -> Result<Changes, Refusal> {
        let wave = brush(by)?;
        let tracks = self.tracks(work);
        let step_um = (wave / SAMPLES).max(20.0);
        let (mut points, mut knots): (Vec<Vec2>, Vec<usize>) = (Vec::new(), vec![0]);
        for (step, track) in self.steps.iter().zip(&tracks) {
            let mut own = track.points_between(step.stretch());
            if step.from > step.to {
                own.reverse();
            }
            points.pop();
            points.extend(even(&own, step_um));
            knots.push(points.len() - 1);
        }
        let calm = calmed(&points, false, (wave, f64::MAX), &[]);
        let last = self.steps.len() - 1;
        let inner = |at: usize, along: f64| along > 0.0 && along < tracks[at].length();
        let eases = [inner(0, self.steps[0].from), inner(last, self.steps[last].to)];
        let share = |i: usize| {
            let far = |eases: bool, i: usize| if eases { i as f64 * step_um / (wave / 2.0) } else { 1.0 };
            1.0 - falls(far(eases[0], i).min(far(eases[1], points.len() - 1 - i)))
        };
        let eased: Vec<Vec2> = (0..points.len()).map(|i| points[i] + (calm[i] - points[i]) * share(i)).collect();
        let places: Vec<Point> = knots[1..knots.len() - 1].iter().map(|i| snapped_point(eased[*i])).collect();
        let curves = self.steps.iter().zip(&tracks).zip(knots.windows(2)).map(|((step, track), w)| {
            let mut own = eased[w[0]..=w[1]].to_vec();
            if step.from > step.to {
                own.reverse();
            }
            track.put(step.stretch(), &own, work.panel)
        });
        let curves: Vec<_> = curves.collect();
        self.put(work, &places, curves)
    }

    /// Puts the run's borders along new curves and its junctions in new places.
    fn put(
        &self,
        work: &mut Work,
        places: &[Point],
        curves: Vec<Vec<measure::plane::Cubic>>,
    ) -> Result<Changes, Refusal> {
        let own: BTreeSet<BorderId> = self.steps.iter().map(|step| step.id).collect();
        let beside: BTreeSet<BorderId> =
            self.junctions.iter().flat_map(|id| around(&work.pattern, *id)).filter(|id| !own.contains(id)).collect();
        let all: BTreeSet<BorderId> = own.union(&beside).copied().collect();
        refuse_if_beside_made(work, &all)?;
        if let Some(edge) = all.iter().find(|id| work.pattern.borders[id].from == Origin::Edge) {
            let spot = Spot { borders: vec![*edge], ..Spot::default() };
            return Err(nowhere(
                "A junction of it lies on the panel's edge.",
                None,
                "Draw along the border up to the edge.",
            )
            .at(spot));
        }
        for (junction, to) in self.junctions.iter().zip(places) {
            let by = float(*to) - float(work.pattern.junctions[junction]);
            let brush = (FOLLOWS * by.hypot2().sqrt()).max(FOLLOWS_LEAST_UM);
            for id in around(&work.pattern, *junction).intersection(&beside) {
                let border = work.pattern.borders.get_mut(id).expect("it meets in the junction");
                let curve = followed(border, *junction, (by, brush), work.panel);
                set_curve(border, curve);
            }
            work.pattern.junctions.insert(*junction, *to);
        }
        for (step, curve) in self.steps.iter().zip(curves) {
            set_curve(work.pattern.borders.get_mut(&step.id).expect("it is of the run"), curve);
        }
        settled(work, all)
    }
}
