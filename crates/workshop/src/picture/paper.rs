//! A line drawing on paper, scanned or photographed: straightened, its light evened, its lines black on white.
//!
//! Four corners give the plane; `drawn` tells lines from paper; the areas that they close become regions.

use std::collections::VecDeque;

use measure::length::Um;

use super::around::{owners, put_held};
use super::drawn::lines;
use super::grid::{Grid, NOBODY, components};
use super::ink::{Widths, inked};
use super::limits::{Limits, absorb};
use super::plane::{Plane, aspect, is_convex};
use super::regions::finish;
use super::trim::trim_hairs;
use super::widest::{cores, diameter};
use super::writing::writing;
use super::{Labels, Raster, Regions, even};
use crate::work::{AreaId, LooseLine, OnPaper, Refusal, Size, Stock, Way};

/// Most pixels of the straightened drawing, as of any picture.
const MOST: f64 = 3_000_000.0;
/// Of the least width and area of a piece: what has less is no area that a maker drew.
const KEPT: f64 = 0.5;
/// Where broad lines meet, their middles can run side by side for a while, so many pens apart at most: what lies between is a hair of
/// an area, no part of it.
const HAIR: f64 = 0.25;
/// Corners of less than 60 degrees lose their tips with them: so much a disc leaves of one, in squares of its radius.
const HAIR_CORNER: f64 = 0.7;
/// Ink along the sheet's edge for so long, mm, is the line of a frame that the edge cuts, and no line that runs off the sheet:
/// one as wide as a marker does so at 15 degrees.
const ALONG_MM: f64 = 20.0;
/// The longer side of a sheet of A4 is 297 mm (ISO 216); in round figures.
const A4_MM: f64 = 300.0;
/// Corners are kept in shares of so much.
const MILLION: f64 = 1e6;
/// What the cleaned drawing shows.
const BLACK: [u8; 4] = [16, 16, 16, 255];
const WHITE: [u8; 4] = [255; 4];

/// What the maker says of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Its corners, or those of the frame drawn on it, clockwise from the top left, shares of the picture's width and height; without
    /// them the whole picture is the sheet, seen straight on.
    pub corners: Option<[(f64, f64); 4]>,
    /// Between the first two corners.
    pub width: Um,
    /// Between the second and the third, where it is known.
    pub height: Option<Um>,
}

impl Sheet {
    /// The sheet of a drawing that was taken before, under its panel.
    pub fn again(paper: &OnPaper, panel: Size) -> Sheet {
        let share = |of: i32| f64::from(of) / MILLION;
        let corners = paper.corners.map(|corners| corners.map(|[x, y]| (share(x), share(y))));
        Sheet { corners, width: panel.width, height: Some(panel.height) }
    }

    /// How many times as high for its width it is laid as its corners show it in the photograph: 1 where its form is kept.
    pub fn stretch(&self, photograph: &Raster) -> Result<f64, Refusal> {
        Ok(Laid::new(photograph, self)?.stretch)
    }

    /// What is kept of it beside the photograph of this hash.
    pub fn kept(&self, hash: String) -> OnPaper {
        OnPaper { hash, corners: self.corners.map(|corners| corners.map(|(x, y)| [millionths(x), millionths(y)])) }
    }
}

/// A share of the picture's width or height as it is kept.
pub fn millionths(share: f64) -> i32 {
    (share * MILLION).round() as i32
}

/// What a drawing closes.
pub struct Closed {
    /// Its areas.
    pub regions: Regions,
    /// By label of them, which held area lies there.
    pub owners: Vec<Option<AreaId>>,
    /// Lines that part nothing.
    pub loose: Vec<LooseLine>,
    /// How many marks that close something are writing.
    pub written: usize,
}

/// The drawing seen straight on, black on white, and the size of its panel.
pub fn drawing(raster: &Raster, sheet: &Sheet) -> Result<(Raster, Size), Refusal> {
    let laid = Laid::new(raster, sheet)?;
    let luma = laid.seen(raster, |[r, g, b]| (0.299 * r + 0.587 * g + 0.114 * b) / 255.0);
    let mm = 1000.0 * laid.per_um;
    let mut ink = lines(laid.grid, &luma, (mm, mm * sheet_mm(laid.panel)));
    paper_beyond(laid.grid, &mut ink, (1000.0 * laid.per_um * ALONG_MM) as usize);
    Ok((laid.raster(ink.into_iter().map(|ink| if ink { BLACK } else { WHITE })), laid.panel))
}

