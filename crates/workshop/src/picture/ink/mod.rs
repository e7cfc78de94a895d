//! Ink closed to its centre lines: strokes are taken out of the picture, and the colours beside them run up to the middle.
//!
//! Ink is the darkest colour of which the picture has much. Its skeleton gives the pen's width, by which strokes are told from
//! dark areas of the same colour; where strokes meet, their edges and axes tell the pen's way instead. Skeleton first, flood
//! second: fronts that flood a stroke from both sides meet off its axis at every T. Weak where the pen's width changes within a
//! crossing, and for pens under three pixels.

mod apart;
mod axes;
mod flood;
mod knots;
mod mask;
mod pen;
#[cfg(test)]
mod tests;
mod thin;

use std::collections::BTreeSet;

use measure::length::Um;
use measure::plane::{Point, thinned};

use super::Raster;
use super::even::{self, Even};
use super::grid::{Grid, NOBODY, components};
use super::read::OPAQUE;
use crate::work::{InkChoice, LineBecomes, LooseLine, Size, Stock, TraceChoices};

use mask::Broad;
pub(super) use thin::joined;

/// Soft edges of strokes, pixels: colours this near to ink are mixed with it.
const RIM: f64 = 2.0;

/// Narrower than this nothing is sawn, however clean its edges: common practice, no source.
const SLIP_MM: f64 = 1.0;

/// Where ink stays open a slender stroke up to so wide is a shadow, what is wider an area: a choice, no source.
const WIDEST_SHADOW: Um = Um(6_000);

/// A line that ends in the open is told by points that stay so near to it, µm.
const OFF_UM: f64 = 60.0;

/// What is known of the ink.
#[derive(Clone, Copy)]
pub(super) struct Ink<'a> {
    pub grid: Grid,
    /// The pixels of ink.
    pub marks: &'a [bool],
    /// Dark areas, no strokes.
    pub dark: &'a [bool],
    /// Strokes that swell: wider than the pen, and no areas.
    pub swells: &'a [bool],
    /// Squared distances from what is no ink.
    pub squares: &'a [u32],
    /// Half the pen.
    pub half: f64,
}

/// What tells strokes from what else there is, in pixels.
#[derive(Clone, Copy, Default)]
pub(super) struct Widths {
    /// Breaks up to so wide are bridged.
    pub bridge: f64,
    /// What is narrower is a stroke, however narrow the pen, and no gap between a stroke's end and the picture's edge.
    pub least: f64,
    /// A colour along a stroke that is narrower, and narrower than the pen, is a slip of the brush.
    pub slip: f64,
    /// A stroke may swell to less than this without being an area.
    pub swell: f64,
}

impl Widths {
    /// Those of a picture that is traced; a stroke may swell to what the stock lets be a piece, or where ink stays open to the widest
    /// shadow.
    pub fn of(raster: &Raster, panel: Size, choices: &TraceChoices, stock: &Stock) -> Widths {
        let pixel = (panel.width.to_mm() / f64::from(raster.width)).max(1e-6);
        let open = choices.ink == InkChoice::Open;
        let swell = if open { stock.least_width.max(WIDEST_SHADOW) } else { stock.least_width };
        Widths {
            bridge: choices.bridge.to_mm() / pixel,
            least: 0.0,
            slip: SLIP_MM / pixel,
            swell: swell.to_mm() / pixel,
        }
    }
}

/// A picture without its strokes.
pub(super) struct Inked {
    /// The picture, colours carried on to the centre lines.
    pub raster: Raster,
    pub strokes: Strokes,
}

/// A stroke that parts nothing.
struct Loose {
    /// Its pixels, from an end in the open on where it has one.
    path: Vec<usize>,
    ends: Ends,
    /// It is a digit or the like.
    writing: bool,
}

/// How many ends of a stroke lie in the open.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Ends {
    /// It leads from one line to another, as a stalk.
    None,
    One,
    Both,
}

/// Strokes by pixel.
pub(super) struct Strokes {
    /// The closed area that each pixel lies in.
    pub cells: Vec<u32>,
    /// The same, parted further by colours.
    pub coloured: Vec<u32>,
    /// The same, with dark areas by themselves.
    pub areas: Vec<u32>,
    /// Strokes that part nothing.
    loose: Vec<Loose>,
    /// How wide the pen is, pixels.
    pen: f64,
    /// Squared distances of strokes from what is no ink; 0 elsewhere.
    squares: Vec<u32>,
    /// By pixel of ink, half the width of its stroke there.
    halves: Vec<f32>,
    /// The pixel that each takes its colour from: itself, but in strokes.
    from: Vec<u32>,
}

