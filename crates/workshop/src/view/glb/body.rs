//! One piece as a body: its face with an eased edge, and its sides down to the backer.
//!
//! A face has three points at each point of the outline: below the eased edge, on it, and on the top, set in by half the kerf
//! (but not along the panel's edge, where no other piece was sawn off) and by the easing; normals run from outward to upward over the
//! edge, so that it shades as a round one. Sides are runs, each a
//! band of the outline between two sharp corners, so that a corner stays one and the band has a place on a texture.

use measure::plane::Point;

use super::ears::triangles;
use super::plain::plain;
use crate::view::edges::{EASE_MM, KERF_MM};

/// The eased edge: how far its normal leans outward and upward at each of its points, from the side to the top.
const PROFILE: [[f32; 2]; ROUND] =
    [[1.0, 0.0], [std::f32::consts::FRAC_1_SQRT_2, std::f32::consts::FRAC_1_SQRT_2], [0.0, 1.0]];
const ROUND: usize = 3;
/// How far the top is set in, shares of the easing: flats give as much light as the round in the lit picture.
const SET_IN: f32 = 0.8;
/// A corner is set in by no more than this many times what its sides are.
const SHARPEST: f32 = 2.5;
/// Sides whose directions differ by more than this cosine meet in a corner, not in a curve: 40°.
const CORNER_COSINE: f32 = 0.77;
/// The longest run of a side, mm: it has to fit on a texture.
const LONGEST_MM: f32 = 300.0;

/// A mesh in metres, y up, the front towards +z.
#[derive(Debug, Default)]
pub(super) struct Mesh {
    pub positions: Vec<[f32; 3]>,
    pub normals: Vec<[f32; 3]>,
    /// Places on the texture, shares of its width and height.
    pub places: Vec<[f32; 2]>,
    pub indices: Vec<u16>,
}

/// A piece: its face, and its sides before they have a place on a texture.
#[derive(Debug, Default)]
pub(super) struct Body {
    pub face: Mesh,
    pub runs: Vec<Run>,
}

/// A band of a side, walked so that the material lies to the right on the page.
#[derive(Debug, Default)]
pub(super) struct Run {
    /// Along the sawn edge, mm on the page.
    pub path: Vec<[f32; 2]>,
    /// Out of the material, on the page, one each.
    pub out: Vec<[f32; 2]>,
    /// Where it begins above the backer, mm.
    pub foot: f32,
    /// From there to the eased edge, mm.
    pub rise: f32,
}

impl Run {
    /// How far each point lies along the run, mm.
    pub(super) fn along(&self) -> Vec<f32> {
        let mut sum = 0.0;
        let steps = self.path.windows(2).map(|ends| {
            sum += length([ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]]);
            sum
        });
        std::iter::once(0.0).chain(steps.collect::<Vec<_>>()).collect()
    }

    /// Adds its two rows of points; `place` gives shares of the texture for mm along and mm down from the edge.
    pub(super) fn onto(&self, mesh: &mut Mesh, (page, place): (Page, impl Fn(f32, f32) -> [f32; 2])) {
        let first = mesh.positions.len() as u16;
        for ((at, out), along) in self.path.iter().zip(&self.out).zip(self.along()) {
            for up in [0.0, self.rise] {
                mesh.point((*at, self.foot + up), [out[0], -out[1], 0.0], (place(along, self.rise - up), page));
            }
        }
        for at in 0..self.path.len().saturating_sub(1) as u16 {
            mesh.band(first + 2 * at, first + 2 * at + 2);
        }
    }
}

impl Body {
    /// A piece by its rings, from where to where it stands and the radius of the widest circle in it (mm).
    pub(super) fn piece(rings: &[Vec<Point>], (foot, height, widest): (f32, f32, f32), page: Page) -> Body {
        let rings = plain(rings);
        let mut body = Body::default();
        let ease = EASE_MM.min(0.4 * widest).min(0.5 * height);
        for ring in &rings {
            body.ring(ring, (foot, height, ease), page);
        }
        for [a, b, c] in triangles(&rings) {
            body.face.indices.extend([a, c, b].map(|at| ROUND as u16 * at as u16 + ROUND as u16 - 1));
        }
        body
    }

    /// A sheet over the panel, its front at 0: front and back as one mesh, with its edges.
    pub(super) fn sheet(page: Page, thick: f32) -> Body {
        let panel = page.panel;
        let corners = [[0.0, 0.0], [panel[0], 0.0], panel, [0.0, panel[1]]];
        let mut body = Body::default();
        for (z, up) in [(0.0, 1.0), (-thick, -1.0)] {
            for corner in corners {
                body.face.point((corner, z), [0.0, 0.0, up], (page.share(corner), page));
            }
        }
        body.face.indices.extend([0u16, 2, 1, 0, 3, 2, 4, 5, 6, 4, 6, 7]);
        body.runs.extend((0..4).map(|at| {
            let (from, to) = (corners[at], corners[(at + 1) % 4]);
            let out = unit([to[1] - from[1], from[0] - to[0]]);
            Run { path: vec![from, to], out: vec![out; 2], foot: -thick, rise: thick }
        }));
        body
    }

