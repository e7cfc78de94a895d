//! Drawings whose centre lines are known: they are drawn with a pen about them.

use measure::Watch;
use measure::length::Um;

use super::*;
use crate::picture::{regions, tree};
use crate::work::{GroundChoice, InkChoice, Size, Stock, TraceChoices};

type At = (f64, f64);

const SIDE: u32 = 420;
const PAPER: [u8; 4] = [250, 248, 240, 255];
const INK: [u8; 4] = [20, 18, 22, 255];

/// Lines that part areas: a frame, one that crosses it aslant, one that crosses that, a T, and a sharp corner.
const PARTING: [[At; 2]; 10] = [
    [(40.0, 40.0), (380.0, 40.0)],
    [(380.0, 40.0), (380.0, 380.0)],
    [(380.0, 380.0), (40.0, 380.0)],
    [(40.0, 380.0), (40.0, 40.0)],
    [(40.0, 190.0), (380.0, 230.0)],
    [(210.0, 40.0), (165.0, 380.0)],
    [(300.0, 220.6), (300.0, 380.0)],
    [(40.0, 110.0), (120.0, 140.0)],
    [(120.0, 140.0), (90.0, 195.9)],
    [(290.0, 40.0), (380.0, 150.0)],
];
/// A stroke that parts nothing.
const OPEN: [At; 2] = [(70.0, 300.0), (130.0, 330.0)];
/// A dark area: its middle and radius.
const DARK: (At, f64) = ((255.0, 130.0), 34.0);

fn off(p: At, [a, b]: [At; 2]) -> f64 {
    let (ux, uy) = (b.0 - a.0, b.1 - a.1);
    let t = (((p.0 - a.0) * ux + (p.1 - a.1) * uy) / (ux * ux + uy * uy)).clamp(0.0, 1.0);
    libm::hypot(p.0 - a.0 - t * ux, p.1 - a.1 - t * uy)
}

fn off_lines(p: At) -> f64 {
    PARTING.iter().map(|line| off(p, *line)).fold(f64::MAX, f64::min)
}

/// The lines drawn with a pen, edges soft; to the right of the slanting line all is warmer.
fn drawn(pen: f64) -> Raster {
    let pixel = |at: u32| {
        let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
        let from_pen = off_lines(p).min(off(p, OPEN)) - pen / 2.0;
        let from_dark = libm::hypot(p.0 - DARK.0.0, p.1 - DARK.0.1) - DARK.1;
        let share = (0.5 - from_pen.min(from_dark)).clamp(0.0, 1.0);
        std::array::from_fn(|k| (f64::from(PAPER[k]) * (1.0 - share) + f64::from(INK[k]) * share).round() as u8)
    };
    Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() }
}

fn taken_out(pen: f64) -> (Raster, Inked) {
    let raster = drawn(pen);
    let found = inked(&raster, &even::plane(&raster), Widths::default()).expect("there is ink");
    (raster, found)
}

/// Where cells meet, in pixels: the middle between two.
fn borders(cells: &[u32]) -> Vec<At> {
    let side = SIDE as usize;
    let across = (0..cells.len()).filter(|at| at % side + 1 < side && cells[*at] != cells[at + 1]);
    let down = (0..cells.len() - side).filter(|at| cells[*at] != cells[at + side]);
    let place = |at: usize, dx: f64, dy: f64| ((at % side) as f64 + dx, (at / side) as f64 + dy);
    across.map(|at| place(at, 1.0, 0.5)).chain(down.map(|at| place(at, 0.5, 1.0))).collect()
}

/// Mean and 95th percentile.
fn spread(mut values: Vec<f64>) -> (f64, f64) {
    values.sort_by(f64::total_cmp);
    (values.iter().sum::<f64>() / values.len() as f64, values[values.len() * 95 / 100])
}

#[test]
fn strokes_close_to_their_centre_lines() {
    for pen in [5.0, 9.0, 16.0] {
        let (_, found) = taken_out(pen);
        let cells = &found.strokes.cells;
        let mut sizes = std::collections::BTreeMap::<u32, usize>::new();
        cells.iter().for_each(|cell| *sizes.entry(*cell).or_default() += 1);
        // Beyond the frame; four about the crossing, of which the T, the corner and the one aslant each part one more.
        assert_eq!(sizes.values().filter(|size| **size > 40).count(), 8, "pen {pen}: {sizes:?}");
        let met = borders(cells);
        let (mean, most) = spread(met.iter().map(|p| off_lines(*p)).collect());
        assert!(mean <= 0.75 && most <= 1.0 + 0.08 * pen, "pen {pen}: {mean} {most}");
        // Every place of every line that parts two areas lies at a border.
        let along = |[a, b]: [At; 2]| {
            (1..40).map(move |k| f64::from(k) / 40.0).map(move |t| (a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t))
        };
        let gaps = PARTING
            .into_iter()
            .flat_map(along)
            .map(|p| met.iter().map(|q| libm::hypot(p.0 - q.0, p.1 - q.1)).fold(f64::MAX, f64::min));
        let (_, far) = spread(gaps.collect());
        assert!(far <= 1.0 + 0.08 * pen, "pen {pen}: {far}");
    }
}