/// The sheet seen straight on, as it was scanned or photographed.
pub fn sheet(raster: &Raster, sheet: &Sheet) -> Result<Raster, Refusal> {
    let laid = Laid::new(raster, sheet)?;
    let channel = |at: usize| laid.seen(raster, move |colour| colour[at]);
    let (red, green, blue) = (channel(0), channel(1), channel(2));
    let byte = |of: f32| of.round() as u8;
    Ok(laid.raster((0..laid.grid.len()).map(|at| [byte(red[at]), byte(green[at]), byte(blue[at]), 255])))
}

/// How long a millimetre of the drawing is, mm of the panel. A drawing is made on a sheet of A4 or less, or its lines, digits and shadows
/// are as much larger as the sheet is: so what is writing, shadow or speck does not hang on the width that the work is to have.
fn sheet_mm(panel: Size) -> f64 {
    (panel.width.max(panel.height).to_mm() / A4_MM).max(1.0)
}

/// Refuses corners, millionths of a picture's width and height, that do not go round a sheet in it.
pub fn go_round(corners: &[[i32; 2]; 4]) -> Result<(), Refusal> {
    let within = corners.iter().flatten().all(|share| (0..=MILLION as i32).contains(share));
    if !within || !is_convex(&corners.map(|[x, y]| (f64::from(x), f64::from(y)))) {
        return Err(crooked());
    }
    Ok(())
}

/// A sheet straightened onto pixels.
struct Laid {
    plane: Plane,
    grid: Grid,
    panel: Size,
    /// Pixels for each µm.
    per_um: f64,
    /// How many times as high for its width as the sheet itself it is laid.
    stretch: f64,
}

impl Laid {
    fn new(raster: &Raster, sheet: &Sheet) -> Result<Laid, Refusal> {
        let whole = (f64::from(raster.width), f64::from(raster.height));
        let edges = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        // What is kept of the corners gives the same drawing again.
        let kept = sheet.corners.unwrap_or(edges).map(|(x, y)| [millionths(x), millionths(y)]);
        go_round(&kept)?;
        let pixels = |share: i32, whole: f64| f64::from(share) / MILLION * whole;
        let corners = kept.map(|[x, y]| (pixels(x, whole.0), pixels(y, whole.1)));
        if !is_convex(&corners) {
            return Err(crooked());
        }
        let seen = aspect(&corners, (whole.0 / 2.0, whole.1 / 2.0)).ok_or_else(crooked)?;
        let height = sheet.height.unwrap_or(Um((f64::from(sheet.width.0) * seen).round() as i32));
        let size = (f64::from(sheet.width.0), f64::from(height.0));
        let stretch = size.1 / (size.0 * seen);
        let plane = Plane::new(&corners, size).ok_or_else(crooked)?;
        let far = |a: (f64, f64), b: (f64, f64)| libm::hypot(a.0 - b.0, a.1 - b.1);
        let across = far(corners[0], corners[1]).max(far(corners[3], corners[2]));
        let down = far(corners[1], corners[2]).max(far(corners[0], corners[3]));
        let per_um = (across / size.0).max(down / size.1).min((MOST / (size.0 * size.1)).sqrt());
        let side = |um: f64| (um * per_um).round().max(1.0) as usize;
        let grid = Grid { width: side(size.0), height: side(size.1) };
        Ok(Laid { plane, grid, panel: Size { width: sheet.width, height }, per_um, stretch })
    }

    fn raster(&self, pixels: impl Iterator<Item = [u8; 4]>) -> Raster {
        Raster { width: self.grid.width as u32, height: self.grid.height as u32, pixels: pixels.collect() }
    }

