//! Proof that a pattern is whole: borders touch only at junctions, each has two sides, areas tile the panel.
//!
//! Independent of how the pattern was made. Touches are exact on the flattened borders, which are what every sheet and
//! check reads; areas are exact sums of the cubics by Green's theorem. The rings of each area are found by turning
//! around junctions, so a side that names the wrong area breaks a ring.

use std::collections::{BTreeMap, BTreeSet};

use measure::plane::{Cubic, Point, inside, line, orientation, touches_of};

use crate::work::{AreaId, Border, BorderId, Ends, JunctionId, Pattern, Side, Size};

/// Why a pattern is not whole.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// Two borders (or one with itself) touch away from a junction.
    Touch(BorderId, BorderId, Point),
    /// A border's curve is broken, does not reach its junction, has one area on both sides, or leaves the panel.
    Broken(BorderId),
    /// An area has no outline, falls apart, or its point is not inside it.
    Area(AreaId),
    /// Areas do not sum to the panel: relative error.
    Sum(f64),
}

/// How far the areas' sum may be from the panel's area.
const SUM_ERROR: f64 = 1e-6;

/// Every fault, none for a whole pattern.
pub fn prove(pattern: &Pattern, panel: Size) -> Vec<Fault> {
    let broken: Vec<Fault> = (pattern.borders.iter())
        .filter(|(_, border)| !is_sound(pattern, border, panel))
        .map(|(id, _)| Fault::Broken(*id))
        .collect();
    if !broken.is_empty() {
        return broken;
    }
    let map = Map::new(pattern);
    let mut faults = map.touch_faults(pattern, |_| true);
    let (lost, sum20) = map.area_faults(pattern);
    faults.extend(lost);
    let whole = 20 * i128::from(panel.width.0) * i128::from(panel.height.0);
    let error = (sum20 - whole) as f64 / whole.max(1) as f64;
    if error.abs() > SUM_ERROR {
        faults.push(Fault::Sum(error));
    }
    faults
}

/// What a change of the borders `changed` can have broken in a pattern that was whole before: those borders themselves, all
/// that lie near them, and every area beside them or at their junctions. Areas farther off keep their rings, and the sum
/// follows, since the edge of the panel does not move.
pub fn prove_near(pattern: &Pattern, panel: Size, changed: &BTreeSet<BorderId>) -> Vec<Fault> {
    let unsound = |id: &&BorderId| pattern.borders.get(id).is_some_and(|border| !is_sound(pattern, border, panel));
    let broken: Vec<Fault> = changed.iter().filter(unsound).map(|id| Fault::Broken(*id)).collect();
    if !broken.is_empty() {
        return broken;
    }
    let near = near(pattern, changed);
    let map = Map::new(&near);
    let asked = |index: usize| changed.contains(&map.ids[index]);
    let mut faults = map.touch_faults(&near, asked);
    faults.extend(map.area_faults(&near).0);
    faults
}

/// The part of a pattern that a change of some borders can have broken.
fn near(pattern: &Pattern, changed: &BTreeSet<BorderId>) -> Pattern {
    let moved = || pattern.borders.iter().filter(|(id, _)| changed.contains(id)).map(|(_, border)| border);
    let joints: BTreeSet<JunctionId> = moved().flat_map(junctions_of).collect();
    let hulls: Vec<[i32; 4]> = moved().map(hull).collect();
    let at_joint = |border: &Border| junctions_of(border).any(|id| joints.contains(&id));
    let beside = |border: &Border| [border.left, border.right].into_iter().filter_map(Side::area);
    let close = (pattern.borders.iter()).filter(|(id, border)| changed.contains(id) || at_joint(border));
    let ids: BTreeSet<AreaId> = close.flat_map(|(_, border)| beside(border)).collect();
    let meets = |a: &[i32; 4], b: [i32; 4]| a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3];
    let counts = |border: &Border| {
        beside(border).any(|id| ids.contains(&id)) || {
            let own = hull(border);
            hulls.iter().any(|hull| meets(hull, own))
        }
    };
    Pattern {
        junctions: pattern.junctions.clone(),
        borders: (pattern.borders.iter().filter(|(_, b)| counts(b))).map(|(id, b)| (*id, b.clone())).collect(),
        areas: ids.iter().filter_map(|id| Some((*id, *pattern.areas.get(id)?))).collect(),
    }
}