/// The picture without its strokes; `None` when it has no ink.
pub fn without_ink(raster: &Raster, panel: Size, choices: &TraceChoices, stock: &Stock) -> Option<Raster> {
    Some(inked(raster, &even::plane(raster), Widths::of(raster, panel, choices, stock))?.raster)
}

/// Takes the strokes out; `None` when there is no ink.
pub(super) fn inked(raster: &Raster, plane: &[Even], Widths { bridge, least, slip, swell }: Widths) -> Option<Inked> {
    let grid = Grid::new(raster.width, raster.height);
    let opaque: Vec<bool> = raster.pixels.iter().map(|pixel| pixel[3] >= OPAQUE).collect();
    let marks = mask::ink(grid, plane, &opaque)?;
    let squares = mask::squares(grid, &marks);
    let mut bones = thin::skeleton(grid, &marks, &squares);
    let half = mask::half_pen(grid, &bones, &squares)?;
    thin::prune(grid, &mut bones, &squares, half);
    let half = mask::half_pen(grid, &bones, &squares)?;
    let broad = mask::broad(grid, &marks, &squares, (half, least, swell));
    let [dark, swells] =
        [Broad::Dark, Broad::Swell].map(|kind| -> Vec<bool> { broad.iter().map(|b| *b == kind).collect() });
    bones.iter_mut().zip(&dark).for_each(|(bone, dark)| *bone &= !dark);
    let ink = Ink { grid, marks: &marks, dark: &dark, swells: &swells, squares: &squares, half };
    let edge = bridge.max(least);
    knots::without_tips(ink, &mut bones, edge);
    let (lines, halves) = axes::centre_lines(ink, &bones, (bridge, edge));
    let mut loose = open_lines(ink, &lines);
    loose.extend(stalks(ink, &lines, &loose));
    let mut strokes = rimmed(grid, &marks, &dark);
    let with_slips = flood::sources(grid, &strokes, &lines);
    let slips = flood::slips(ink, &strokes, (plane, slip));
    strokes.iter_mut().zip(&slips).for_each(|(stroke, slip)| *stroke |= slip);
    let from = flood::sources(grid, &strokes, &lines);
    let pixels = from.iter().map(|at| raster.pixels[*at as usize]).collect();
    let raster = Raster { width: raster.width, height: raster.height, pixels };
    let (cells, areas) = (flood::cells(ink, &lines), flood::areas(ink, &lines));
    let known = |at: usize| Some(with_slips[at] as usize).filter(|from| !slips[*from]).map(|from| plane[from]);
    let coloured = flood::coloured(ink, &lines, &cells, known);
    let of_stroke = |at: usize| if marks[at] && !dark[at] { squares[at] } else { 0 };
    let squares = (0..grid.len()).map(of_stroke).collect();
    let halves = halves.into_iter().map(|half| half as f32).collect();
    let pen = 2.0 * half - 1.0;
    Some(Inked { raster, strokes: Strokes { cells, coloured, areas, loose, pen, squares, halves, from } })
}

/// Strokes that end in the open, each from its end to the line that it meets; one that meets none is listed once.
fn open_lines(ink: Ink, lines: &[bool]) -> Vec<Loose> {
    let ends = axes::open_ends(ink, lines);
    let mut others = BTreeSet::new();
    let mut found = Vec::new();
    for end in &ends {
        if others.contains(end) {
            continue;
        }
        let path = followed(ink, lines, *end);
        let other = path[path.len() - 1];
        others.insert(other);
        found.push(Loose { path, ends: if ends.contains(&other) { Ends::Both } else { Ends::One }, writing: false });
    }
    found
}

