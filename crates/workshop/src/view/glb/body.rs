//! One piece as a body: its top, an eased edge, its sides down to the backer.
//!
//! Three points stand at each point of the outline: at the foot, below the eased edge, and on the top, set in by half
//! the kerf and by the easing. Normals run from outward to upward over the edge, so that it shades as a round one.

use measure::plane::Point;

use super::ears::triangles;
use crate::view::edges::{EASE_MM, KERF_MM};

/// How far an outline may be straightened, µm: well within the kerf.
const STRAIGHT_UM: f64 = 30.0;
/// The most points of one body; glTF counts them in two bytes.
const MOST_POINTS: usize = 65_000;
/// A corner is set in by no more than this many times what its sides are.
const SHARPEST: f32 = 2.5;

/// A body in metres, y up, the front towards +z.
#[derive(Debug, Default)]
pub(super) struct Body {
    pub positions: Vec<[f32; 3]>,
    pub normals: Vec<[f32; 3]>,
    /// Places on the texture, mm on the page.
    pub places: Vec<[f32; 2]>,
    pub indices: Vec<u16>,
}

impl Body {
    /// A piece by its rings, how high it stands and the radius of the widest circle in it (mm).
    pub(super) fn piece(rings: &[Vec<Point>], (height, widest): (f32, f32), panel: [f32; 2]) -> Body {
        let rings = plain(rings);
        let mut body = Body::default();
        let ease = EASE_MM.min(0.4 * widest).min(0.5 * height);
        for ring in &rings {
            body.ring(ring, (height, ease), panel);
        }
        for [a, b, c] in triangles(&rings) {
            body.indices.extend([a, c, b].map(|at| 3 * at as u16 + 2));
        }
        body
    }

    /// The backer: a flat sheet over the panel, its front at 0.
    pub(super) fn sheet(panel: [f32; 2], thick: f32) -> Body {
        let corners = [[0.0, 0.0], [panel[0], 0.0], panel, [0.0, panel[1]]];
        let mut body = Body::default();
        for (z, up) in [(0.0, 1.0), (-thick, -1.0)] {
            for corner in corners {
                body.point((corner, z), [0.0, 0.0, up], (corner, panel));
            }
        }
        body.indices.extend([0u16, 2, 1, 0, 3, 2, 4, 5, 6, 4, 6, 7]);
        for side in 0..4 {
            body.side((corners[side], corners[(side + 1) % 4]), thick, panel);
        }
        body
    }

    fn side(&mut self, (a, b): ([f32; 2], [f32; 2]), thick: f32, panel: [f32; 2]) {
        let first = self.positions.len() as u16;
        let out = unit([b[1] - a[1], a[0] - b[0]]);
        for (place, z) in [(a, 0.0), (b, 0.0), (a, -thick), (b, -thick)] {
            self.point((place, z), [out[0], -out[1], 0.0], (place, panel));
        }
        self.indices.extend([2, 1, 3, 2, 0, 1].map(|at| first + at));
    }

    fn ring(&mut self, ring: &[Point], (height, ease): (f32, f32), panel: [f32; 2]) {
        let first = (self.positions.len() / 3) as u16;
        let count = ring.len();
        for at in 0..count {
            let (here, inward, set_in) = corner([ring[(at + count - 1) % count], ring[at], ring[(at + 1) % count]]);
            let moved = |by: f32| [here[0] + set_in[0] * by, here[1] + set_in[1] * by];
            let (edge, top) = (moved(0.5 * KERF_MM), moved(0.5 * KERF_MM + 0.8 * ease));
            let out = [-inward[0], inward[1], 0.0];
            self.point((edge, 0.0), out, (top, panel));
            self.point((edge, height - ease), out, (top, panel));
            self.point((top, height), [0.0, 0.0, 1.0], (top, panel));
        }
        for at in 0..count as u16 {
            let (i, j) = (3 * (first + at), 3 * (first + (at + 1) % count as u16));
            for low in [0, 1] {
                self.indices.extend([i + low, j + low + 1, j + low, i + low, i + low + 1, j + low + 1]);
            }
        }
    }

    fn point(&mut self, ([x, y], z): ([f32; 2], f32), normal: [f32; 3], (place, panel): ([f32; 2], [f32; 2])) {
        self.positions.push([(x - 0.5 * panel[0]) / 1000.0, (0.5 * panel[1] - y) / 1000.0, z / 1000.0]);
        self.normals.push(normal);
        self.places.push([(place[0] / panel[0]).clamp(0.0, 1.0), (place[1] / panel[1]).clamp(0.0, 1.0)]);
    }
}

