//! Bending borders: pulled with a brush, smoothed, straightened; and a junction moved with all that meets in it.
//!
//! A pull moves each place of the border by the share cos²(π/2 · s/w) of the whole, s along the border from where it is held
//! and w the brush: the bend leaves without a kink. Where an end of the border is nearer than the brush is wide, the brush
//! ends there, since a junction stays where it is unless it is moved itself.

use std::collections::BTreeSet;
use std::f64::consts::FRAC_PI_2;

use kurbo::Vec2;
use measure::length::{Um, mm_text};
use measure::plane::{Cubic, Point, line};

use super::run::{Run, followed_by};
use super::settle::{around, refuse_if_beside_made, settled};
use super::track::Track;
use crate::pattern::fit::hand::{calmed, even, float, ring, snapped_point};
use crate::work::{Border, BorderId, Changes, Ends, JunctionId, Origin, Pattern, Refusal, Spot, Way, Work};

/// A border is meant when the hand is within this of it, µm.
pub(super) const REACH_UM: f64 = 5000.0;
/// Brushes narrower than this cannot be sawn, wider ones move half a picture.
const BRUSH_UM: std::ops::RangeInclusive<i32> = 1000..=200_000;
/// A border is not held nearer to its end than this share of the brush, or of itself.
const HOLD: f64 = 1.0 / 3.0;
/// Samples in a wavelength that is smoothed away.
pub(super) const SAMPLES: f64 = 16.0;
/// The points of a stroke that are asked which border they follow.
const ASKED: usize = 16;
/// A straight line shorter than this is none, µm.
pub(super) const SHORT_UM: f64 = 200.0;

/// Pulls the border at `at` to `to`.
pub(super) fn reshape(work: &mut Work, [at, to]: [Point; 2], width: Um) -> Result<Changes, Refusal> {
    let brush = brush(width)?;
    let id = meant(work, &[at], brush)?;
    let track = Track::new(&work.pattern.borders[&id]);
    let held = track.nearest(at);
    let half = track.length() / 2.0;
    let (track, held) = if track.is_closed() { (track.begun_at(held + half), half) } else { (track, held) };
    let least = if track.is_closed() { 0.0 } else { (brush * HOLD).min(track.length() * HOLD) };
    let held = held.clamp(least, track.length() - least);
    let [from, until] = [(held - brush).max(0.0), (held + brush).min(track.length())];
    let by = float(to) - float(at);
    let share = move |along: f64| {
        let reach = if along < held { held - from } else { until - held };
        falls((along - held).abs() / reach.max(1.0))
    };
    let curve = track.moved([from, until], work.panel, |p, along| p + by * share(along));
    replaced(work, id, curve)
}

/// How much of a pull is left at a share of the brush.
pub(super) fn falls(share: f64) -> f64 {
    let cos = libm::cos(FRAC_PI_2 * share.min(1.0));
    cos * cos
}

pub(super) fn brush(width: Um) -> Result<f64, Refusal> {
    if BRUSH_UM.contains(&width.0) {
        return Ok(f64::from(width.0));
    }
    let (least, most) = (mm_text(Um(*BRUSH_UM.start())), mm_text(Um(*BRUSH_UM.end())));
    Err(Refusal::new(format!("A brush of {} cannot be.", mm_text(width)))
        .way(Way::advice(format!("Give it a width of {least} to {most}."))))
}

/// The border inside the panel that a stroke lies along, no farther off than `most`; its pieces are not cut yet.
fn meant(work: &Work, stroke: &[Point], most: f64) -> Result<BorderId, Refusal> {
    let stride = stroke.len().div_ceil(ASKED).max(1);
    let asked: Vec<Vec2> = stroke.iter().step_by(stride).chain(stroke.last()).map(|p| float(*p)).collect();
    let inner = work.pattern.borders.iter().filter(|(_, border)| border.from != Origin::Edge);
    let off = |border: &Border| {
        let line: Vec<Vec2> = line(&border.curve).into_iter().map(float).collect();
        asked.iter().map(|p| distance(&line, *p)).sum::<f64>() / asked.len().max(1) as f64
    };
    let nearest = inner.map(|(id, border)| (off(border), *id)).min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    match nearest {
        Some((off, id)) if off <= most.min(REACH_UM) && !asked.is_empty() => {
            refuse_if_beside_made(work, &[id].into())?;
            Ok(id)
        }
        _ => Err(nowhere("No border inside the panel lies here.", stroke.first(), "Begin on the border.")),
    }
}