/// Strokes from one line to another with the same area on both sides, as a stalk on which a ring hangs; none of them leads to a line
/// that ends in the open.
fn stalks(ink: Ink, lines: &[bool], loose: &[Loose]) -> Vec<Loose> {
    let grid = ink.grid;
    let keys: Vec<u32> = (0..grid.len()).map(|at| if lines[at] { NOBODY } else { u32::from(ink.dark[at]) }).collect();
    let (areas, _) = components(grid, &keys);
    let one_area = |at: usize| {
        let mut beside = grid.eight(at).map(|n| areas[n]).filter(|area| *area != NOBODY);
        beside.next().is_some_and(|first| beside.all(|other| other == first))
    };
    let mut idle: Vec<bool> = (0..grid.len()).map(|at| lines[at] && !grid.on_frame(at) && one_area(at)).collect();
    loose.iter().flat_map(|line| &line.path).for_each(|at| idle[*at] = false);
    let ends: Vec<usize> = (0..grid.len()).filter(|at| idle[*at] && thin::degree(grid, &idle, *at) == 1).collect();
    let mut others = BTreeSet::new();
    let mut found: Vec<Vec<usize>> = Vec::new();
    for end in ends {
        let path = thin::walk(grid, &idle, end);
        let other = path[path.len() - 1];
        if !others.contains(&end) && path.len() as f64 >= axes::OPEN * ink.half {
            others.insert(other);
            found.push(path);
        }
    }
    // What hangs on a line that ends in the open goes on as that does.
    let mut near: BTreeSet<usize> = BTreeSet::new();
    let mut gone: Vec<Vec<usize>> = loose.iter().map(|line| line.path.clone()).collect();
    while !gone.is_empty() {
        near.extend(gone.iter().flatten().flat_map(|at| pen::within(grid, *at, 2.0 * ink.half + 2.0)).map(|of| of.1));
        (gone, found) = found.into_iter().partition(|path| path.iter().any(|at| near.contains(at)));
    }
    found.into_iter().map(|path| Loose { path, ends: Ends::None, writing: false }).collect()
}

/// A line from its end on to where it parts or ends. Pixels ahead that touch one another are one way, for lines have steps; a
/// barb shorter than half the pen is none.
fn followed(ink: Ink, lines: &[bool], end: usize) -> Vec<usize> {
    let grid = ink.grid;
    let (mut path, mut seen) = (vec![end], BTreeSet::from([end]));
    loop {
        let at = path[path.len() - 1];
        let mut ahead: Vec<usize> = grid.eight(at).filter(|n| lines[*n] && !seen.contains(n)).collect();
        if parts(grid, &ahead) {
            ahead.retain(|n| goes_on(grid, lines, (at, *n), &seen, ink.half.ceil() as usize + 1));
        }
        let straight = ahead.iter().copied().find(|n| grid.four(at).any(|m| m == *n));
        let Some(next) = straight.or(ahead.first().copied()) else { return path };
        if parts(grid, &ahead) {
            return path;
        }
        seen.insert(next);
        path.push(next);
    }
}

/// Whether pixels about one are more than one way.
fn parts(grid: Grid, ahead: &[usize]) -> bool {
    ahead.iter().any(|one| ahead.iter().any(|other| one != other && !touches(grid, ahead, (*one, *other))))
}

/// Whether a line has so many pixels more by one way.
fn goes_on(grid: Grid, lines: &[bool], (from, way): (usize, usize), seen: &BTreeSet<usize>, least: usize) -> bool {
    let (mut open, mut found) = (vec![way], BTreeSet::from([way]));
    while let Some(at) = open.pop() {
        let beside = |n: &usize| grid.eight(from).any(|m| m == *n);
        for next in grid.eight(at).filter(|n| lines[*n] && *n != from && !seen.contains(n) && !beside(n)) {
            if found.insert(next) {
                open.push(next);
            }
        }
        if found.len() >= least {
            return true;
        }
    }
    false
}

/// Whether two of a pixel's neighbours hang together by what lies between them.
fn touches(grid: Grid, among: &[usize], (one, other): (usize, usize)) -> bool {
    let next = |a: usize, b: usize| grid.eight(a).any(|n| n == b);
    next(one, other) || among.iter().any(|third| next(one, *third) && next(*third, other))
}

/// Strokes and their soft edges.
fn rimmed(grid: Grid, ink: &[bool], dark: &[bool]) -> Vec<bool> {
    let other: Vec<bool> = ink.iter().zip(dark).map(|(ink, dark)| !ink || *dark).collect();
    let near = |(square, dark): (u32, &bool)| !dark && f64::from(square) <= RIM * RIM;
    mask::squares(grid, &other).into_iter().zip(dark).zip(&other).map(|(of, other)| !other || near(of)).collect()
}