    fn ring(&mut self, ring: &[Point], (foot, height, ease): (f32, f32, f32), page: Page) {
        let first = self.face.positions.len() as u16;
        let count = ring.len();
        let corners: Vec<Corner> = (0..count)
            .map(|at| Corner::new([ring[(at + count - 1) % count], ring[at], ring[(at + 1) % count]], page))
            .collect();
        for corner in &corners {
            for [level, up] in PROFILE {
                let at = corner.moved(SET_IN * ease * (1.0 - level));
                let normal = [-corner.inward[0] * level, corner.inward[1] * level, up];
                self.face.point((at, height - ease * (1.0 - up)), normal, (page.share(at), page));
            }
        }
        for at in 0..count as u16 {
            let (here, next) = (first + ROUND as u16 * at, first + ROUND as u16 * ((at + 1) % count as u16));
            (0..ROUND as u16 - 1).for_each(|row| self.face.band(here + row, next + row));
        }
        self.runs.extend(runs(&corners, (foot, height - ease)));
    }
}

/// The bands of a ring's side.
fn runs(corners: &[Corner], (foot, top): (f32, f32)) -> Vec<Run> {
    let count = corners.len();
    let start = corners.iter().position(Corner::sharp).unwrap_or(0);
    let mut runs: Vec<Run> = Vec::new();
    let mut long = f32::INFINITY;
    for step in 0..count {
        let (here, next) = (&corners[(start + step) % count], &corners[(start + step + 1) % count]);
        if here.sharp() || long > LONGEST_MM {
            runs.push(Run { path: vec![here.edge()], out: vec![here.out(here.sides[1])], foot, rise: top - foot });
            long = 0.0;
        }
        let run = runs.last_mut().expect("the first step begins a run");
        run.path.push(next.edge());
        run.out.push(next.out(here.sides[1]));
        long += length([next.edge()[0] - here.edge()[0], next.edge()[1] - here.edge()[1]]);
    }
    runs
}

impl Mesh {
    fn point(&mut self, ([x, y], z): ([f32; 2], f32), normal: [f32; 3], (place, Page { panel, .. }): ([f32; 2], Page)) {
        self.positions.push([(x - 0.5 * panel[0]) / 1000.0, (0.5 * panel[1] - y) / 1000.0, z / 1000.0]);
        self.normals.push(normal);
        self.places.push(place);
    }

    /// Two triangles between the low and high points at two places of a ring.
    fn band(&mut self, i: u16, j: u16) {
        self.indices.extend([i, j + 1, j, i, i + 1, j + 1]);
    }
}

/// What the texture of faces shows: the panel, and as much beyond it on each side, mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Page {
    pub panel: [f32; 2],
    pub beyond: f32,
}

impl Page {
    /// Whether a side runs along the panel's edge.
    fn ends(&self, side: [[f32; 2]; 2]) -> bool {
        (0..2)
            .any(|axis| [0.0, self.panel[axis]].iter().any(|edge| side.iter().all(|at| (at[axis] - edge).abs() < 2e-3)))
    }

    /// A place of the page as shares of it.
    fn share(&self, at: [f32; 2]) -> [f32; 2] {
        [0, 1].map(|axis| ((at[axis] + self.beyond) / (self.panel[axis] + 2.0 * self.beyond)).clamp(0.0, 1.0))
    }
}

/// A point of a ring.
struct Corner {
    at: [f32; 2],
    /// Into the material from the side before and the side after.
    sides: [[f32; 2]; 2],
    /// What the saw takes of each of the two, mm.
    sawn: [f32; 2],
    /// Between the two.
    inward: [f32; 2],
    /// How far it moves for 1 mm of setting in.
    far: f32,
}

impl Corner {
    fn new([before, here, after]: [Point; 3], page: Page) -> Corner {
        let mm = |point: Point| [point.x as f32 / 1000.0, point.y as f32 / 1000.0];
        let [a, at, b] = [before, here, after].map(mm);
        // The material lies to the right of one who walks the ring as it runs on the page.
        let into = |from: [f32; 2], to: [f32; 2]| unit([from[1] - to[1], to[0] - from[0]]);
        let sides = [into(a, at), into(at, b)];
        let inward = unit([sides[0][0] + sides[1][0], sides[0][1] + sides[1][1]]);
        let far = (1.0 / dot(inward, sides[0]).max(1e-3)).min(SHARPEST);
        let sawn = [[a, at], [at, b]].map(|ends| if page.ends(ends) { 0.0 } else { 0.5 * KERF_MM });
        Corner { at, sides, sawn, inward, far }
    }