pub(super) fn nowhere(what: &str, place: Option<&Point>, way: &str) -> Refusal {
    Refusal::new(what).at(Spot { at: place.copied(), ..Spot::default() }).way(Way::advice(way))
}

pub(super) fn distance(line: &[Vec2], p: Vec2) -> f64 {
    let off = |w: &[Vec2]| {
        let (way, to) = (w[1] - w[0], p - w[0]);
        (to - way * (way.dot(to) / way.hypot2().max(1e-9)).clamp(0.0, 1.0)).hypot2()
    };
    line.windows(2).map(off).fold(f64::MAX, f64::min).sqrt()
}

fn replaced(work: &mut Work, id: BorderId, curve: Vec<Cubic>) -> Result<Changes, Refusal> {
    let border = work.pattern.borders.get_mut(&id).expect("the border was found before");
    if curve.is_empty() || curve == border.curve {
        return Err(Refusal::new("Nothing would move there.")
            .at(Spot { borders: vec![id], ..Spot::default() })
            .way(Way::advice("Move it farther, or choose another place.")));
    }
    set_curve(border, curve);
    settled(work, [id].into())
}

pub(super) fn set_curve(border: &mut Border, curve: Vec<Cubic>) {
    if let Ends::Ring(begin) = &mut border.ends {
        *begin = curve[0].start();
    }
    border.curve = curve;
    border.from = Origin::Drawn;
}

/// The border along a stroke, and the stretch of it that the stroke covers; the whole for a single point. A ring is begun
/// where the stroke is not.
fn covered(work: &Work, stroke: &[Point]) -> Result<(BorderId, Track, Option<[f64; 2]>), Refusal> {
    let id = meant(work, stroke, REACH_UM)?;
    let track = Track::new(&work.pattern.borders[&id]);
    if stroke.len() < 2 {
        return Ok((id, track, None));
    }
    let opposite = track.nearest(stroke[stroke.len() / 2]) + track.length() / 2.0;
    let track = track.begun_at(opposite);
    let [a, b] = [stroke[0], stroke[stroke.len() - 1]].map(|p| track.nearest(p));
    Ok((id, track, Some([a.min(b), a.max(b)])))
}

fn over_junctions(work: &Work, along: &[Point]) -> Option<Run> {
    (along.len() > 1).then(|| followed_by(work, along)).flatten()
}

/// Takes waves shorter than `by` out of the border along a stroke.
pub(super) fn smooth(work: &mut Work, along: &[Point], by: Um) -> Result<Changes, Refusal> {
    if let Some(run) = over_junctions(work, along) {
        return run.smooth(work, by);
    }
    let wave = brush(by)?;
    let (id, track, stretch) = covered(work, along)?;
    let (length, whole) = (track.length(), stretch.is_none());
    let [from, to] = stretch.unwrap_or([0.0, length]);
    let step = (wave / SAMPLES).min((to - from) / 8.0).max(20.0);
    let points = even(&track.points_between([from, to]), step);
    if points.len() < 4 {
        return Err(nowhere("The stretch is too short to smooth.", along.first(), "Draw along more of the border."));
    }
    if whole && track.is_closed() {
        let mut calm = calmed(&points[..points.len() - 1], true, (wave, f64::MAX), &[]);
        calm.push(calm[0]);
        return replaced(work, id, ring(&calm, SMOOTH_OFF_UM, Some(work.panel)));
    }
    let calm = calmed(&points, false, (wave, f64::MAX), &[]);
    // At an end inside the border the smoothing sets in gently, at a junction at once.
    let inner = [from > 0.0 || track.is_closed(), to < length || track.is_closed()];
    let share = |i: usize| {
        let far = |inner: bool, i: usize| if inner { i as f64 * step / (wave / 2.0) } else { 1.0 };
        let near = far(inner[0], i).min(far(inner[1], points.len() - 1 - i));
        1.0 - falls(near)
    };
    let eased: Vec<Vec2> = (0..points.len()).map(|i| points[i] + (calm[i] - points[i]) * share(i)).collect();
    let curve = track.put([from, to], &eased, work.panel);
    replaced(work, id, curve)
}