/// Two strokes that run together at eight degrees, and one half as broad again as the pen: every place of both lines lies at a
/// border, also where nothing is seen between them, and the broad one has one border. The skeleton passes half-way between.
#[test]
fn strokes_that_run_together_keep_their_own_middles() {
    let together = [[(40.0, 200.0), (380.0, 215.0)], [(40.0, 248.0), (380.0, 215.0)]];
    let broad = [(40.0, 320.0), (380.0, 320.0)];
    let pen = 24.0;
    let lines: Vec<[At; 2]> = PARTING[..4].iter().copied().chain(together).collect();
    let from = |p: At| lines.iter().map(|line| off(p, *line)).fold(f64::MAX, f64::min);
    let pixel = |at: u32| {
        let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
        let edge = (from(p) - pen / 2.0).min(off(p, broad) - 0.6 * pen);
        let share = (0.5 - edge).clamp(0.0, 1.0);
        std::array::from_fn(|k| (f64::from(PAPER[k]) * (1.0 - share) + f64::from(INK[k]) * share).round() as u8)
    };
    let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
    let found = inked(&raster, &even::plane(&raster), Widths::default()).expect("there is ink");
    let met = borders(&found.strokes.cells);
    let reach = |p: At| met.iter().map(|q| libm::hypot(p.0 - q.0, p.1 - q.1)).fold(f64::MAX, f64::min);
    let along = |[a, b]: [At; 2], to: f64| {
        (1..40).map(move |k| to * f64::from(k) / 40.0).map(move |t| (a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t))
    };
    // Two lines nearer than a few pixels are one; the skeleton would be half a pen off from where no paper is seen between them.
    let (mean, most) = spread(together.into_iter().flat_map(|line| along(line, 0.9)).map(reach).collect());
    assert!(mean <= 1.2 && most <= 3.0, "{mean} {most}");
    assert!(spread(along(broad, 1.0).map(reach).collect()).1 <= 1.0);
    let (_, most) = spread(met.iter().map(|p| from(*p).min(off(*p, broad))).collect());
    assert!(most <= 1.5, "{most}");
}

/// What fronts that flood the strokes from all sides come to is worse at knots, so the test above can fail.
#[test]
fn flooding_alone_is_worse() {
    let pen = 16.0;
    let (raster, found) = taken_out(pen);
    let grid = Grid::new(SIDE, SIDE);
    let ink = mask::ink(Grid::new(SIDE, SIDE), &even::plane(&raster), &vec![true; raster.pixels.len()])
        .expect("there is ink");
    let keys: Vec<u32> = ink.iter().map(|ink| if *ink { NOBODY } else { 0 }).collect();
    let from = flood::sources(grid, &ink, &vec![false; ink.len()]);
    let (parts, _) = components(grid, &keys);
    let flooded: Vec<u32> = from.iter().map(|at| parts[*at as usize]).collect();
    let worst = |cells: &[u32]| {
        spread(
            borders(cells)
                .into_iter()
                .filter(|p| libm::hypot(p.0 - DARK.0.0, p.1 - DARK.0.1) > 60.0)
                .map(off_lines)
                .collect(),
        )
        .1
    };
    assert!(worst(&flooded) > 1.5 * worst(&found.strokes.cells), "{} {}", worst(&flooded), worst(&found.strokes.cells));
}

#[test]
fn dark_areas_stay_and_strokes_go() {
    let (_, found) = taken_out(10.0);
    let at = |x: f64, y: f64| found.raster.pixels[y as usize * SIDE as usize + x as usize];
    assert_eq!(at(DARK.0.0, DARK.0.1), INK);
    assert_eq!(at(100.0, 315.0), PAPER);
    assert_eq!(at(40.0, 280.0), PAPER);
    let dark = found.raster.pixels.iter().filter(|p| p[0] < 120).count() as f64;
    let disc = std::f64::consts::PI * DARK.1 * DARK.1;
    assert!((dark / disc - 1.0).abs() < 0.06, "{dark} {disc}");
}

