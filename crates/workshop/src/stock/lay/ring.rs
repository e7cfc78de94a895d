//! Closed rings in floating µm: area, hull, inside, the outward offset and the outward simplification of an outline.
//!
//! A ring has positive area by the sum of x·y′ − x′·y; its first point is not repeated. The offset joins convex corners by
//! tangents of the circle, so the ring holds the true offset; reflex corners leave loops, and the walk along the outermost
//! branch drops them. The walk is checked: where it fails, the offset of the hull is given, which is always wide enough.
//! The simplification only adds area (it fills hollows and lengthens edges until they meet). Both feed the search alone:
//! the final gate measures the outlines as they were given.

use measure::plane::{Point, touches};

/// A place or a direction, µm.
pub(super) type Spot = [f64; 2];

/// The widest angle between two tangents at a corner, radians: coarser gives fewer corners and up to 1 % more reach.
const TANGENT_STEP: f64 = 0.6;
/// Nearer than this to an edge counts as on it, µm.
const TOUCHING: f64 = 2.0;
/// The share of the reach by which the checked walk may fall short.
const SHORT: f64 = 1e-6;

/// Signed area, µm².
pub(super) fn area(ring: &[Spot]) -> f64 {
    pairs(ring).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum::<f64>() / 2.0
}

/// The ring as consecutive pairs, closed.
pub(super) fn pairs(ring: &[Spot]) -> impl Iterator<Item = (Spot, Spot)> + '_ {
    (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()]))
}

/// Twice the area of a triangle; positive when `c` lies on the inner side of `a`→`b`.
pub(super) fn turn(a: Spot, b: Spot, c: Spot) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// The ring with positive area and without repeated points.
pub(super) fn upright(mut ring: Vec<Spot>) -> Vec<Spot> {
    ring.dedup();
    while ring.len() > 1 && ring.first() == ring.last() {
        ring.pop();
    }
    if area(&ring) < 0.0 {
        ring.reverse();
    }
    ring
}

/// Whether a place lies inside by the even-odd rule.
pub(super) fn inside(ring: &[Spot], at: Spot) -> bool {
    pairs(ring)
        .filter(|(a, b)| (a[1] > at[1]) != (b[1] > at[1]))
        .fold(false, |odd, (a, b)| odd ^ (at[0] < a[0] + (at[1] - a[1]) * (b[0] - a[0]) / (b[1] - a[1])))
}

/// The square of the distance from a place to a chord.
pub(super) fn square_to(at: Spot, a: Spot, b: Spot) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let long = dx * dx + dy * dy;
    let t = if long > 0.0 { (((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / long).clamp(0.0, 1.0) } else { 0.0 };
    let (x, y) = (a[0] + t * dx - at[0], a[1] + t * dy - at[1]);
    x * x + y * y
}

/// The distance from a place to the ring, negative outside.
pub(super) fn depth(ring: &[Spot], at: Spot) -> f64 {
    let square = pairs(ring).map(|(a, b)| square_to(at, a, b)).fold(f64::INFINITY, f64::min);
    if inside(ring, at) { square.sqrt() } else { -square.sqrt() }
}

/// The convex hull (Andrew's chain).
pub(super) fn hull(ring: &[Spot]) -> Vec<Spot> {
    let mut sorted = ring.to_vec();
    sorted.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let mut lower = half_hull(sorted.iter());
    let mut upper = half_hull(sorted.iter().rev());
    lower.pop();
    upper.pop();
    lower.extend(upper);
    lower
}

fn half_hull<'a>(points: impl Iterator<Item = &'a Spot>) -> Vec<Spot> {
    let mut chain: Vec<Spot> = Vec::new();
    for &point in points {
        while chain.len() > 1 && turn(chain[chain.len() - 2], chain[chain.len() - 1], point) <= 0.0 {
            chain.pop();
        }
        chain.push(point);
    }
    chain
}