fn junctions_of(border: &Border) -> impl Iterator<Item = JunctionId> {
    let both = match border.ends {
        Ends::Between(a, b) => [Some(a), Some(b)],
        Ends::Ring(_) => [None, None],
    };
    both.into_iter().flatten()
}

/// The box around the control points, and so around the curve: west, north, east, south.
fn hull(border: &Border) -> [i32; 4] {
    let points = border.curve.iter().flat_map(|cubic| cubic.0);
    let wider = |a: [i32; 4], p: Point| [a[0].min(p.x), a[1].min(p.y), a[2].max(p.x), a[3].max(p.y)];
    points.fold([i32::MAX, i32::MAX, i32::MIN, i32::MIN], wider)
}

fn is_sound(pattern: &Pattern, border: &Border, panel: Size) -> bool {
    let joined = border.curve.windows(2).all(|w| w[0].end() == w[1].start());
    let within = |p: &Point| (0..=panel.width.0).contains(&p.x) && (0..=panel.height.0).contains(&p.y);
    let known =
        [border.left, border.right].iter().all(|side| side.area().is_none_or(|a| pattern.areas.contains_key(&a)));
    border.left != border.right
        && known
        && joined
        && ends_of(pattern, border).is_some_and(|[start, end]| {
            border.curve.first().map(Cubic::start) == Some(start) && border.curve.last().map(Cubic::end) == Some(end)
        })
        && line(&border.curve).iter().all(within)
}

/// Where a border should begin and end.
fn ends_of(pattern: &Pattern, border: &Border) -> Option<[Point; 2]> {
    match border.ends {
        Ends::Ring(at) => Some([at, at]),
        Ends::Between(a, b) => Some([*pattern.junctions.get(&a)?, *pattern.junctions.get(&b)?]),
    }
}

/// One border walked one way; the area that it bounds lies to the left.
type Half = (usize, bool);

struct Map {
    ids: Vec<BorderId>,
    lines: Vec<Vec<Point>>,
    /// By border, twenty times its Green's area from start to end.
    green20: Vec<i128>,
    /// By half, the side on its left and the half that follows around it.
    next: BTreeMap<Half, (Side, Half)>,
}

impl Map {
    fn new(pattern: &Pattern) -> Map {
        let lines: Vec<Vec<Point>> = pattern.borders.values().map(|border| line(&border.curve)).collect();
        let green20 = pattern.borders.values().map(|b| b.curve.iter().map(Cubic::green20).sum()).collect();
        let next = followers(pattern, &lines);
        Map { ids: pattern.borders.keys().copied().collect(), lines, green20, next }
    }

    /// Touches of the lines, and junctions or rings' starts that stand in one place.
    fn touch_faults(&self, pattern: &Pattern, asked: impl Fn(usize) -> bool) -> Vec<Fault> {
        let found =
            touches_of(&self.lines, asked).into_iter().map(|(a, b, at)| Fault::Touch(self.ids[a], self.ids[b], at));
        let mut faults: Vec<Fault> = found.collect();
        let mut ends = BTreeMap::new();
        for (index, border) in pattern.borders.values().enumerate() {
            let names = match border.ends {
                Ends::Ring(at) => vec![(at, Err(index))],
                Ends::Between(a, b) => [a, b].map(|j| (pattern.junctions[&j], Ok(j))).to_vec(),
            };
            for (at, name) in names {
                let (known, other) = *ends.entry(at).or_insert((name, index));
                if known != name {
                    faults.push(Fault::Touch(self.ids[other], self.ids[index], at));
                }
            }
        }
        faults
    }

    /// The areas that have no outline or lost their point, and twenty times the sum of the others.
    fn area_faults(&self, pattern: &Pattern) -> (Vec<Fault>, i128) {
        let rings = self.rings();
        let mut faults = Vec::new();
        let mut sum = 0;
        for (id, area) in &pattern.areas {
            match rings.get(&Side::Area(*id)).and_then(|rings| self.area20(rings)) {
                Some(area20) if self.is_inside(&rings[&Side::Area(*id)], area.at) => sum += area20,
                _ => faults.push(Fault::Area(*id)),
            }
        }
        (faults, sum)
    }