#[test]
fn a_picture_without_ink_has_none() {
    let pixels = (0..90 * 60).map(|at| if at % 90 < 40 { [200, 120, 60, 255] } else { [90, 160, 200, 255] }).collect();
    let plain = Raster { width: 90, height: 60, pixels };
    let panel = Size { width: Um(90_000), height: Um(60_000) };
    let choices = TraceChoices { ink: InkChoice::Close, ..TraceChoices::default() };
    assert!(without_ink(&plain, panel, &choices, &Stock::thin()).is_none());
    // What is transparent is often black beneath.
    let clear = |at: usize| if at % 90 < 20 { [0, 0, 0, 0] } else { plain.pixels[at] };
    let shaped = Raster { width: 90, height: 60, pixels: (0..90 * 60).map(clear).collect() };
    assert!(without_ink(&shaped, panel, &choices, &Stock::thin()).is_none());
    let refusal =
        tree(&plain, panel, &choices, &Stock::thin(), Watch::silent()).err().expect("there is nothing to close");
    assert!(refusal.what.contains("no ink"), "{refusal}");
}

/// Where ink stays open each stroke goes by its own width: a line of 1.4 mm that meets one of 3.45 mm is no shadow, and that
/// one is, though the pen is the narrow one's.
#[test]
fn a_stroke_is_shadow_by_its_own_width() {
    let lines: [([At; 2], f64); 4] = [
        ([(0.0, 210.0), (420.0, 210.0)], 14.5),
        ([(140.0, 0.0), (140.0, 210.0)], 6.0),
        ([(280.0, 0.0), (280.0, 210.0)], 6.0),
        ([(210.0, 210.0), (210.0, 420.0)], 6.0),
    ];
    let pixel = |at: u32| {
        let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
        let from = lines.iter().map(|(line, pen)| off(p, *line) - pen / 2.0).fold(f64::MAX, f64::min);
        let share = (0.5 - from).clamp(0.0, 1.0);
        std::array::from_fn(|k| (f64::from(PAPER[k]) * (1.0 - share) + f64::from(INK[k]) * share).round() as u8)
    };
    let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
    let panel = Size { width: Um::mm(100.0), height: Um::mm(100.0) };
    let choices = TraceChoices { ground: GroundChoice::Keep, ink: InkChoice::Open, ..TraceChoices::default() };
    let tree = tree(&raster, panel, &choices, &Stock::thin(), Watch::silent()).expect("it can be read");
    let at = |x: f64, y: f64| tree.is_shadow(panel, Point::new((x * 100e3 / 420.0) as i32, (y * 100e3 / 420.0) as i32));
    assert!(at(70.0, 210.0) && at(205.0, 205.0) && at(350.0, 215.0), "the wide line is shadow all along");
    assert!(!at(140.0, 100.0) && !at(280.0, 180.0) && !at(210.0, 250.0), "narrow lines are none");
}

/// Where ink stays open a slender stroke is shadow from 3 to 6 mm, and an area beyond; a dark spot of any size has no shadow about it.
#[test]
fn slender_strokes_are_shadow_and_spots_have_no_rims() {
    let px = f64::from(SIDE) / 100.0;
    let far = |p: At, q: At| libm::hypot(p.0 - q.0, p.1 - q.1);
    let mm = |x: f64, y: f64| (x * px, y * px);
    let lines: [([At; 2], f64); 5] = [
        ([mm(0.0, 15.0), mm(100.0, 15.0)], 1.4),
        ([mm(0.0, 85.0), mm(100.0, 85.0)], 1.4),
        ([mm(20.0, 0.0), mm(20.0, 100.0)], 4.2),
        ([mm(40.0, 0.0), mm(40.0, 100.0)], 5.5),
        ([mm(60.0, 0.0), mm(60.0, 100.0)], 7.5),
    ];
    let spots = [(mm(80.0, 30.0), 4.0), (mm(90.0, 50.0), 2.6), (mm(78.0, 65.0), 6.0)];
    let pixel = |at: u32| {
        let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
        let drawn = lines.iter().map(|(line, pen)| off(p, *line) - pen * px / 2.0);
        let spotted = spots.iter().map(|(middle, r)| far(p, *middle) - r * px);
        let from = drawn.chain(spotted).fold(f64::MAX, f64::min);
        let share = (0.5 - from).clamp(0.0, 1.0);
        std::array::from_fn(|k| (f64::from(PAPER[k]) * (1.0 - share) + f64::from(INK[k]) * share).round() as u8)
    };
    let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
    let panel = Size { width: Um::mm(100.0), height: Um::mm(100.0) };
    let choices = TraceChoices { ground: GroundChoice::Keep, ink: InkChoice::Open, ..TraceChoices::default() };
    for stock in [Stock::thin(), Stock::thick()] {
        let tree = tree(&raster, panel, &choices, &stock, Watch::silent()).expect("it can be read");
        let at = |x: f64, y: f64| tree.is_shadow(panel, Point::new((x * 1000.0) as i32, (y * 1000.0) as i32));
        for y in [5.0, 30.0, 50.0, 70.0, 95.0] {
            assert_eq!([20.0, 40.0, 60.0].map(|x| at(x, y)), [true, true, false], "{y} mm down");
        }
        let about = |(middle, r): &(At, f64)| {
            let near =
                |at: &usize| far(((at % SIDE as usize) as f64, (at / SIDE as usize) as f64), *middle) < (r + 2.0) * px;
            (0..tree.seen.shadow.len()).filter(near).filter(|at| tree.seen.shadow[*at]).count()
        };
        assert_eq!(spots.map(|spot| about(&spot)), [0; 3]);
    }
}