    /// Set in by what the saw takes and by so much more, mm.
    fn moved(&self, by: f32) -> [f32; 2] {
        let ([a, b], [s, t]) = (self.sides, self.sawn.map(|sawn| sawn + by));
        let turn = a[0] * b[1] - a[1] * b[0];
        if s == t || turn.abs() < 1.0 / SHARPEST {
            return [0, 1].map(|axis| self.at[axis] + self.inward[axis] * self.far * 0.5 * (s + t));
        }
        // So far from each of the two sides.
        [self.at[0] + (s * b[1] - t * a[1]) / turn, self.at[1] + (t * a[0] - s * b[0]) / turn]
    }

    fn edge(&self) -> [f32; 2] {
        self.moved(0.0)
    }

    fn sharp(&self) -> bool {
        dot(self.sides[0], self.sides[1]) < CORNER_COSINE
    }

    /// Out of the material, for the side whose inward direction is given.
    fn out(&self, side: [f32; 2]) -> [f32; 2] {
        let inward = if self.sharp() { side } else { self.inward };
        [-inward[0], -inward[1]]
    }
}

fn dot(a: [f32; 2], b: [f32; 2]) -> f32 {
    a[0] * b[0] + a[1] * b[1]
}

fn length(of: [f32; 2]) -> f32 {
    dot(of, of).sqrt()
}

fn unit(of: [f32; 2]) -> [f32; 2] {
    let long = length(of);
    if long < 1e-9 { [1.0, 0.0] } else { [of[0] / long, of[1] / long] }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outwards(mesh: &Mesh) {
        for triangle in mesh.indices.chunks(3) {
            let [a, b, c] = [0, 1, 2].map(|at| mesh.positions[triangle[at] as usize]);
            let side = |to: [f32; 3]| [to[0] - a[0], to[1] - a[1], to[2] - a[2]];
            let (u, v) = (side(b), side(c));
            let normal = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
            let sum = |axis: usize| triangle.iter().map(|at| mesh.normals[*at as usize][axis]).sum::<f32>();
            assert!((0..3).map(|axis| normal[axis] * sum(axis)).sum::<f32>() > 0.0, "{triangle:?}");
        }
    }

    /// Every triangle looks the way its points' normals say, and the body is as high and as wide as the piece.
    #[test]
    fn a_body_is_turned_outwards_and_true_to_size() {
        let square = [(5_000, 5_000), (45_000, 5_000), (45_000, 35_000), (5_000, 35_000)];
        let hole = [(15_000, 15_000), (15_000, 25_000), (25_000, 25_000), (25_000, 15_000)];
        let rings = [&square[..], &hole[..]].map(|ring| ring.iter().map(|(x, y)| Point::new(*x, *y)).collect());
        let page = Page { panel: [100.0, 100.0], beyond: 0.0 };
        let body = Body::piece(&rings, (0.0, 20.0, 5.0), page);
        assert_eq!(body.runs.len(), 8, "a run for each side between corners");
        let mut sides = Mesh::default();
        body.runs.iter().for_each(|run| run.onto(&mut sides, (page, |_, _| [0.0; 2])));
        for mesh in [&body.face, &sides, &Body::sheet(page, 9.0).face] {
            outwards(mesh);
        }
        let most = |mesh: &Mesh, axis: usize| mesh.positions.iter().map(|at| at[axis]).fold(f32::MIN, f32::max);
        assert!((most(&body.face, 2) - 0.020).abs() < 1e-6);
        assert!((most(&sides, 0) - (45.0 - 0.2 - 50.0) / 1000.0).abs() < 1e-6);
        let round: f32 = body.runs.iter().map(|run| *run.along().last().expect("a run has points")).sum();
        assert!((round - (2.0 * (39.6 + 29.6) + 4.0 * 10.4)).abs() < 1e-3, "{round}");
    }

    /// A piece at the panel's edge ends there, as in the lit picture: only the sides that part it from others are set in.
    #[test]
    fn a_body_reaches_the_panel_s_edge() {
        let ring = vec![Point::new(0, 0), Point::new(40_000, 0), Point::new(30_000, 20_000), Point::new(0, 20_000)];
        let body = Body::piece(&[ring], (0.0, 20.0, 5.0), Page { panel: [100.0, 50.0], beyond: 0.0 });
        let mut path: Vec<[f32; 2]> = body.runs.iter().flat_map(|run| run.path.clone()).collect();
        path.dedup();
        let slope = 0.2 * 500.0_f32.sqrt() / 20.0;
        let wanted = [[0.0, 0.0], [40.0 - slope, 0.0], [30.1 - slope, 19.8], [0.0, 19.8]];
        for at in wanted {
            assert!(path.iter().any(|p| length([p[0] - at[0], p[1] - at[1]]) < 1e-3), "{at:?} is not in {path:?}");
        }
    }
}