    /// By side, its rings. A ring whose halves have different sides is listed under each of them as nothing.
    fn rings(&self) -> BTreeMap<Side, Vec<Vec<Half>>> {
        let mut rings: BTreeMap<Side, Vec<Vec<Half>>> = BTreeMap::new();
        let mut walked = BTreeSet::new();
        for (first, (side, _)) in &self.next {
            let mut ring = Vec::new();
            let mut at = *first;
            while walked.insert(at) {
                ring.push(at);
                at = self.next[&at].1;
            }
            if ring.is_empty() {
                continue;
            }
            let alike = ring.iter().all(|half| self.next[half].0 == *side);
            for half in ring.iter().filter(|_| !alike) {
                rings.entry(self.next[half].0).or_default().push(Vec::new());
            }
            if alike {
                rings.entry(*side).or_default().push(ring);
            }
        }
        rings
    }

    /// Twenty times the area within `rings`, when one is the outer ring and the others are holes directly inside it. A
    /// ring is walked with its area on the left, so the outer one runs counterclockwise on the page: negative.
    fn area20(&self, rings: &[Vec<Half>]) -> Option<i128> {
        let sums: Vec<i128> = rings.iter().map(|ring| self.ring20(ring)).collect();
        let outer = sums.iter().position(|sum| *sum < 0)?;
        let holes: Vec<usize> = (0..rings.len()).filter(|i| *i != outer).collect();
        let start = |ring: usize| self.lines[rings[ring][0].0][0];
        let placed = |hole: usize| {
            self.is_inside(&rings[outer..=outer], start(hole))
                && holes.iter().all(|other| *other == hole || !self.is_inside(&rings[*other..=*other], start(hole)))
        };
        (holes.iter().all(|hole| sums[*hole] > 0 && placed(*hole))).then(|| -sums.iter().sum::<i128>())
    }

    fn ring20(&self, ring: &[Half]) -> i128 {
        ring.iter().map(|(border, forward)| if *forward { self.green20[*border] } else { -self.green20[*border] }).sum()
    }

    fn is_inside(&self, rings: &[Vec<Half>], at: Point) -> bool {
        inside(rings.iter().flatten().map(|(border, _)| &self.lines[*border][..]), at)
    }
}

/// For each half its left side, and the half that follows around that side: at the junction where it ends, the next one
/// clockwise from the way back.
fn followers(pattern: &Pattern, lines: &[Vec<Point>]) -> BTreeMap<Half, (Side, Half)> {
    let mut leaving: BTreeMap<_, Vec<Half>> = BTreeMap::new();
    let mut next = BTreeMap::new();
    for (index, border) in pattern.borders.values().enumerate() {
        match border.ends {
            Ends::Ring(_) => {
                next.insert((index, true), (border.left, (index, true)));
                next.insert((index, false), (border.right, (index, false)));
            }
            Ends::Between(a, b) => {
                leaving.entry(a).or_default().push((index, true));
                leaving.entry(b).or_default().push((index, false));
            }
        }
    }
    let borders: Vec<&Border> = pattern.borders.values().collect();
    for (junction, mut halves) in leaving {
        let centre = pattern.junctions[&junction];
        halves.sort_by(|a, b| clockwise(centre, first(lines, *a), first(lines, *b)).then(a.cmp(b)));
        for (k, half) in halves.iter().enumerate() {
            let arriving = (half.0, !half.1);
            let left = if arriving.1 { borders[half.0].left } else { borders[half.0].right };
            next.insert(arriving, (left, halves[(k + 1) % halves.len()]));
        }
    }
    next
}

/// The point after the junction.
fn first(lines: &[Vec<Point>], half: Half) -> Point {
    let line = &lines[half.0];
    let step = 1.min(line.len() - 1);
    if half.1 { line[step] } else { line[line.len() - 1 - step] }
}

/// The order of directions around `centre`, clockwise on the page from the right.
fn clockwise(centre: Point, a: Point, b: Point) -> std::cmp::Ordering {
    let upper = |p: Point| p.y < centre.y || (p.y == centre.y && p.x < centre.x);
    upper(a).cmp(&upper(b)).then_with(|| 0.cmp(&orientation(centre, a, b)))
}