/// A disc on a plain ground, its outline swelling from 1.2 to 4.6 mm and back: where ink stays open the wood ends all round where the
/// outline begins, without a step where that is wide enough to be a shadow.
#[test]
fn an_outline_that_swells_along_the_ground_leaves_no_step() {
    let px = f64::from(SIDE) / 100.0;
    let (middle, radius) = ((210.0, 210.0), 140.0);
    let pen = |turn: f64| (2.9 - 1.7 * libm::cos(turn)) * px;
    let polar = |at: u32| {
        let (x, y) = (f64::from(at % SIDE) + 0.5 - middle.0, f64::from(at / SIDE) + 0.5 - middle.1);
        (libm::hypot(x, y), libm::atan2(y, x))
    };
    let pixel = |at: u32| {
        let (far, turn) = polar(at);
        let share = (0.5 + pen(turn) / 2.0 - (far - radius).abs()).clamp(0.0, 1.0);
        let under = if far < radius { [170, 110, 60, 255] } else { PAPER };
        std::array::from_fn(|k| (f64::from(under[k]) * (1.0 - share) + f64::from(INK[k]) * share).round() as u8)
    };
    let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
    let panel = Size { width: Um::mm(100.0), height: Um::mm(100.0) };
    let choices = TraceChoices { ink: InkChoice::Open, ..TraceChoices::default() };
    let tree = tree(&raster, panel, &choices, &Stock::thin(), Watch::silent()).expect("it can be read");
    for at in 0..SIDE * SIDE {
        let (far, turn) = polar(at);
        let beyond = far - (radius - pen(turn) / 2.0);
        if beyond.abs() > 2.0 {
            assert_eq!(tree.seen.inside[at as usize], beyond < 0.0, "{beyond} pixels beyond at {turn} of {far}");
        }
    }
}

/// Through the whole of tracing: pieces meet at the centre lines, the dark area is one of them; with ink left as it is they
/// meet at its edges.
#[test]
fn regions_meet_at_the_centre_lines() {
    let pen = 9.0;
    let raster = drawn(pen);
    let panel = Size { width: Um(210_000), height: Um(210_000) };
    let met = |ink: InkChoice, pieces: u32| {
        let choices = TraceChoices { pieces, ground: GroundChoice::Keep, ink, ..TraceChoices::default() };
        let tree = tree(&raster, panel, &choices, &Stock::thin(), Watch::silent()).expect("a picture with shapes");
        let found = regions(&tree, panel, &choices, &Stock::thin(), Watch::silent()).expect("nothing stops it");
        let away = |p: &At| libm::hypot(p.0 - DARK.0.0, p.1 - DARK.0.1) > DARK.1 + 8.0;
        (found.ground.len(), spread(borders(&found.labels.of).into_iter().filter(away).map(off_lines).collect()))
    };
    let (count, (mean, most)) = met(InkChoice::Close, 9);
    assert_eq!(count, 9);
    assert!(mean <= 1.0 && most <= 2.5, "{mean} {most}");
    let (_, (left, _)) = met(InkChoice::Leave, 9);
    assert!(left > 2.0 * mean, "{left} {mean}");
}

/// A line across a frame with a break of 12 pixels: it parts the frame only once the break is bridged, and not when what is
/// bridged is narrower.
#[test]
fn breaks_are_bridged_up_to_a_width() {
    let lines = [[(40.0, 200.0), (203.0, 205.0)], [(223.0, 205.6), (380.0, 210.0)]];
    let pixel = |at: u32| {
        let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
        let from = PARTING[..4].iter().chain(&lines).map(|line| off(p, *line)).fold(f64::MAX, f64::min);
        if from < 4.0 { INK } else { PAPER }
    };
    let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
    let plane = even::plane(&raster);
    for (bridge, parted) in [(0.0, false), (8.0, false), (14.0, true)] {
        let found = inked(&raster, &plane, Widths { bridge, ..Widths::default() }).expect("there is ink").strokes;
        let cell = |x: usize, y: usize| found.cells[y * SIDE as usize + x];
        assert_eq!(cell(210, 120) != cell(210, 300), parted, "{bridge}");
        assert_eq!(found.loose.len(), if parted { 0 } else { 2 }, "{bridge}");
    }
}

