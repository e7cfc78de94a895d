//! Regions of small pictures that aim at trouble, and decoding of bytes made on the spot.

use measure::Watch;
use measure::length::Um;
use proptest::prelude::*;

use super::grid::{Grid, NOBODY, components};
use super::widest::{Beyond, diameter, distances};
use super::*;
use crate::work::{GroundChoice, Size, Stock, TraceChoices};

/// Half a millimetre a pixel: limits of thick stock are 8 pixels and 100 square pixels.
const PIXEL_MM: f64 = 0.5;

fn raster(width: u32, height: u32, colour: impl Fn(u32, u32) -> [u8; 4]) -> Raster {
    let pixels = (0..width * height).map(|i| colour(i % width, i / width)).collect();
    Raster { width, height, pixels }
}

fn panel(raster: &Raster) -> Size {
    let side = |pixels: u32| Um::mm(f64::from(pixels) * PIXEL_MM);
    Size { width: side(raster.width), height: side(raster.height) }
}

fn choices(pieces: u32, ground: GroundChoice) -> TraceChoices {
    TraceChoices { pieces, ground, ..TraceChoices::default() }
}

fn found(raster: &Raster, pieces: u32, ground: GroundChoice) -> Regions {
    let choices = choices(pieces, ground);
    let tree = tree(raster, panel(raster), &choices, &Stock::thick(), Watch::silent()).unwrap();
    regions(&tree, panel(raster), &choices, &Stock::thick(), Watch::silent()).unwrap()
}

/// Scrambles bits: noise without a generator.
fn scramble(x: u32) -> u32 {
    let x = x.wrapping_mul(0x9e37_79b1) ^ (x >> 15);
    let x = x.wrapping_mul(0x85eb_ca6b);
    x ^ (x >> 13)
}

/// Pictures that aim at trouble, by number.
fn trouble(kind: u32, seed: u32, width: u32, height: u32) -> Raster {
    raster(width, height, |x, y| {
        let noise = (scramble(x + y * 4099 + seed * 65_537) % 256) as u8;
        let far = f64::from(x.abs_diff(40) * x.abs_diff(40) + y.abs_diff(30) * y.abs_diff(30)).sqrt();
        match kind % 8 {
            0 => [noise, noise.rotate_left(3), noise.wrapping_mul(37), 255],
            1 => [(x * 255 / width) as u8, (y * 255 / height) as u8, 90, 255],
            2 => [if (x / (1 + seed % 5) + y / (1 + seed % 5)).is_multiple_of(2) { 20 } else { 230 }; 3].map_alpha(255),
            3 => [if ((far / f64::from(2 + seed % 12)) as u32).is_multiple_of(2) { 240 } else { 40 }; 3].map_alpha(255),
            // Strokes as of letters, one to three pixels wide.
            4 => [if x % (7 + seed % 9) < 1 + seed % 3 || (y / 9) % 3 == 0 && y % 9 < 2 { 10 } else { 250 }; 3]
                .map_alpha(255),
            // Transparent but for blobs of noise.
            5 => [noise, 120, 60, if scramble(x / 12 + y / 12 * 97 + seed).is_multiple_of(3) { 255 } else { 0 }],
            // A pixel of subject on a plain ground, and a square.
            6 => [if x == 5 && y == 5 || x > 30 && x < 55 && y > 20 && y < 50 { 30 } else { 250 }; 3].map_alpha(255),
            _ => [200, 30 + noise / 8, (x / 20 * 40 % 256) as u8, 255],
        }
    })
}

trait MapAlpha {
    fn map_alpha(self, alpha: u8) -> [u8; 4];
}

impl MapAlpha for [u8; 3] {
    fn map_alpha(self, alpha: u8) -> [u8; 4] {
        [self[0], self[1], self[2], alpha]
    }
}