/// How far the cubics of a smoothed ring may pass from it, µm.
const SMOOTH_OFF_UM: f64 = 15.0;

/// Makes the border along a stroke straight between the stroke's ends; for a single point between the corners on both sides of it.
pub(super) fn straighten(work: &mut Work, along: &[Point]) -> Result<Changes, Refusal> {
    if let Some(run) = over_junctions(work, along) {
        return run.straighten(work);
    }
    let (id, mut track, mut stretch) = covered(work, along)?;
    if stretch.is_none() {
        // A ring is begun where it is not touched, so that its beginning parts no side.
        let opposite = track.nearest(along[0]) + track.length() / 2.0;
        track = track.begun_at(opposite);
        stretch = between_corners(&track, along[0]);
    }
    if stretch.is_none() && track.is_closed() {
        return Err(nowhere(
            "A ring cannot be straight all round.",
            along.first(),
            "Draw along the stretch of it that shall be straight.",
        ));
    }
    let [from, to] = stretch.unwrap_or([0.0, track.length()]);
    let ends = [from, to].map(|along| track.points_between([along, along])[0]);
    if (ends[1] - ends[0]).hypot2() < SHORT_UM * SHORT_UM {
        return Err(nowhere(
            "The stretch is too short to straighten.",
            along.first(),
            "Draw along more of the border.",
        ));
    }
    replaced(work, id, chord(&track, [from, to], [None; 2]))
}

/// The stretch between the corners on both sides of a place. A ring must have them.
fn between_corners(track: &Track, at: Point) -> Option<[f64; 2]> {
    let place = track.nearest(at);
    let corners: Vec<f64> = track.corners().collect();
    let before = corners.iter().copied().rfind(|corner| *corner <= place);
    let after = corners.iter().copied().find(|corner| *corner > place);
    match (before, after) {
        (Some(before), Some(after)) => Some([before, after]),
        _ if track.is_closed() => None,
        _ => Some([before.unwrap_or(0.0), after.unwrap_or(track.length())]),
    }
}

/// A border with a stretch of it straight; its ends go to new places where those are given.
pub(super) fn chord(track: &Track, [from, to]: [f64; 2], new: [Option<Point>; 2]) -> Vec<Cubic> {
    let (mut curve, _) = track.cut(from);
    let (_, mut after) = track.cut(to);
    let [first, last] = [from, to].map(|along| snapped_point(track.points_between([along, along])[0]));
    let start = new[0].unwrap_or_else(|| curve.last().map_or(first, Cubic::end));
    let end = new[1].unwrap_or_else(|| after.first().map_or(last, Cubic::start));
    curve.push(Cubic::straight(start, end));
    curve.append(&mut after);
    curve
}

/// Moves the junction at `at` to `to`; what meets in it follows over the width of the brush.
pub(super) fn junction(work: &mut Work, [at, to]: [Point; 2], width: Um) -> Result<Changes, Refusal> {
    let brush = brush(width)?;
    let id = junction_at(&work.pattern, at)?;
    let borders = around(&work.pattern, id);
    refuse_if_beside_made(work, &borders)?;
    let place = work.pattern.junctions[&id];
    let to = along_edge(work, &borders, place, to)?;
    if to == place {
        return Err(nowhere("The junction would stay where it is.", Some(&place), "Move it farther."));
    }
    work.pattern.junctions.insert(id, to);
    let by = float(to) - float(place);
    let before = hugging(work, &borders, place);
    for border in &borders {
        let old = &work.pattern.borders[border];
        let curve = match old.from {
            Origin::Edge => edge_to(old, id, to),
            _ => followed(old, id, (by, brush), work.panel),
        };
        let border = work.pattern.borders.get_mut(border).expect("it was found around the junction");
        let origin = border.from;
        set_curve(border, curve);
        border.from = if origin == Origin::Edge { origin } else { Origin::Drawn };
    }
    if let Some(at) = hugging(work, &borders, to).filter(|_| before.is_none()) {
        return Err(nowhere(
            "A border would run along the edge of the panel, with next to nothing between them.",
            Some(&at),
            "Move the junction less far along the edge, or with a brush as wide as its way is long.",
        ));
    }
    settled(work, borders)
}