/// Two lines of 8 pixels across a frame, each broken askew for 24 pixels along it, and below them one that ends 50 above the frame:
/// the breaks are bridged from end to end, and the end that points at the frame from beyond the width stays open.
#[test]
fn ends_that_face_each_other_are_joined_and_no_others() {
    let curve = |x: f64, y: f64| y + 14.0 * libm::sin(x / 45.0);
    let twig = [(205.0, 300.0), (230.0, 326.0)];
    for (askew, bridge, parted) in
        [(0.7, 14.0, false), (0.7, 36.0, true), (-0.7, 36.0, true), (0.0, 14.0, false), (0.0, 36.0, true)]
    {
        let pixel = |at: u32| {
            let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
            let line = |y: f64, x: f64| {
                let blank = (p.0 - x - askew * (p.1 - curve(x, y))).abs() < 12.0;
                if blank { f64::MAX } else { (p.1 - curve(p.0, y)).abs() * 0.95 }
            };
            let across =
                if (40.0..380.0).contains(&p.0) { line(130.0, 180.0).min(line(220.0, 270.0)) } else { f64::MAX };
            let from = PARTING[..4].iter().chain([&twig]).map(|line| off(p, *line)).fold(across, f64::min);
            if from < 4.0 { INK } else { PAPER }
        };
        let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
        let widths = Widths { bridge, ..Widths::default() };
        let found = inked(&raster, &even::plane(&raster), widths).expect("there is ink").strokes;
        let cell = |y: usize| found.cells[y * SIDE as usize + 120];
        let told = (cell(70) != cell(180), cell(180) != cell(340), found.loose.len());
        assert_eq!(told, (parted, parted, if parted { 1 } else { 5 }), "{askew} {bridge}");
    }
}

/// What lost touch with its region goes to what lies beside it, and to the ground where nothing else does: no piece of some pixels.
#[test]
fn crumbs_go_to_what_lies_beside_them() {
    let grid = Grid { width: 12, height: 8 };
    let mut labels = vec![NOBODY; grid.len()];
    let mut fill = |x: std::ops::Range<usize>, y: std::ops::Range<usize>, label: u32| {
        x.flat_map(|x| y.clone().map(move |y| y * 12 + x)).for_each(|at| labels[at] = label);
    };
    fill(0..4, 0..8, 0);
    fill(4..7, 0..8, 1);
    fill(5..6, 3..5, 0);
    fill(9..11, 3..5, 0);
    without_crumbs(grid, &mut labels);
    let (_, count) = components(grid, &labels);
    assert_eq!((count, labels[4 * 12 + 5], labels[4 * 12 + 9]), (2, 1, NOBODY));
}

/// A line of 8 pixels across a frame that stops short of its side: it parts the frame when the gap is narrower than the line.
#[test]
fn a_line_runs_on_over_a_gap_that_is_narrower_than_itself() {
    for (short, parted) in [(5.0, true), (20.0, false)] {
        let across = [(40.0, 205.0), (380.0 - 8.0 - short, 215.0)];
        let pixel = |at: u32| {
            let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
            let from = PARTING[..4].iter().chain([&across]).map(|line| off(p, *line)).fold(f64::MAX, f64::min);
            if from < 4.0 { INK } else { PAPER }
        };
        let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
        let found = inked(&raster, &even::plane(&raster), Widths::default()).expect("there is ink").strokes;
        let cell = |x: usize, y: usize| found.cells[y * SIDE as usize + x];
        assert_eq!(cell(210, 120) != cell(210, 300), parted, "{short}");
        assert_eq!(found.loose.len(), usize::from(!parted), "{short}");
    }
}

/// A line that runs a little way into another colour and ends there: with that colour's edge it closes what lies to either side.
#[test]
fn a_line_that_ends_in_another_colour_parts_what_its_edge_closes() {
    let down = [(210.0, 150.0), (212.0, 380.0)];
    let sky = [150, 190, 220, 255];
    let pixel = |at: u32| {
        let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
        let from = PARTING[..4].iter().chain([&down]).map(|line| off(p, *line)).fold(f64::MAX, f64::min);
        let edge = 204.0 + p.0 / 60.0;
        let mix = (p.1 - edge + 0.5).clamp(0.0, 1.0);
        let paper = |k: usize| (f64::from(sky[k]) + mix * (f64::from(PAPER[k]) - f64::from(sky[k]))) as u8;
        if from < 4.0 { INK } else { [paper(0), paper(1), paper(2), 255] }
    };
    let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
    let found = inked(&raster, &even::plane(&raster), Widths::default()).expect("there is ink").strokes;
    let of = |parts: &[u32], x: usize, y: usize| parts[y * SIDE as usize + x];
    let (left, right, above) = ((120, 300), (300, 300), (120, 100));
    assert_eq!(of(&found.cells, left.0, left.1), of(&found.cells, right.0, right.1), "the line closes nothing alone");
    assert_ne!(of(&found.coloured, left.0, left.1), of(&found.coloured, right.0, right.1));
    assert_ne!(of(&found.coloured, left.0, left.1), of(&found.coloured, above.0, above.1));
    assert_eq!(of(&found.coloured, above.0, above.1), of(&found.coloured, 300, 100));
    let panel = Size { width: Um::mm(210.0), height: Um::mm(210.0) };
    let choices =
        TraceChoices { pieces: 12, ground: GroundChoice::Keep, ink: InkChoice::Open, ..TraceChoices::default() };
    let tree = tree(&raster, panel, &choices, &Stock::thick(), Watch::silent()).expect("it can be read");
    let regions = regions(&tree, panel, &choices, &Stock::thick(), Watch::silent()).expect("nobody stops it");
    assert_ne!(of(&regions.labels.of, left.0, left.1), of(&regions.labels.of, right.0, right.1));
}