/// Dense, 4-connected, within the limits, no more than asked unless the subject lies in more islands.
fn assert_sound(raster: &Raster, regions: &Regions, asked: u32, pixel_mm: f64) {
    let grid = Grid::new(raster.width, raster.height);
    let labels = &regions.labels.of;
    let count = regions.ground.len();
    let (parts, parts_count) = components(grid, labels);
    assert_eq!(parts_count as usize, count, "each label is one 4-connected part");
    assert_eq!(&parts, labels, "labels are dense and in reading order");
    let pieces = regions.ground.iter().filter(|g| !**g).count();
    let subject: Vec<u32> = labels.iter().map(|l| if regions.ground[*l as usize] { NOBODY } else { 0 }).collect();
    let islands = components(grid, &subject).1;
    assert!(pieces <= asked.max(islands) as usize, "{pieces} pieces where {asked} were asked");
    let mut widest = vec![0.0f64; count];
    let mut area = vec![0usize; count];
    for (at, square) in distances(grid, labels, Beyond::Other).into_iter().enumerate() {
        let label = labels[at] as usize;
        widest[label] = widest[label].max(diameter(square));
        area[label] += 1;
    }
    for label in (0..count).filter(|l| !regions.ground[*l] && pieces > 1) {
        assert!(widest[label] * pixel_mm >= 4.0, "piece {label} is {} mm wide", widest[label] * pixel_mm);
        assert!(area[label] as f64 * pixel_mm * pixel_mm >= 25.0, "piece {label} is too small");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn regions_are_sound(kind in 0u32..8, seed in 0u32..1000, pieces in 1u32..40, keep: bool) {
        let raster = trouble(kind, seed, 90, 70);
        let ground = if keep { GroundChoice::Keep } else { GroundChoice::Drop };
        let chosen = choices(pieces, ground);
        if let Ok(tree) = tree(&raster, panel(&raster), &chosen, &Stock::thick(), Watch::silent()) {
            let found = regions(&tree, panel(&raster), &chosen, &Stock::thick(), Watch::silent()).unwrap();
            assert_sound(&raster, &found, pieces, PIXEL_MM);
        }
    }

    /// Pixels so fine that regions grow on blocks of them.
    #[test]
    fn regions_of_fine_pictures_are_sound(kind in 0u32..8, seed in 0u32..1000, pieces in 1u32..20, keep: bool) {
        let raster = trouble(kind, seed, 181, 139);
        let ground = if keep { GroundChoice::Keep } else { GroundChoice::Drop };
        let chosen = choices(pieces, ground);
        let panel = Size { width: Um::mm(0.2 * 181.0), height: Um::mm(0.2 * 139.0) };
        if let Ok(tree) = tree(&raster, panel, &chosen, &Stock::thick(), Watch::silent()) {
            let found = regions(&tree, panel, &chosen, &Stock::thick(), Watch::silent()).unwrap();
            assert_sound(&raster, &found, pieces, 0.2);
        }
    }

    #[test]
    fn cuts_nest(kind in 0u32..8, seed in 0u32..1000, coarse in 1usize..30, more in 0usize..60) {
        let raster = trouble(kind, seed, 80, 60);
        let chosen = choices(10, GroundChoice::Keep);
        if let Ok(tree) = tree(&raster, panel(&raster), &chosen, &Stock::thick(), Watch::silent()) {
            let (fine, count) = tree.seen.leaves.cut(coarse + more);
            let (coarse, _) = tree.seen.leaves.cut(coarse);
            let mut into = vec![NOBODY; count as usize];
            for (fine, coarse) in fine.into_iter().zip(coarse) {
                let into = &mut into[fine as usize];
                prop_assert!(*into == NOBODY || *into == coarse);
                *into = coarse;
            }
        }
    }
}

/// Three discs and a bar on a ground, planted; all but pixels at a border come back.
#[test]
fn planted_shapes_come_back() {
    let discs = [(30, 30, 18), (80, 30, 14), (60, 75, 22)];
    let planted = |x: u32, y: u32| {
        let inside =
            |d: &(u32, u32, u32)| x.abs_diff(d.0) * x.abs_diff(d.0) + y.abs_diff(d.1) * y.abs_diff(d.1) < d.2 * d.2;
        discs.iter().position(inside).map_or(if y > 105 { 4 } else { 3 }, |i| i)
    };
    let colours = [[180, 40, 30], [30, 90, 60], [40, 50, 130], [235, 220, 190], [90, 70, 50]];
    let raster = raster(120, 120, |x, y| colours[planted(x, y)].map_alpha(255));
    let regions = found(&raster, 5, GroundChoice::Keep);
    assert_eq!(regions.ground.len(), 5);
    let mut seen = [[0usize; 5]; 5];
    for (at, label) in regions.labels.of.iter().enumerate() {
        seen[planted(at as u32 % 120, at as u32 / 120)][*label as usize] += 1;
    }
    let right: usize = seen.iter().map(|row| row.iter().max().unwrap()).sum();
    assert!(right as f64 > 0.995 * 120.0 * 120.0, "{right} of 14400 pixels");
}

/// Discs on threads of their own colour, half a millimetre wide, as a drawing has them. A piece that hangs together by what
/// breaks falls into bodies: at most four more than pieces in a picture of 24 (tips count too), where ten hang if necks stay.
#[test]
fn few_pieces_hang_by_a_thread() {
    let mut beyond = 0;
    for seed in 0..12 {
        let (across, down) = (40 + seed % 3 * 7, 36 + seed % 4 * 5);
        let raster = raster(200, 160, |x, y| {
            let (near, row) = (x % across, y % down);
            let far = near.abs_diff(across / 2).pow(2) + row.abs_diff(down / 2).pow(2);
            let thread = row.abs_diff(down / 2) < 1 || near.abs_diff(across / 2) < 1;
            let tone = (scramble(x / across + y / down * 31 + seed) % 3) as u8 * 12;
            [if far < 144 || thread { 40 + tone } else { 190 + tone }; 3].map_alpha(255)
        });
        let regions = found(&raster, 24, GroundChoice::Keep);
        let grid = Grid::new(raster.width, raster.height);
        // Least width 8 pixels; a disc of 2 pixels passes where the piece is wider than the neck that goes.
        let squares = distances(grid, &regions.labels.of, Beyond::Other);
        let middles: Vec<u32> =
            regions.labels.of.iter().zip(squares).map(|(l, s)| if s >= 4 { *l } else { NOBODY }).collect();
        let (_, bodies) = components(grid, &middles);
        beyond += bodies as usize - regions.ground.len();
    }
    assert!(beyond <= 48, "{beyond} bodies more than pieces");
}

#[test]
fn a_plain_ground_is_dropped_and_kept_by_choice() {
    let raster = trouble(6, 0, 90, 70);
    let dropped = found(&raster, 4, GroundChoice::Drop);
    assert_eq!(dropped.ground, [true, false], "one piece on its ground; the lone pixel is no piece");
    assert_eq!(found(&raster, 4, GroundChoice::Keep).ground, [false, false]);
}

#[test]
fn a_frame_of_several_colours_is_no_ground() {
    let raster = trouble(1, 0, 90, 70);
    assert!(found(&raster, 8, GroundChoice::Drop).ground.iter().all(|g| !g));
}

#[test]
fn what_is_too_thin_is_listed() {
    // A dark bar 2 mm wide on pale ground: half of what thick stock allows.
    let raster = raster(100, 80, |x, _| [if (40..44).contains(&x) { 20 } else { 230 }; 3].map_alpha(255));
    let regions = found(&raster, 3, GroundChoice::Keep);
    assert_eq!(regions.ground.len(), 2, "its two sides share it");
    let bar = regions.swallowed.iter().find(|s| s.area == 8000).expect("the bar is listed");
    assert!(bar.widest >= Um::mm(1.5) && bar.widest <= Um::mm(2.0), "to a pixel: {:?}", bar.widest);
    assert!((bar.at.x - 21_000).abs() <= 500, "in its middle: {:?}", bar.at);
}

#[test]
fn one_colour_is_refused_unless_it_has_a_shape() {
    let plain = raster(64, 64, |_, _| [120, 90, 60, 255]);
    assert!(tree(&plain, panel(&plain), &choices(10, GroundChoice::Keep), &Stock::thick(), Watch::silent()).is_err());
    assert!(tree(&plain, panel(&plain), &choices(10, GroundChoice::Drop), &Stock::thick(), Watch::silent()).is_err());
    let shaped = raster(64, 64, |x, _| [120, 90, 60, if x < 40 { 255 } else { 0 }]);
    assert_eq!(found(&shaped, 10, GroundChoice::Drop).ground, [false, true]);
}

/// A lasso of twice the pieces on noise that is alike everywhere: far more inside, fewer outside, and the same in all.
#[test]
fn a_place_has_more_pieces_and_the_rest_fewer() {
    let raster = raster(320, 240, |x, y| {
        let patch = (scramble(x / 10 + y / 10 * 997) % 200) as u8;
        [patch, patch / 2 + 40, 90, 255]
    });
    let (panel, stock) = (panel(&raster), Stock::thick());
    let corner = [(0, 0), (80_000, 0), (80_000, 60_000), (0, 60_000)].map(|(x, y)| measure::plane::Point::new(x, y));
    let inside = |percents: &[u32]| {
        let place = |percent: &u32| crate::work::Place { around: corner.to_vec(), percent: *percent };
        let places = percents.iter().map(place).collect();
        let choices = TraceChoices { places, ..choices(60, GroundChoice::Keep) };
        let tree = tree(&raster, panel, &choices, &stock, Watch::silent()).unwrap();
        let found = regions(&tree, panel, &choices, &stock, Watch::silent()).unwrap();
        assert_sound(&raster, &found, 60, PIXEL_MM);
        let mut share = vec![(0, 0); found.ground.len()];
        for (at, label) in found.labels.of.iter().enumerate() {
            let (x, y) = (at % 320, at / 320);
            share[*label as usize].0 += usize::from(x < 160 && y < 120);
            share[*label as usize].1 += 1;
        }
        (share.iter().filter(|(within, all)| 2 * within > *all).count(), share.len())
    };
    let [(few, few_of), (usual, usual_of), (many, many_of)] = [inside(&[50]), inside(&[100]), inside(&[200])];
    assert_eq!(inside(&[200, 50]), (usual, usual_of));
    assert!(few_of.min(usual_of).min(many_of) >= 57, "{few_of} {usual_of} {many_of}");
    assert!(3 * many > 4 * usual && 4 * few < 3 * usual, "{few}, {usual}, {many} pieces inside");
}

/// Gathered to half as many, pieces are made of whole ones; exchange leaves their number and betters their colour.
#[test]
fn gatherings_nest_and_are_bettered() {
    let raster = raster(320, 240, |x, y| {
        let patch = (scramble(x / 14 + y / 14 * 997) % 200) as u8;
        [patch, patch / 2 + (x / 4) as u8, 90 + (y / 3) as u8, 255]
    });
    let tree =
        tree(&raster, panel(&raster), &choices(100, GroundChoice::Keep), &Stock::thick(), Watch::silent()).unwrap();
    let graph = &tree.base.graph;
    let (fine, many) = gather::gathered(graph, 100);
    let (coarse, few) = gather::gathered(graph, 50);
    assert_eq!((many, few), (100, 50));
    let mut into = [NOBODY; 100];
    for (fine, coarse) in fine.iter().zip(&coarse) {
        let into = &mut into[*fine as usize];
        assert!(*into == NOBODY || *into == *coarse);
        *into = *coarse;
    }
    let error = |into: &[u32]| {
        let mut sums = vec![even::Sum::default(); graph.nodes().len()];
        graph.nodes().iter().zip(into).for_each(|(node, into)| sums[*into as usize].join(node.sum));
        sums.iter().map(|sum| sum.area as f64 * sum.variance()).sum::<f64>()
    };
    let merged = gather::merges(graph.clone(), graph.nodes().len() as u32, 50);
    assert!(error(&coarse) < error(&merged), "{} {}", error(&coarse), error(&merged));
}

#[test]
fn threads_do_not_change_the_result() {
    let raster = trouble(7, 3, 160, 120);
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| found(&raster, 20, GroundChoice::Keep))
    };
    assert_eq!(with(1), with(2));
}