    /// What `of` makes of the sheet's colours, between pixels by how near they are.
    fn seen(&self, raster: &Raster, of: impl Fn([f32; 3]) -> f32) -> Vec<f32> {
        let (width, height) = (raster.width as usize, raster.height as usize);
        let value = |x: usize, y: usize| {
            let [r, g, b, _] = raster.pixels[y.min(height - 1) * width + x.min(width - 1)];
            of([r, g, b].map(f32::from))
        };
        let (grid, plane) = (self.grid, &self.plane);
        let step = (plane.size.0 / grid.width as f64, plane.size.1 / grid.height as f64);
        (0..grid.len())
            .map(|at| {
                let on = ((at % grid.width) as f64 + 0.5, (at / grid.width) as f64 + 0.5);
                let (x, y) = plane.to_photo((on.0 * step.0, on.1 * step.1));
                let (x, y) = ((x - 0.5).max(0.0), (y - 0.5).max(0.0));
                let (left, top, u, v) = (x as usize, y as usize, x.fract() as f32, y.fract() as f32);
                let row = |y: usize| value(left, y) * (1.0 - u) + value(left + 1, y) * u;
                row(top) * (1.0 - v) + row(top + 1) * v
            })
            .collect()
    }
}

/// The areas that the lines of a drawing on paper close, each by itself, and lines that part nothing, but for writing. Breaks up
/// to `bridge` wide are bridged. What has less than `KEPT` of the least width or area of `stock` goes to
/// what lies around it, and so does the outer half of a frame's line beside which the corners were set. `held` says by pixel the id
/// of an area that stays as it lies, 0 for none.
pub fn closed(
    drawing: &Raster,
    (panel, bridge): (Size, Um),
    stock: &Stock,
    held: Option<&Labels>,
) -> Result<Closed, Refusal> {
    let grid = Grid::new(drawing.width, drawing.height);
    let pixel = panel.width.to_mm() / grid.width as f64;
    let narrow = KEPT * stock.least_width.to_mm() / pixel;
    let widths = Widths { bridge: bridge.to_mm() / pixel, least: narrow, slip: 0.0, swell: 0.0 };
    let mut found = inked(drawing, &even::plane(drawing), widths).ok_or_else(no_line)?;
    let limits = Limits {
        width: narrow,
        area: (KEPT * f64::from(stock.least_area_mm2) / (pixel * pixel)).ceil() as i64,
        keep: true,
        ..Limits::new(grid, panel, stock)
    };
    let ink: Vec<bool> = drawing.pixels.iter().map(|pixel| *pixel == BLACK).collect();
    let written = writing(grid, &ink, &found.strokes.areas, &found.strokes, sheet_mm(panel) / pixel);
    found.strokes.are_writing(&written.ink);
    let outside = |area: &u32| *written.loops.get(area).unwrap_or(area);
    let mut labels: Vec<u32> = found.strokes.areas.iter().map(outside).collect();
    let mut count = labels.iter().max().map_or(0, |most| most + 1);
    if let Some(held) = held {
        labels.iter_mut().zip(&held.of).filter(|(_, id)| **id != 0).for_each(|(label, _)| *label = NOBODY);
        (labels, count) = components(grid, &labels);
    }
    without_rims(grid, &found.strokes.marks(), (&mut labels, count), narrow);
    let plane = even::plane(&found.raster);
    let hair = HAIR * found.strokes.pen();
    let pointed = Limits { corner: HAIR_CORNER, ..limits };
    count = trim_hairs(grid, &plane, (&mut labels, count), pointed, hair);
    absorb(grid, &plane, &mut labels, count, limits);
    let inside = vec![true; grid.len()];
    let loose = found.strokes.open_lines(grid, panel, &inside);
    let Some(held) = held else {
        let regions = finish(grid, labels, count, Vec::new());
        return Ok(Closed { owners: vec![None; regions.ground.len()], regions, loose, written: written.marks });
    };
    put_held(grid, &inside, &held.of, count, &mut labels);
    let most = count + held.of.iter().max().map_or(0, |id| id + 1);
    let regions = finish(grid, labels, most, Vec::new());
    let owners = owners(&regions, held);
    Ok(Closed { regions, owners, loose, written: written.marks })
}