/// A colour that runs over its line by less than a millimetre, and a stripe that is drawn along it: the slip is taken for what lies
/// beyond, so that the border keeps to the line, and the stripe is a colour of its own.
#[test]
fn a_slip_of_the_brush_does_not_draw_the_border_from_its_line() {
    let across = [(40.0, 205.0), (380.0, 215.0)];
    let sky = [150, 190, 220, 255];
    let panel = Size { width: Um::mm(84.0), height: Um::mm(84.0) };
    let choices = TraceChoices { ink: InkChoice::Close, ..TraceChoices::default() };
    for (beyond, is_slip) in [(3.0, true), (12.0, false)] {
        let pixel = |at: u32| {
            let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
            let from = PARTING[..4].iter().chain([&across]).map(|line| off(p, *line)).fold(f64::MAX, f64::min);
            let below = p.1 - 210.0 - (p.0 - 210.0) / 34.0;
            match (from < 4.0, below < 4.0 + beyond) {
                (true, _) => INK,
                (false, true) => sky,
                (false, false) => PAPER,
            }
        };
        let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
        let bare = without_ink(&raster, panel, &choices, &Stock::thin()).expect("there is ink");
        let (mut slipped, mut over) = (0, 0);
        for (x, below) in (60..360).flat_map(|x| [(x, 2.0), (x, 5.5)]) {
            let y = 210.0 + (f64::from(x) - 210.0) / 34.0 + below;
            let colour = bare.pixels[(y as u32 * SIDE + x) as usize];
            slipped += u32::from(colour == PAPER);
            over += u32::from(colour == sky);
        }
        assert_eq!(slipped + over, 600);
        assert!(if is_slip { slipped > 590 } else { over > 590 }, "{beyond}: {slipped} and {over}");
    }
}

/// A line of 8 pixels that swells to 24, and a spot: the border keeps to the middle of the line, and the spot stays.
#[test]
fn a_line_that_swells_is_a_line_all_along() {
    let (across, spot) = ([(40.0, 205.0), (380.0, 215.0)], (320.0, 320.0));
    let pixel = |at: u32| {
        let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
        let swell = 8.0 * libm::exp(-libm::pow((p.0 - 210.0) / 60.0, 2.0));
        let from = PARTING[..4].iter().map(|line| off(p, *line)).fold(off(p, across) - swell, f64::min);
        let from = from.min(libm::hypot(p.0 - spot.0, p.1 - spot.1) - 6.0);
        match (from < 4.0, p.1 < 210.0 + (p.0 - 210.0) / 34.0) {
            (true, _) => INK,
            (false, true) => [150, 190, 220, 255],
            (false, false) => PAPER,
        }
    };
    let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
    let lines = |swell: f64| {
        let found = inked(&raster, &even::plane(&raster), Widths { swell, ..Widths::default() }).expect("there is ink");
        assert_eq!(found.raster.pixels[spot.1 as usize * SIDE as usize + spot.0 as usize], INK);
        let met = borders(&found.strokes.areas)
            .into_iter()
            .filter(|p| (60.0..360.0).contains(&p.0) && off(*p, across) < 20.0);
        spread(met.map(|p| off(p, across)).collect())
    };
    let ((mean, most), (apart, _)) = (lines(40.0), lines(0.0));
    assert!(mean < 0.8 && most < 1.6 && apart > 3.0, "{mean} {most} {apart}");
}

/// Two lines of 8 pixels that touch side by side over 100 pixels, as wide as two there: no area, and the border keeps between them.
#[test]
fn two_lines_that_touch_are_no_area() {
    let line = |y: f64, side: f64| {
        let [a, b, c, d] = [(60.0, y - 100.0 * side), (150.0, y), (250.0, y), (340.0, y - 100.0 * side)];
        [[a, b], [b, c], [c, d]]
    };
    let lines = [line(195.7, 1.0), line(204.3, -1.0)].concat();
    let pixel = |at: u32| {
        let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
        let from = PARTING[..4].iter().chain(&lines).map(|line| off(p, *line)).fold(f64::MAX, f64::min);
        if from < 4.0 { INK } else { PAPER }
    };
    let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
    let found = inked(&raster, &even::plane(&raster), Widths::default()).expect("there is ink");
    for x in (160..250).step_by(10) {
        assert_eq!(found.raster.pixels[200 * SIDE as usize + x], PAPER, "{x}");
    }
}