/// Two halves of one colour, parted by a line three pixels wide; a third area is all line.
#[test]
fn drawn_lines_do_not_darken_the_areas_beside_them() {
    let ink = |x: u32, y: u32| x.abs_diff(20) < 2 || y >= 37;
    let raster = raster(40, 40, |x, y| if ink(x, y) { [0, 0, 0, 255] } else { [200, 180, 160, 255] });
    let of = |at: u32| if at / 40 >= 37 { 3 } else { 1 + u32::from(at % 40 >= 20) };
    let labels = Labels { width: 40, height: 40, of: (0..1600).map(of).collect() };
    let (whole, middle) = (colours(&raster, &labels, 0, |_| true), colours(&raster, &labels, 2, |_| true));
    let [one, other, line] = [1, 2, 3].map(crate::work::AreaId);
    let drawn = measure::colour::Lab::from_rgb([200, 180, 160]);
    for half in [one, other] {
        assert!(whole[&half].l < drawn.l - 3.0, "{whole:?}");
        assert!((middle[&half].l - drawn.l).abs() < 1e-3, "{middle:?}");
    }
    assert!(middle[&line].l < 1.0);
}

#[test]
fn mean_colours_leave_out_nobody_and_what_is_clear() {
    let raster =
        raster(4, 1, |x, _| [[255, 255, 255, 255], [0, 0, 0, 255], [9, 9, 9, 0], [200, 0, 0, 255]][x as usize]);
    let labels = Labels { width: 4, height: 1, of: vec![7, 7, 7, 0] };
    let colours = colours(&raster, &labels, 0, |_| true);
    assert_eq!(colours.len(), 1);
    let mean = colours[&crate::work::AreaId(7)];
    assert!((mean.l - 50.0).abs() < 1e-3 && mean.a.abs() < 1e-3 && mean.b.abs() < 1e-3, "{mean:?}");
}