/// Beyond the sheet is paper, so that what is left of a frame's line is as wide as it seems: ink goes from the outermost pixels
/// where it runs along them for `long`, and there is more of it behind.
fn paper_beyond(grid: Grid, ink: &mut [bool], long: usize) {
    let (width, height) = (grid.width, grid.height);
    let row = |y: usize| (0..width).map(|x| y * width + x).collect();
    let column = |x: usize| (0..height).map(|y| y * width + x).collect();
    let sides: [Vec<usize>; 4] = [row(0), row(height - 1), column(0), column(width - 1)];
    let runs = sides.iter().flat_map(|side| side.chunk_by(|one, other| ink[*one] == ink[*other]));
    let along = runs.filter(|run| ink[run[0]] && run.len() >= long).flatten();
    let cut: Vec<usize> = along.copied().filter(|at| grid.eight(*at).all(|n| ink[n])).collect();
    cut.into_iter().for_each(|at| ink[at] = false);
}

/// Gives areas that are nothing but strokes to what lies beside them, and those at the sheet's edge also where they show no paper
/// that is `least` pixels wide.
fn without_rims(grid: Grid, strokes: &[bool], (labels, count): (&mut [u32], u32), least: f64) {
    let shown = |(label, stroke): (&u32, &bool)| if *stroke { NOBODY } else { *label };
    let paper: Vec<u32> = labels.iter().zip(strokes).map(shown).collect();
    let mut at_edge = vec![false; count as usize];
    let on_edge = (0..grid.len()).filter(|at| grid.on_frame(*at) && labels[*at] != NOBODY);
    on_edge.for_each(|at| at_edge[labels[at] as usize] = true);
    let narrow = |(core, at_edge): ((u32, usize), bool)| core.0 == 0 || at_edge && diameter(core.0) < least;
    let rims: Vec<bool> = cores(grid, &paper, count).into_iter().zip(at_edge).map(narrow).collect();
    let is_rim = |label: u32| label != NOBODY && rims[label as usize];
    let stays = |at: &usize| labels[*at] != NOBODY && !is_rim(labels[*at]);
    let mut open: VecDeque<usize> = (0..grid.len()).filter(stays).collect();
    while let Some(at) = open.pop_front() {
        for next in grid.four(at) {
            if is_rim(labels[next]) {
                labels[next] = labels[at];
                open.push_back(next);
            }
        }
    }
}

fn no_line() -> Refusal {
    Refusal::new(
        "There is no line on the paper: nothing that is darker than its surroundings and longer than a letter.",
    )
    .way(Way::advice(
        "Draw darker, or scan more finely; a picture that is no line drawing is planned without --on-paper.",
    ))
}