/// A line of 8 pixels with a bend, that begins in the open and ends on another: it is followed over its bend, as it was drawn.
#[test]
fn a_line_that_ends_in_the_open_is_followed_to_the_line_that_it_meets() {
    let bent = [[(90.0, 120.0), (160.0, 200.0)], [(160.0, 200.0), (160.0, 300.0)]];
    let across = [(40.0, 300.0), (380.0, 300.0)];
    let pixel = |at: u32| {
        let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
        let drawn = PARTING[..4].iter().chain(&bent).chain([&across]);
        if drawn.map(|line| off(p, *line)).fold(f64::MAX, f64::min) < 4.0 { INK } else { PAPER }
    };
    let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
    let found = inked(&raster, &even::plane(&raster), Widths::default()).expect("there is ink").strokes;
    let side = Um(SIDE as i32 * 1000);
    let panel = Size { width: side, height: side };
    let lines = found.open_lines(Grid::new(SIDE, SIDE), panel, &[true; (SIDE * SIDE) as usize]);
    let [line] = &lines[..] else { panic!("one line ends in the open: {lines:?}") };
    let (first, last) = (line.along[0], line.along[line.along.len() - 1]);
    let far =
        |p: Point, (x, y): (f64, f64)| libm::hypot(f64::from(p.x) - x * 1000.0, f64::from(p.y) - y * 1000.0) / 1000.0;
    assert!(far(first, (90.0, 120.0)) < 4.0 && far(last, (160.0, 300.0)) < 2.5, "{first:?} {last:?}");
    let on = |p: &Point| {
        bent.iter().map(|line| off((f64::from(p.x) / 1000.0, f64::from(p.y) / 1000.0), *line)).fold(f64::MAX, f64::min)
    };
    assert!(line.along.iter().all(|p| on(p) < 2.0), "{:?}", line.along);
    assert!((line.width.to_mm() - 8.0).abs() < 1.0, "{}", line.width.to_mm());
}

/// Where lines alone part the picture, colours part nothing: as many regions as the lines close, and the dark area.
#[test]
fn lines_alone_part_the_picture() {
    let mut raster = drawn(9.0);
    // Half of every area is green.
    let paper = |(at, pixel): &(usize, &mut [u8; 4])| at % SIDE as usize % 60 < 30 && pixel[0] > 200;
    raster.pixels.iter_mut().enumerate().filter(paper).for_each(|(_, pixel)| *pixel = [90, 160, 80, 255]);
    let panel = Size { width: Um::mm(210.0), height: Um::mm(210.0) };
    let met = |ink: InkChoice| {
        let choices = TraceChoices { pieces: 40, ground: GroundChoice::Keep, ink, ..TraceChoices::default() };
        let tree = tree(&raster, panel, &choices, &Stock::thin(), Watch::silent()).expect("a picture with shapes");
        let found = regions(&tree, panel, &choices, &Stock::thin(), Watch::silent()).expect("nothing stops it");
        let away = |p: &At| libm::hypot(p.0 - DARK.0.0, p.1 - DARK.0.1) > DARK.1 + 8.0;
        (found.ground.len(), spread(borders(&found.labels.of).into_iter().filter(away).map(off_lines).collect()))
    };
    let (count, (mean, most)) = met(InkChoice::Alone);
    assert_eq!(count, 9);
    assert!(mean <= 1.0 && most <= 2.0, "{mean} {most}");
    assert!(met(InkChoice::Close).0 > 12);
}

/// A frame drawn along the edge of the paper is no pen's stroke; what a line parts within it stays parted.
#[test]
fn a_line_parts_what_lies_within_a_frame_at_the_edge() {
    let ink = |x: u32, y: u32| {
        let edge = x.min(SIDE - 1 - x).min(y.min(SIDE - 1 - y)) < 9;
        edge || y.abs_diff(300 + x / 40) < 5
    };
    let pixel = |at: u32| if ink(at % SIDE, at / SIDE) { INK } else { PAPER };
    let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
    let choices =
        TraceChoices { pieces: 12, ground: GroundChoice::Keep, ink: InkChoice::Close, ..TraceChoices::default() };
    let panel = Size { width: Um::mm(210.0), height: Um::mm(210.0) };
    let tree = tree(&raster, panel, &choices, &Stock::thick(), Watch::silent()).expect("it can be read");
    let found = regions(&tree, panel, &choices, &Stock::thick(), Watch::silent()).expect("nobody stops it");
    let at = |x: u32, y: u32| found.labels.of[(y * SIDE + x) as usize];
    assert_ne!(at(200, 150), at(200, 360));
}