/// How far along a border from its junction on the edge of the panel it must have left the edge, µm, and by what share of its way (8°):
/// what lies between them on less is a sliver that no saw follows. Common practice, no source.
const LEAVES_UM: std::ops::RangeInclusive<f64> = 2000.0..=15_000.0;
const LEAVES: f64 = 0.14;

/// Where a border that ends in the junction at `place`, on the edge of the panel, stays beside that edge.
fn hugging(work: &Work, borders: &BTreeSet<BorderId>, place: Point) -> Option<Point> {
    let (width, height) = (work.panel.width.0, work.panel.height.0);
    let off = |p: Point| [p.x, p.y, width - p.x, height - p.y].into_iter().min().map_or(0.0, f64::from);
    if off(place) > 0.0 {
        return None;
    }
    let inner = borders.iter().map(|id| &work.pattern.borders[id]).filter(|border| border.from != Origin::Edge);
    inner.into_iter().find_map(|border| {
        let mut points = line(&border.curve);
        let length = |points: &[Point]| points.windows(2).map(|w| far(w[0], w[1])).sum::<f64>();
        let most = LEAVES_UM.end().min(length(&points) / 2.0);
        if points[0] != place {
            points.reverse();
        }
        let mut gone = 0.0;
        points.windows(2).find_map(|w| {
            gone += far(w[0], w[1]);
            ((*LEAVES_UM.start()..=most).contains(&gone) && off(w[1]) < LEAVES * gone).then_some(w[1])
        })
    })
}

fn far(a: Point, b: Point) -> f64 {
    (float(a) - float(b)).hypot2().sqrt()
}

fn junction_at(pattern: &Pattern, at: Point) -> Result<JunctionId, Refusal> {
    let off = |p: Point| (float(p) - float(at)).hypot2();
    let nearest = pattern.junctions.iter().min_by(|a, b| off(*a.1).total_cmp(&off(*b.1)).then(a.0.cmp(b.0)));
    match nearest {
        Some((id, place)) if off(*place) <= REACH_UM * REACH_UM => Ok(*id),
        _ => Err(nowhere("No junction lies here.", Some(&at), "Begin where borders meet.")),
    }
}

/// Where a junction may go: one on the edge of the panel stays on its side, a corner of the panel stays.
fn along_edge(work: &Work, borders: &BTreeSet<BorderId>, place: Point, to: Point) -> Result<Point, Refusal> {
    if borders.iter().all(|id| work.pattern.borders[id].from != Origin::Edge) {
        return Ok(to);
    }
    let (across, down) =
        (place.x == 0 || place.x == work.panel.width.0, place.y == 0 || place.y == work.panel.height.0);
    match (across, down) {
        (true, false) => Ok(Point::new(place.x, to.y.clamp(0, work.panel.height.0))),
        (false, true) => Ok(Point::new(to.x.clamp(0, work.panel.width.0), place.y)),
        _ => Err(nowhere("A corner of the panel stays where it is.", Some(&place), "Choose another junction.")),
    }
}

/// The edge of the panel with its end in `junction` drawn to `to`.
fn edge_to(border: &Border, junction: JunctionId, to: Point) -> Vec<Cubic> {
    let Ends::Between(start, end) = border.ends else { return border.curve.clone() };
    let mut curve = border.curve.clone();
    let last = curve.len() - 1;
    if start == junction {
        curve[0] = Cubic::straight(to, curve[0].end());
    }
    if end == junction {
        curve[last] = Cubic::straight(curve[last].start(), to);
    }
    curve
}

/// A border that follows its end, or both, over the width of the brush.
pub(super) fn followed(
    border: &Border,
    junction: JunctionId,
    (by, brush): (Vec2, f64),
    panel: crate::work::Size,
) -> Vec<Cubic> {
    let Ends::Between(start, end) = border.ends else { return border.curve.clone() };
    let track = Track::new(border);
    let length = track.length();
    let reach = if start == end { brush.min(length / 2.0) } else { brush.min(length) };
    let share = |along: f64| {
        let head = if start == junction { falls(along / reach) } else { 0.0 };
        let tail = if end == junction { falls((length - along) / reach) } else { 0.0 };
        head + tail
    };
    let stretch = [if start == junction { 0.0 } else { length - reach }, if end == junction { length } else { reach }];
    track.moved(stretch, panel, |p, along| p + by * share(along))
}