fn crooked() -> Refusal {
    Refusal::new("The four corners do not go round a sheet: two coincide, one lies outside, or they are not clockwise.")
        .way(Way::advice(
            "Give them clockwise as seen, from the top left, in percent of the picture's width and height.",
        ))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Dark ink on white paper, 900 by 600 pixels.
    fn picture(ink: impl Fn(f64, f64) -> bool) -> Raster {
        let grey = |at: u32| if ink(f64::from(at % 900) + 0.5, f64::from(at / 900) + 0.5) { 32 } else { 244 };
        let pixels = (0..900 * 600).map(|at| [grey(at), grey(at), grey(at), 255]).collect();
        Raster { width: 900, height: 600, pixels }
    }

    #[test]
    fn the_sheet_is_seen_straight_on_in_its_colours() {
        // A sheet of two colours, seen in perspective.
        let corners = [(0.2, 0.1), (0.7, 0.2), (0.9, 0.9), (0.1, 0.8)];
        let size = (200_000.0, 150_000.0);
        let plane = Plane::new(&corners.map(|(x, y)| (x * 900.0, y * 600.0)), size).expect("a plane");
        let colour = |at: u32| {
            let pixel = (f64::from(at % 900) + 0.5, f64::from(at / 900) + 0.5);
            let on = plane.on_plane(pixel).filter(|(u, v)| (0.0..1.0).contains(u) && (0.0..1.0).contains(v));
            on.map_or([0, 0, 0, 255], |(u, _)| if u < 0.25 { [200, 40, 40, 255] } else { [40, 40, 200, 255] })
        };
        let raster = Raster { width: 900, height: 600, pixels: (0..900 * 600).map(colour).collect() };
        // The plane is 150 mm high; laid half as high again it is told as stretched.
        let stretch = |mm: f64| {
            let laid = Sheet { corners: Some(corners), width: Um(200_000), height: Some(Um::mm(mm)) };
            laid.stretch(&raster).expect("a sheet")
        };
        assert!((stretch(225.0) / stretch(150.0) - 1.5).abs() < 1e-9);
        let whole = Sheet { corners: None, width: Um(300_000), height: None };
        assert!((whole.stretch(&raster).expect("a sheet") - 1.0).abs() < 1e-6);
        let laid = Sheet { corners: Some(corners), width: Um(200_000), height: Some(Um(150_000)) };
        let seen = sheet(&raster, &laid).expect("a sheet");
        let at = |u: f64, v: f64| {
            let (x, y) = ((f64::from(seen.width) * u) as usize, (f64::from(seen.height) * v) as usize);
            seen.pixels[y * seen.width as usize + x]
        };
        for v in [0.02, 0.5, 0.98] {
            assert_eq!([at(0.02, v), at(0.24, v)], [[200, 40, 40, 255]; 2]);
            assert_eq!([at(0.26, v), at(0.98, v)], [[40, 40, 200, 255]; 2]);
        }
    }

    #[test]
    fn corners_that_go_round_no_sheet_are_refused() {
        let raster = Raster { width: 100, height: 100, pixels: vec![[255; 4]; 10_000] };
        for corners in [
            [(0.1, 0.1), (0.1, 0.1), (0.9, 0.9), (0.1, 0.9)],
            [(0.1, 0.1), (0.1, 0.9), (0.9, 0.9), (0.9, 0.1)],
            [(0.1, 0.1), (1.2, 0.1), (0.9, 0.9), (0.1, 0.9)],
        ] {
            let sheet = Sheet { corners: Some(corners), width: Um(150_000), height: None };
            assert!(drawing(&raster, &sheet).expect_err("no sheet").what.contains("corners"));
        }
    }

    #[test]
    fn paper_without_a_line_is_refused() {
        fn noise(at: u32) -> u8 {
            (at.wrapping_mul(2_654_435_761) >> 24) as u8
        }
        let greys: [fn(u32) -> u8; 4] = [|_| 255, |_| 0, |at| 225 + noise(at) % 12, noise];
        for grey in greys {
            let pixels = (0..600 * 400).map(|at| [grey(at), grey(at), grey(at), 255]).collect();
            let raster = Raster { width: 600, height: 400, pixels };
            let sheet = Sheet { corners: None, width: Um(150_000), height: None };
            let (clean, panel) = drawing(&raster, &sheet).expect("the whole picture is a sheet");
            let told = closed(&clean, (panel, Um(1000)), &Stock::thin(), None).err().expect("nothing is drawn");
            assert!(told.what.contains("no line"), "{}", told.what);
        }
    }

    /// A frame with a cross in it, and corners from the paper outside the frame to the inner edge of its line.
    #[test]
    fn the_outer_part_of_a_frames_line_is_no_area() {
        let near = |at: f64, of: f64| (at - of).abs() < 0.008;
        let ink = |x: f64, y: f64| {
            let within = |at: f64| at > 0.092 && at < 0.908;
            let line = |at: f64| near(at, 0.1) || near(at, 0.5) || near(at, 0.9);
            within(x) && line(y) || within(y) && line(x)
        };
        let raster = picture(|x, y| ink(x / 900.0, y / 600.0));
        let edges = [0.091, 0.092, 0.0935, 0.095, 0.0972, 0.0975, 0.098, 0.0985, 0.099, 0.1, 0.102, 0.106];
        for (edge, areas) in edges.map(|edge| (edge, 4)).into_iter().chain([(0.08, 5)]) {
            let corners = [(edge, edge), (1.0 - edge, edge), (1.0 - edge, 1.0 - edge), (edge, 1.0 - edge)];
            let sheet = Sheet { corners: Some(corners), width: Um(300_000), height: None };
            let (clean, panel) = drawing(&raster, &sheet).expect("four corners of a sheet");
            let found = closed(&clean, (panel, Um(0)), &Stock::thin(), None).expect("a cross in a frame");
            assert_eq!((found.owners.len(), found.loose.len()), (areas, 0), "{edge}");
        }
    }

    /// A cross in a frame, one arm of it broken, a stroke of 20 mm by itself, and 40 marks as high as digits: ticks, plain strokes, and rings
    /// with a tail.
    #[test]
    fn writing_is_no_line() {
        let along = |p: (f64, f64), a: (f64, f64), b: (f64, f64)| {
            let (ux, uy) = (b.0 - a.0, b.1 - a.1);
            let t = (((p.0 - a.0) * ux + (p.1 - a.1) * uy) / (ux * ux + uy * uy)).clamp(0.0, 1.0);
            libm::hypot(p.0 - a.0 - t * ux, p.1 - a.1 - t * uy)
        };
        let mark = |k: u32, x: f64, y: f64| match k % 3 {
            0 => along((x, y), (0.0, 0.0), (6.0, -12.0)).min(along((x, y), (6.0, -12.0), (-3.0, -12.0))),
            1 => along((x, y), (0.0, 0.0), (0.0, -13.0)),
            _ => (libm::hypot(x, y) - 5.0).abs().min(along((x, y), (-4.0, -2.0), (2.0, -14.0))),
        };
        let ink = |x: f64, y: f64| {
            let frame = (x - 450.0).abs().max((y - 300.0).abs() * 1.5) - 440.0;
            let cross =
                if (600.0..612.0).contains(&x) { (x - 450.0).abs() } else { (x - 450.0).abs().min((y - 300.0).abs()) };
            let slot = along((x, y), (100.0, 150.0), (160.0, 150.0));
            let marks = (0..40)
                .map(|k| mark(k, x - f64::from(60 + k % 10 * 85), y - f64::from([80, 220, 380, 520][k as usize / 10])));
            marks.fold(frame.abs().min(cross).min(slot), f64::min) < 2.0
        };
        let sheet = Sheet { corners: None, width: Um(300_000), height: None };
        let (clean, panel) = drawing(&picture(ink), &sheet).expect("the whole picture is a sheet");
        let found = closed(&clean, (panel, Um(0)), &Stock::thick(), None).expect("a cross in a frame");
        let (written, meant): (Vec<_>, Vec<_>) = found.loose.iter().partition(|line| line.writing);
        // What is left of the rings' tails is shorter than a stroke.
        assert_eq!(written.len(), 27);
        let mut kinds: Vec<_> = meant.iter().map(|line| (line.both, line.hangs)).collect();
        kinds.sort();
        assert_eq!(kinds, [(false, false), (false, false), (true, false)], "both sides of the break, and the stroke");
    }

    /// A wave and two steep lines, and a flat one in a corner: they run off the sheet, or end a little before its edge.
    #[test]
    fn the_sheets_edge_closes_areas() {
        for (short, pen) in [(-5.0, 3.0), (-5.0, 5.0), (-5.0, 9.0), (2.0, 3.0), (2.0, 5.0), (4.0, 5.0), (2.0, 9.0)] {
            let ink = |x: f64, y: f64| {
                let within = x > short && y > short && x < 900.0 - short && y < 600.0 - short;
                let lines = [
                    y - 300.0 - 60.0 * libm::sin(x / 140.0),
                    x - 300.0 - 0.05 * y,
                    x - 640.0 + 0.13 * y,
                    (y + 0.3 * x - 70.0) * 0.96,
                ];
                within && lines.iter().any(|off| off.abs() < pen / 2.0)
            };
            let sheet = Sheet { corners: None, width: Um(300_000), height: None };
            let (clean, panel) = drawing(&picture(ink), &sheet).expect("the whole picture is a sheet");
            let found = closed(&clean, (panel, Um(0)), &Stock::thick(), None).expect("lines that run off the sheet");
            assert_eq!((found.owners.len(), found.loose.len()), (7, 0), "{short} {pen}");
        }
    }
}