/// Strokes of several pens that end in an area, the middle of some on pixels and of others between them: each is kept, whole, with its
/// own width.
#[test]
fn strokes_of_every_width_are_kept() {
    for across in [0.0, 0.5, 30.0] {
        let stroke = |k: usize| {
            let x = 70.0 + 45.0 * k as f64 + across;
            ([(x, 130.0), (x + if across > 1.0 { 12.0 } else { 0.0 }, 300.0)], [2.0, 3.0, 4.0, 5.0, 6.0, 8.0][k])
        };
        let pixel = |at: u32| {
            let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
            let frame = PARTING[..4].iter().map(|line| off(p, *line) - 2.5);
            let from = frame.chain((0..6).map(stroke).map(|(line, wide)| off(p, line) - wide / 2.0));
            let share = (0.5 - from.fold(f64::MAX, f64::min)).clamp(0.0, 1.0);
            std::array::from_fn(|k| (f64::from(PAPER[k]) * (1.0 - share) + f64::from(INK[k]) * share).round() as u8)
        };
        let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
        let found = inked(&raster, &even::plane(&raster), Widths { swell: 20.0, ..Widths::default() });
        let side = Um(SIDE as i32 * 1000);
        let whole = [true; (SIDE * SIDE) as usize];
        let panel = Size { width: side, height: side };
        let mut lines = found.expect("there is ink").strokes.open_lines(Grid::new(SIDE, SIDE), panel, &whole);
        lines.sort_by_key(|line| line.along[0].x);
        assert_eq!(lines.len(), 6, "{across}: {lines:?}");
        for (line, ([from, to], wide)) in lines.iter().zip((0..6).map(stroke)) {
            let ys = || line.along.iter().map(|p| f64::from(p.y) / 1000.0);
            let near =
                line.along.iter().all(|p| off((f64::from(p.x) / 1000.0, f64::from(p.y) / 1000.0), [from, to]) < 2.2);
            assert!(
                near && ys().fold(f64::MAX, f64::min) < from.1 + 7.0 && ys().fold(0.0, f64::max) > to.1 - 7.0,
                "{line:?}"
            );
            assert!((line.width.to_mm() - wide).abs() < 1.6, "{} for {wide}", line.width.to_mm());
        }
    }
}

/// A line of a pixel and a half, its edges soft, over a dark red: it parts what lies to its sides all along.
#[test]
fn a_line_finer_than_two_pixels_parts_what_lies_beside_it() {
    let fine = [(40.0, 170.3), (380.0, 247.9)];
    let red = [190, 30, 25, 255];
    let pixel = |at: u32| {
        let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
        let frame = PARTING[..4].iter().map(|line| off(p, *line) - 3.0);
        let share = (0.5 - frame.fold(off(p, fine) - 0.75, f64::min)).clamp(0.0, 1.0);
        std::array::from_fn(|k| (f64::from(red[k]) * (1.0 - share) + f64::from(INK[k]) * share).round() as u8)
    };
    let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
    let found = inked(&raster, &even::plane(&raster), Widths::default()).expect("there is ink");
    let cell = |x: usize, y: usize| found.strokes.cells[y * SIDE as usize + x];
    assert!(cell(200, 120) != cell(200, 300) && cell(200, 120) == cell(60, 100) && cell(200, 300) == cell(360, 320));
}

/// Two rings that overlap by less than is sawn: what lies between goes to both, and they stay two.
#[test]
fn rings_stay_apart_when_what_they_share_is_too_narrow() {
    let rings = [((150.0, 210.0), 65.0), ((261.0, 210.0), 65.0)];
    let pixel = |at: u32| {
        let p = (f64::from(at % SIDE) + 0.5, f64::from(at / SIDE) + 0.5);
        let ring = |((x, y), radius): ((f64, f64), f64)| (libm::hypot(p.0 - x, p.1 - y) - radius).abs();
        let from = rings.map(ring).into_iter().chain(PARTING[..4].iter().map(|line| off(p, *line)));
        if from.fold(f64::MAX, f64::min) < 1.5 { INK } else { PAPER }
    };
    let raster = Raster { width: SIDE, height: SIDE, pixels: (0..SIDE * SIDE).map(pixel).collect() };
    let choices =
        TraceChoices { pieces: 40, ground: GroundChoice::Keep, ink: InkChoice::Close, ..TraceChoices::default() };
    let panel = Size { width: Um::mm(100.0), height: Um::mm(100.0) };
    let tree = tree(&raster, panel, &choices, &Stock::thick(), Watch::silent()).expect("it can be read");
    let found = regions(&tree, panel, &choices, &Stock::thick(), Watch::silent()).expect("nobody stops it");
    let at = |x: u32, y: u32| found.labels.of[(y * SIDE + x) as usize];
    assert!(at(150, 210) != at(261, 210) && at(150, 210) != at(60, 60) && at(261, 210) != at(60, 60));
}