/// A pixel's width and height on the panel, µm.
fn pixel(grid: Grid, panel: Size) -> (f64, f64) {
    (f64::from(panel.width.0) / grid.width as f64, f64::from(panel.height.0) / grid.height as f64)
}

impl Strokes {
    /// Strokes that part nothing inside the subject, on the panel.
    pub fn open_lines(&self, grid: Grid, panel: Size, inside: &[bool]) -> Vec<LooseLine> {
        let (um, down) = pixel(grid, panel);
        let place = |(x, y): (f64, f64)| Point::new(((x + 0.5) * um).round() as i32, ((y + 0.5) * down).round() as i32);
        let line = |Loose { path, ends, writing }: &Loose| LooseLine {
            along: thinned(&evened(grid, path, self.pen), OFF_UM / um).into_iter().map(place).collect(),
            both: *ends == Ends::Both,
            hangs: *ends == Ends::None,
            width: Um((self.width_along(path) * um).round() as i32),
            becomes: LineBecomes::LeftOut,
            writing: *writing,
        };
        self.loose.iter().filter(|line| inside[line.path[0]]).map(line).collect()
    }

    /// Takes strokes that part nothing and lie where it is marked as writing.
    pub fn are_writing(&mut self, marked: &[bool]) {
        self.loose.iter_mut().for_each(|line| line.writing = line.path.iter().any(|at| marked[*at]));
    }

    /// Whether each pixel is the middle of a stroke that parts nothing.
    pub fn open(&self) -> Vec<bool> {
        let mut open = vec![false; self.squares.len()];
        self.loose.iter().flat_map(|line| &line.path).for_each(|at| open[*at] = true);
        open
    }

    /// How wide the stroke is along a path, pixels: the middle one of its widths, its middle between two pixels as often as not.
    fn width_along(&self, path: &[usize]) -> f64 {
        let mut squares: Vec<u32> = path.iter().map(|at| self.squares[*at]).filter(|square| *square > 0).collect();
        squares.sort_unstable();
        squares.get(squares.len() / 2).map_or(self.pen, |square| 2.0 * f64::from(*square).sqrt() - 0.5)
    }

    /// How wide the stroke is at a place of the panel; `None` where there is none.
    pub fn width(&self, grid: Grid, panel: Size, at: Point) -> Option<Um> {
        let (um, down) = pixel(grid, panel);
        let pixel = |along: i32, um: f64, side: usize| ((f64::from(along) / um) as isize).clamp(0, side as isize - 1);
        let (x, y) = (pixel(at.x, um, grid.width), pixel(at.y, down, grid.height));
        let reach = (self.pen / 4.0).ceil() as isize;
        let near = |at: isize, side: usize| (at - reach).max(0)..=(at + reach).min(side as isize - 1);
        let rows = near(y, grid.height).flat_map(|y| near(x, grid.width).map(move |x| (x, y)));
        let widest = rows.map(|(x, y)| self.squares[y as usize * grid.width + x as usize]).max()?;
        // The pixel in the middle counts once for both sides.
        (widest > 0).then(|| Um(((2.0 * f64::from(widest).sqrt() - 1.0) * um).round() as i32))
    }

    /// Whether each pixel is ink of a stroke that is wider there than `most` on the panel: the strand that leads there is, so that no
    /// crossing counts, and a disc so wide lies in the ink over it, so that the soft edge of a dark area is none.
    pub fn wider(&self, grid: Grid, panel: Size, most: Um) -> Vec<bool> {
        let (um, _) = pixel(grid, panel);
        let wide =
            |at: usize| self.squares[at] > 0 && (2.0 * f64::from(self.halves[at]) - 0.5) * um > f64::from(most.0);
        let reach = (f64::from(most.0) / um / 2.0 - 0.5).max(1.0);
        let square = (reach * reach) as u32;
        let core: Vec<bool> = (0..grid.len()).map(|at| wide(at) && self.squares[at] >= square).collect();
        if !core.contains(&true) {
            return vec![false; grid.len()];
        }
        let to_core = mask::squares(grid, &core);
        (0..grid.len()).map(|at| wide(at) && (core[at] || to_core[at] <= square)).collect()
    }