/// The ring moved outward by `reach`; never less, a little more at corners.
pub(super) fn grown(ring: &[Spot], reach: f64) -> Vec<Spot> {
    if reach <= 0.0 {
        return ring.to_vec();
    }
    let alike = vec![reach; ring.len()];
    outermost(&raw_offset(ring, &alike)).filter(|grown| holds(grown, ring, reach)).unwrap_or_else(|| {
        let hull = hull(ring);
        let alike = vec![reach; hull.len()];
        raw_offset(&hull, &alike)
    })
}

/// Reaches that are tried in turn, as shares of what is asked: where a ring of one meets itself in a point or, rounded to
/// whole µm, crosses itself, that of the next does not.
const TRIED: [f64; 3] = [1.0, 1.01, 1.03];

/// A ring of whole µm with each edge moved out by a reach of its own, 0 or a common one. It meets itself no more than the
/// given one does; where that cannot be had, the whole ring is moved out.
pub(in crate::stock) fn grown_by(ring: &[Point], reach: &[f64]) -> Vec<Point> {
    let spots: Vec<Spot> = ring.iter().map(|p| [f64::from(p.x), f64::from(p.y)]).collect();
    let most = meets_itself(ring);
    let tried = TRIED.iter().map(|share| reach.iter().map(|reach| reach * share).collect::<Vec<_>>());
    let found = tried.filter_map(|reach| grown_unlike(&spots, &reach)).map(|grown| whole(&grown));
    let found = found.into_iter().find(|grown| meets_itself(grown) <= most);
    found.unwrap_or_else(|| whole(&grown(&spots, reach.iter().copied().fold(0.0, f64::max))))
}

/// How often a ring crosses or touches itself.
fn meets_itself(ring: &[Point]) -> usize {
    let closed: Vec<Point> = ring.iter().copied().chain(ring.first().copied()).collect();
    touches(&[closed]).len()
}

/// The ring in whole µm, without needles: where the line is straight the walk may go to a corner and back.
fn whole(ring: &[Spot]) -> Vec<Point> {
    let mut whole: Vec<Point> = Vec::new();
    for [x, y] in ring {
        whole.push(Point::new(x.round() as i32, y.round() as i32));
        while whole.len() > 1 && whole.last() == whole.get(whole.len() - 2) {
            whole.pop();
        }
        if whole.len() > 2 && whole.last() == whole.get(whole.len() - 3) {
            whole.truncate(whole.len() - 2);
        }
    }
    while whole.len() > 1 && whole.first() == whole.last() {
        whole.pop();
    }
    whole
}