/// A corner in mm, the unit direction into the material, and how far it moves for 1 mm of setting in.
fn corner([before, here, after]: [Point; 3]) -> ([f32; 2], [f32; 2], [f32; 2]) {
    let mm = |point: Point| [point.x as f32 / 1000.0, point.y as f32 / 1000.0];
    let [a, p, b] = [before, here, after].map(mm);
    // The material lies to the right of one who walks the ring as it runs on the page.
    let into = |from: [f32; 2], to: [f32; 2]| unit([from[1] - to[1], to[0] - from[0]]);
    let (one, other) = (into(a, p), into(p, b));
    let inward = unit([one[0] + other[0], one[1] + other[1]]);
    let cosine = inward[0] * one[0] + inward[1] * one[1];
    let far = (1.0 / cosine.max(1e-3)).min(SHARPEST);
    (p, inward, [inward[0] * far, inward[1] * far])
}

fn unit([x, y]: [f32; 2]) -> [f32; 2] {
    let length = (x * x + y * y).sqrt();
    if length < 1e-9 { [1.0, 0.0] } else { [x / length, y / length] }
}

/// The rings with as few points as the tolerance lets be, and few enough for one body.
fn plain(rings: &[Vec<Point>]) -> Vec<Vec<Point>> {
    let mut straight = STRAIGHT_UM;
    loop {
        let rings: Vec<Vec<Point>> = rings.iter().map(|ring| straightened(ring, straight)).collect();
        let rings: Vec<Vec<Point>> = rings.into_iter().filter(|ring| ring.len() > 2).collect();
        if 3 * rings.iter().map(Vec::len).sum::<usize>() < MOST_POINTS {
            return rings;
        }
        straight *= 2.0;
    }
}

/// Douglas and Peucker (1973) on a closed ring, from its first point and the one farthest from that.
fn straightened(ring: &[Point], within: f64) -> Vec<Point> {
    let Some(first) = ring.first() else { return Vec::new() };
    let away = |point: &Point| {
        let (dx, dy) = (i64::from(point.x - first.x), i64::from(point.y - first.y));
        dx * dx + dy * dy
    };
    let far = (0..ring.len()).max_by_key(|at| (away(&ring[*at]), std::cmp::Reverse(*at))).unwrap_or(0);
    let closed: Vec<Point> = ring.iter().chain([first]).copied().collect();
    let mut keep = vec![false; closed.len()];
    let mut open = vec![(0, far), (far, ring.len())];
    while let Some((from, to)) = open.pop() {
        (keep[from], keep[to]) = (true, true);
        let off = |at: usize| distance(closed[at], (closed[from], closed[to]));
        let worst = (from + 1..to.max(from + 1)).max_by(|a, b| off(*a).total_cmp(&off(*b)).then(b.cmp(a)));
        if let Some(worst) = worst.filter(|worst| off(*worst) > within) {
            open.extend([(from, worst), (worst, to)]);
        }
    }
    let mut kept: Vec<Point> = (0..ring.len()).filter(|at| keep[*at]).map(|at| ring[at]).collect();
    kept.dedup();
    kept
}

fn distance(p: Point, (a, b): (Point, Point)) -> f64 {
    let side = |from: Point, to: Point| (f64::from(to.x) - f64::from(from.x), f64::from(to.y) - f64::from(from.y));
    let ((ux, uy), (vx, vy)) = (side(a, b), side(a, p));
    let long = (ux * ux + uy * uy).sqrt();
    if long < 1e-9 { (vx * vx + vy * vy).sqrt() } else { (ux * vy - uy * vx).abs() / long }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every triangle looks the way its points' normals say, and the body is as high and as wide as the piece.
    #[test]
    fn a_body_is_turned_outwards_and_true_to_size() {
        let square = [(0, 0), (40_000, 0), (40_000, 30_000), (0, 30_000)];
        let hole = [(10_000, 10_000), (10_000, 20_000), (20_000, 20_000), (20_000, 10_000)];
        let rings = [&square[..], &hole[..]].map(|ring| ring.iter().map(|(x, y)| Point::new(*x, *y)).collect());
        for body in [Body::piece(&rings, (20.0, 5.0), [100.0, 100.0]), Body::sheet([100.0, 80.0], 9.0)] {
            for triangle in body.indices.chunks(3) {
                let [a, b, c] = [0, 1, 2].map(|at| body.positions[triangle[at] as usize]);
                let side = |to: [f32; 3]| [to[0] - a[0], to[1] - a[1], to[2] - a[2]];
                let (u, v) = (side(b), side(c));
                let normal = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
                let sum = |axis: usize| triangle.iter().map(|at| body.normals[*at as usize][axis]).sum::<f32>();
                assert!((0..3).map(|axis| normal[axis] * sum(axis)).sum::<f32>() > 0.0, "{triangle:?}");
            }
        }
        let body = Body::piece(&rings, (20.0, 5.0), [100.0, 100.0]);
        let most = |axis: usize| body.positions.iter().map(|at| at[axis]).fold(f32::MIN, f32::max);
        assert!((most(2) - 0.020).abs() < 1e-6 && (most(0) - (40.0 - 0.2 - 50.0) / 1000.0).abs() < 1e-6);
    }
}