    /// Gives strokes along the ground, which ends at their middle, to it up to their far edge: where ink stays open none of it is wood,
    /// and a stroke that swells to a shadow there leaves no step.
    pub fn open_to_ground(&self, grid: Grid, inside: &mut [bool]) {
        let stroke = |at: usize| self.squares[at] > 0;
        let beside = |at: usize| grid.four(at).any(|n| inside[n] && stroke(n));
        let middles: Vec<usize> = (0..grid.len()).filter(|at| !inside[*at] && stroke(*at) && beside(*at)).collect();
        let near = middles.into_iter().flat_map(|at| pen::within(grid, at, f64::from(self.halves[at])));
        near.filter(|(_, near)| stroke(*near)).for_each(|(_, near)| inside[near] = false);
    }

    /// How wide the pen is, pixels.
    pub fn pen(&self) -> f64 {
        self.pen
    }

    /// Whether each pixel is ink of a stroke.
    pub fn ink(&self) -> impl Iterator<Item = bool> + '_ {
        self.squares.iter().map(|square| *square > 0)
    }

    /// Whether each pixel is of a stroke.
    pub fn marks(&self) -> Vec<bool> {
        self.from.iter().enumerate().map(|(at, from)| at != *from as usize).collect()
    }

    /// What keeps its region: what is frozen, and strokes.
    pub fn held(&self, mut frozen: Vec<bool>) -> Vec<bool> {
        frozen.iter_mut().zip(self.marks()).for_each(|(frozen, stroke)| *frozen |= stroke);
        frozen
    }

    /// Gives strokes the regions beside them, up to their centre lines. Crumbs that lose touch with their region by it go to
    /// what lies beside them.
    pub fn settle(&self, grid: Grid, inside: &[bool], labels: &mut [u32]) {
        let beside: Vec<u32> = self.from.iter().map(|from| labels[*from as usize]).collect();
        for at in 0..grid.len() {
            match (inside[at], beside[at]) {
                (false, _) => labels[at] = NOBODY,
                (true, NOBODY) => {}
                (true, label) => labels[at] = label,
            }
        }
        without_crumbs(grid, labels);
    }
}

/// A path of pixels with its steps evened out over about a pen; its ends stay.
fn evened(grid: Grid, path: &[usize], pen: f64) -> Vec<(f64, f64)> {
    let reach = (pen / 2.0).ceil() as usize;
    let at = |k: usize| ((path[k] % grid.width) as f64, (path[k] / grid.width) as f64);
    let mean = |k: usize| {
        let reach = reach.min(k).min(path.len() - 1 - k);
        let near = (k - reach..=k + reach).map(at);
        let (x, y) = near.fold((0.0, 0.0), |sum, p| (sum.0 + p.0, sum.1 + p.1));
        let count = (2 * reach + 1) as f64;
        (x / count, y / count)
    };
    (0..path.len()).map(mean).collect()
}

/// All but the largest part of each label goes to neighbours; what has none but ground goes to ground.
fn without_crumbs(grid: Grid, labels: &mut [u32]) {
    let (parts, count) = components(grid, labels);
    let mut sizes = vec![(0u32, NOBODY); count as usize];
    for (part, label) in parts.iter().zip(&*labels).filter(|(part, _)| **part != NOBODY) {
        sizes[*part as usize] = (sizes[*part as usize].0 + 1, *label);
    }
    let most = labels.iter().filter(|l| **l != NOBODY).max().map_or(0, |l| *l as usize + 1);
    let mut largest = vec![(0u32, NOBODY); most];
    for (part, (size, label)) in sizes.iter().enumerate() {
        if *size > largest[*label as usize].0 {
            largest[*label as usize] = (*size, part as u32);
        }
    }
    let crumb = |at: &usize| parts[*at] != NOBODY && largest[labels[*at] as usize].1 != parts[*at];
    let crumbs: Vec<usize> = (0..grid.len()).filter(crumb).collect();
    let mut open = vec![false; grid.len()];
    crumbs.iter().for_each(|at| open[*at] = true);
    let mut left = crumbs;
    loop {
        let before = left.len();
        left.retain(|at| {
            let beside = grid.four(*at).filter(|n| !open[*n]).map(|n| labels[n]).filter(|l| *l != NOBODY).min();
            if let Some(label) = beside {
                (labels[*at], open[*at]) = (label, false);
            }
            beside.is_none()
        });
        if left.len() == before {
            return left.into_iter().for_each(|at| labels[at] = NOBODY);
        }
    }
}