/// The ring with each edge moved out by a reach of its own, 0 or a common one, where it can be walked.
fn grown_unlike(ring: &[Spot], reach: &[f64]) -> Option<Vec<Spot>> {
    let holds = |grown: &[Spot]| {
        (0..ring.len()).all(|at| {
            let (a, b) = (ring[at], ring[(at + 1) % ring.len()]);
            let out = |p: Spot| moved(p, outward(a, b), (reach[at] - TOUCHING).max(0.0));
            let middle = [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
            depth(grown, a) >= -TOUCHING && (reach[at] == 0.0 || inside(grown, out(middle)))
        })
    };
    outermost(&raw_offset(ring, reach)).filter(|grown| holds(grown))
}

fn holds(grown: &[Spot], ring: &[Spot], reach: f64) -> bool {
    ring.iter().all(|&at| depth(grown, at) >= reach * (1.0 - SHORT))
        && grown.iter().all(|&at| -depth(ring, at) >= reach * (1.0 - SHORT))
}

/// Where two edges move out unlike, the farther one goes on by this share of its reach, so that what it crosses is crossed well.
const BEYOND: f64 = 1e-3;

fn raw_offset(ring: &[Spot], reach: &[f64]) -> Vec<Spot> {
    let mut raw = Vec::new();
    for i in 0..ring.len() {
        let (before, at, after) = (ring[(i + ring.len() - 1) % ring.len()], ring[i], ring[(i + 1) % ring.len()]);
        let (from, to) = (outward(before, at), outward(at, after));
        let (near, far) = (reach[(i + ring.len() - 1) % ring.len()], reach[i]);
        let bends_out = turn(before, at, after) > 0.0;
        match (bends_out, near == far) {
            _ if near == 0.0 && far == 0.0 => raw.push(at),
            (true, true) => tangents(&mut raw, (at, near), from, to),
            (false, true) => raw.extend([moved(at, from, near), at, moved(at, to, far)]),
            // Along a line of no reach there is no corner to go round.
            _ => {
                let (past, before) = (near * BEYOND, far * BEYOND);
                let along = |way: Spot, by: f64, p: Spot| [p[0] - way[1] * by, p[1] + way[0] * by];
                raw.extend([along(from, past, moved(at, from, near)), at, along(to, -before, moved(at, to, far))]);
                raw.dedup();
            }
        }
    }
    raw
}

fn outward(a: Spot, b: Spot) -> Spot {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let long = (dx * dx + dy * dy).sqrt();
    [dy / long, -dx / long]
}

fn moved(at: Spot, way: Spot, by: f64) -> Spot {
    [at[0] + way[0] * by, at[1] + way[1] * by]
}

fn tangents(raw: &mut Vec<Spot>, (at, reach): (Spot, f64), from: Spot, to: Spot) {
    let angle = libm::atan2(from[0] * to[1] - from[1] * to[0], from[0] * to[0] + from[1] * to[1]);
    let steps = (angle / TANGENT_STEP).ceil().max(1.0);
    let start = libm::atan2(from[1], from[0]);
    let far = reach / libm::cos(angle / steps / 2.0);
    for step in 0..steps as usize {
        let way = start + angle * (step as f64 + 0.5) / steps;
        raw.push([at[0] + far * libm::cos(way), at[1] + far * libm::sin(way)]);
    }
}

/// Walks the outermost branch of a closed line that crosses itself; nothing when the walk doesn't close.
fn outermost(raw: &[Spot]) -> Option<Vec<Spot>> {
    let crossings = crossings(raw);
    let start =
        (0..raw.len()).min_by(|&i, &j| raw[i][0].total_cmp(&raw[j][0]).then(raw[i][1].total_cmp(&raw[j][1])))?;
    let (mut edge, mut along, mut walk) = (start, 0.0, vec![raw[start]]);
    for _ in 0..4 * raw.len() + crossings.iter().map(Vec::len).sum::<usize>() {
        match crossings[edge].iter().find(|crossing| crossing.0 > along) {
            Some(&(t, other, u)) => {
                if outer_branch(raw, edge, other) {
                    walk.push(between(raw, edge, t));
                    (edge, along) = (other, u);
                } else {
                    along = t;
                }
            }
            None => {
                (edge, along) = ((edge + 1) % raw.len(), 0.0);
                if edge == start {
                    return Some(upright(walk));
                }
                walk.push(raw[edge]);
            }
        }
    }
    None
}

fn outer_branch(raw: &[Spot], edge: usize, other: usize) -> bool {
    let way = |i: usize| {
        let (a, b) = (raw[i], raw[(i + 1) % raw.len()]);
        [b[0] - a[0], b[1] - a[1]]
    };
    let (a, b) = (way(edge), way(other));
    a[0] * b[1] - a[1] * b[0] < 0.0
}

fn between(raw: &[Spot], edge: usize, t: f64) -> Spot {
    let (a, b) = (raw[edge], raw[(edge + 1) % raw.len()]);
    [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]
}

/// For each edge, where along it another edge crosses, which, and where along that one; in order.
fn crossings(raw: &[Spot]) -> Vec<Vec<(f64, usize, f64)>> {
    let n = raw.len();
    let mut found = vec![Vec::new(); n];
    for i in 0..n {
        for j in i + 2..n {
            if (j + 1) % n == i {
                continue;
            }
            if let Some((t, u)) = crossing((raw[i], raw[i + 1]), (raw[j], raw[(j + 1) % n])) {
                found[i].push((t, j, u));
                found[j].push((u, i, t));
            }
        }
    }
    for list in &mut found {
        list.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    }
    found
}

fn crossing((a, b): (Spot, Spot), (c, d): (Spot, Spot)) -> Option<(f64, f64)> {
    let (cd, dd) = (turn(a, b, c), turn(a, b, d));
    let (ca, da) = (turn(c, d, a), turn(c, d, b));
    ((cd > 0.0) != (dd > 0.0) && (ca > 0.0) != (da > 0.0)).then(|| (ca / (ca - da), cd / (cd - dd)))
}

/// The ring with fewer corners and up to `share` more area; goes on beyond that share while there are more than `most`.
pub(super) fn loosened(mut ring: Vec<Spot>, share: f64, most: usize) -> Vec<Spot> {
    let allowed = share * area(&ring);
    let mut spent = 0.0;
    while ring.len() > 3 {
        let mut ways: Vec<(f64, usize)> = (0..ring.len()).filter_map(|i| Some((step(&ring, i)?.0, i))).collect();
        ways.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let fits = |cost: f64| spent + cost <= allowed || ring.len() > most;
        let Some(next) = ways.into_iter().take_while(|way| fits(way.0)).find(|way| free(&ring, way.1)) else { break };
        spent += next.0;
        take(&mut ring, next.1);
    }
    ring
}

/// What it costs to drop corner `i` (a hollow) or edge `i` (its neighbours lengthened to the place given).
fn step(ring: &[Spot], i: usize) -> Option<(f64, Option<Spot>)> {
    let at = |k: usize| ring[(i + k + ring.len() - 1) % ring.len()];
    let (before, here, next, after) = (at(0), at(1), at(2), at(3));
    let bend = turn(before, here, next);
    if bend <= 0.0 {
        return Some((-bend / 2.0, None));
    }
    if turn(here, next, after) <= 0.0 {
        return None;
    }
    let (up, down) = (turn(next, after, here), turn(next, after, before));
    let t = up / (down - up);
    (down > up && t.is_finite() && t < 4.0).then(|| {
        let meet = [here[0] + t * (here[0] - before[0]), here[1] + t * (here[1] - before[1])];
        (turn(here, meet, next).abs() / 2.0, Some(meet))
    })
}

fn free(ring: &[Spot], i: usize) -> bool {
    let n = ring.len();
    let (before, next, after) = ((i + n - 1) % n, (i + 1) % n, (i + 2) % n);
    let clear = |a: Spot, b: Spot, but: &[usize]| {
        (0..n).filter(|j| !but.contains(j)).all(|j| crossing_or_touch((a, b), (ring[j], ring[(j + 1) % n])).is_none())
    };
    match step(ring, i) {
        Some((_, None)) => clear(ring[before], ring[next], &[(before + n - 1) % n, before, i, next]),
        Some((_, Some(meet))) => {
            clear(ring[i], meet, &[before, i, next]) && clear(meet, ring[next], &[before, i, next, after % n])
        }
        None => false,
    }
}

fn crossing_or_touch((a, b): (Spot, Spot), (c, d): (Spot, Spot)) -> Option<()> {
    (turn(a, b, c) * turn(a, b, d) <= 0.0 && turn(c, d, a) * turn(c, d, b) <= 0.0 && boxes_meet((a, b), (c, d)))
        .then_some(())
}

fn boxes_meet((a, b): (Spot, Spot), (c, d): (Spot, Spot)) -> bool {
    (0..2).all(|k| a[k].min(b[k]) <= c[k].max(d[k]) && c[k].min(d[k]) <= a[k].max(b[k]))
}

fn take(ring: &mut Vec<Spot>, i: usize) {
    match step(ring, i) {
        Some((_, Some(meet))) => {
            let next = (i + 1) % ring.len();
            ring[i] = meet;
            ring.remove(next);
        }
        _ => {
            ring.remove(i);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::Dice;

    fn star(dice: &mut Dice, corners: usize) -> Vec<Spot> {
        (0..corners)
            .map(|i| {
                let (way, far) = (std::f64::consts::TAU * i as f64 / corners as f64, dice.between(8_000.0, 30_000.0));
                [far * libm::cos(way), far * libm::sin(way)]
            })
            .collect()
    }

    /// The offset keeps its reach on both sides, and at most the tangents' overshoot more.
    #[test]
    fn an_offset_lies_at_its_reach() {
        let mut dice = Dice::new(3);
        for case in 0..60 {
            let ring = star(&mut dice, 5 + case);
            let grown = grown(&ring, 1_500.0);
            for &at in &grown {
                assert!((1_499.9..1_600.0).contains(&-depth(&ring, at)) || grown.len() < ring.len(), "{case}");
            }
            assert!(ring.iter().all(|&at| depth(&grown, at) > 1_499.9), "{case}");
        }
    }

    /// Half of the edges of a star moved out: at its reach there, and nowhere beyond it.
    #[test]
    fn edges_move_out_each_by_its_own_reach() {
        let mut dice = Dice::new(7);
        for case in 0..60 {
            let spots = star(&mut dice, 6 + case);
            let ring = whole(&spots);
            let spots: Vec<Spot> = ring.iter().map(|p| [f64::from(p.x), f64::from(p.y)]).collect();
            let n = ring.len();
            let reach: Vec<f64> = (0..n).map(|at| if at < n / 2 { 1500.0 } else { 0.0 }).collect();
            let grown = grown_by(&ring, &reach);
            assert_eq!(meets_itself(&grown), 0, "{case}");
            let grown: Vec<Spot> = grown.iter().map(|p| [f64::from(p.x), f64::from(p.y)]).collect();
            assert!(spots.iter().all(|at| depth(&grown, *at) > -3.0), "{case}");
            for at in 0..n / 2 {
                let (a, b) = (spots[at], spots[at + 1]);
                let middle = moved([(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0], outward(a, b), 1490.0);
                assert!(inside(&grown, middle), "{case}");
            }
        }
    }

    /// Where corners lie on a straight line the strip has no needles.
    #[test]
    fn a_straight_line_of_many_corners_moves_out_whole() {
        let ring: Vec<Point> =
            (0..10).map(|k| Point::new(k * 1000, 0)).chain([Point::new(9000, 9000), Point::new(0, 9000)]).collect();
        let reach: Vec<f64> = (0..ring.len()).map(|at| if at < 9 { 1600.0 } else { 0.0 }).collect();
        let grown = grown_by(&ring, &reach);
        let spots: Vec<Spot> = grown.iter().map(|p| [f64::from(p.x), f64::from(p.y)]).collect();
        assert_eq!(meets_itself(&grown), 0);
        assert!((area(&spots) - (81e6 + 9000.0 * 1600.0)).abs() < 1e4, "{grown:?}");
    }

    #[test]
    fn loosening_only_adds() {
        let mut dice = Dice::new(4);
        for case in 0..40 {
            let ring = star(&mut dice, 20 + case);
            let loose = loosened(ring.clone(), 0.02, 200);
            assert!(area(&loose) <= area(&ring) * 1.02 + 1.0 && loose.len() <= ring.len());
            assert!(ring.iter().all(|&at| depth(&loose, at) >= -1e-3), "{case}");
        }
    }

    #[test]
    fn a_round_outline_needs_few_corners() {
        let round = (0..200).map(|i| std::f64::consts::TAU * f64::from(i) / 200.0);
        let ring: Vec<Spot> = round.map(|way| [10_000.0 * libm::cos(way), 10_000.0 * libm::sin(way)]).collect();
        let loose = loosened(ring.clone(), 0.01, 200);
        assert!(loose.len() < 30 && area(&loose) >= area(&ring), "{}", loose.len());
    }

    #[test]
    fn a_hull_turns_one_way() {
        let hull = hull(&star(&mut Dice::new(9), 50));
        assert!((0..hull.len()).all(|i| turn(hull[i], hull[(i + 1) % hull.len()], hull[(i + 2) % hull.len()]) > 0.0));
    }
}
