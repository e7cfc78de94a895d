//! Label maps that aim at trouble, and shapes whose answer is known.

use measure::Watch;
use measure::length::Um;
use measure::plane::line;
use proptest::prelude::*;

use super::fit;
use crate::pattern::prove::prove;
use crate::picture::{Labels, Regions};
use crate::work::{Border, Origin, Pattern, Size};

/// Colours to regions: each 4-connected patch of one colour gets its own label, in reading order.
fn regions(width: u32, height: u32, colour: impl Fn(i32, i32) -> u32) -> Regions {
    let (w, h) = (width as usize, height as usize);
    let colours: Vec<u32> = (0..w * h).map(|i| colour((i % w) as i32, (i / w) as i32)).collect();
    let mut of = vec![u32::MAX; w * h];
    let mut count = 0;
    for first in 0..w * h {
        if of[first] != u32::MAX {
            continue;
        }
        let mut open = vec![first];
        of[first] = count;
        while let Some(at) = open.pop() {
            let (x, y) = (at % w, at / w);
            let near =
                [(x > 0, at.wrapping_sub(1)), (x + 1 < w, at + 1), (y > 0, at.wrapping_sub(w)), (y + 1 < h, at + w)];
            for (_, to) in near.into_iter().filter(|n| n.0) {
                if of[to] == u32::MAX && colours[to] == colours[at] {
                    of[to] = count;
                    open.push(to);
                }
            }
        }
        count += 1;
    }
    Regions { labels: Labels { width, height, of }, ground: vec![false; count as usize], swallowed: Vec::new() }
}

fn panel_of(regions: &Regions, pixel_um: u32) -> Size {
    let side = |pixels: u32| Um((pixels * pixel_um) as i32);
    Size { width: side(regions.labels.width), height: side(regions.labels.height) }
}

/// A scramble of whole numbers, for noise that shrinks well.
fn scramble(x: i32, y: i32, seed: u32) -> u32 {
    let mut h =
        (x as u32).wrapping_mul(0x9e37_79b1) ^ (y as u32).wrapping_mul(0x85eb_ca6b) ^ seed.wrapping_mul(0xc2b2_ae35);
    for _ in 0..2 {
        h = (h ^ (h >> 15)).wrapping_mul(0x2c1b_3c6d);
    }
    h ^ (h >> 13)
}

fn paint(kind: u32, seed: u32, x: i32, y: i32) -> u32 {
    let pick = |i: i32, most: u32| (scramble(i, 77, seed) % most) as i32;
    let reach = |cx: i32, cy: i32| (x - cx).abs().max((y - cy).abs()) as u32;
    let round = |cx: i32, cy: i32| (((x - cx) * (x - cx) + (y - cy) * (y - cy)) as f64).sqrt() as u32;
    match kind {
        // Noise and checkerboards.
        0 => scramble(x, y, seed) % (2 + seed % 4),
        1 => ((x / (1 + pick(0, 2)) + y / (1 + pick(1, 3))) % 2) as u32,
        // Rectangles over each other: necks, crossings, corners on the frame.
        2 => (0..9)
            .rev()
            .find(|i| {
                let at = |k: i32| pick(i * 4 + k, 24) - 2;
                (at(0)..at(0) + 1 + pick(i * 4 + 2, 9)).contains(&x)
                    && (at(1)..at(1) + 1 + pick(i * 4 + 3, 9)).contains(&y)
            })
            .map_or(0, |i| i as u32 + 1),
        // Rings in rings, square and round.
        3 => reach(pick(0, 20), pick(1, 20)) / (1 + seed % 3) % 2,
        4 => round(pick(0, 20), pick(1, 20)) / (1 + seed % 4) % 3,
        // A spiral a pixel wide.
        5 => {
            let (dx, dy) = (f64::from(x - 10), f64::from(y - 10));
            let turn = libm::atan2(dy, dx) / std::f64::consts::TAU;
            (((dx * dx + dy * dy).sqrt() / (1.0 + f64::from(seed % 3)) - turn).rem_euclid(2.0)) as u32
        }
        // Nearest of few points.
        6 => (0..3 + pick(9, 9)).min_by_key(|i| (x - pick(*i, 24)).pow(2) + (y - pick(i + 50, 24)).pow(2)).unwrap_or(0)
            as u32,
        // Four-way crossings and lines a pixel wide.
        7 => {
            (u32::from(x > pick(0, 20)) + 2 * u32::from(y > pick(1, 20)))
                ^ (4 * u32::from(x == pick(2, 20) || y == pick(3, 20)))
        }
        // Blots: noise over blocks, with single pixels strewn in.
        _ => {
            if scramble(x, y, seed ^ 9).is_multiple_of(11) {
                7
            } else {
                scramble(x / 3, y / 3, seed) % 3
            }
        }
    }
}

/// A map by kind, seed, width, height, and µm a pixel.
fn trouble() -> impl Strategy<Value = (u32, u32, u32, u32, u32)> {
    (0..9u32, any::<u32>(), 1..26u32, 1..26u32, 40..900u32)
}

/// How many cases: a few in every run, 10,000 when asked by `SPELK_CASES`.
fn cases() -> u32 {
    std::env::var("SPELK_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(300)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(cases()))]

    #[test]
    fn trouble_is_fitted_whole((kind, seed, width, height, pixel) in trouble()) {
        let regions = regions(width, height, |x, y| paint(kind, seed, x, y));
        let panel = panel_of(&regions, pixel);
        let pattern = fit(&regions, panel, Watch::silent());
        prop_assert_eq!(prove(&pattern, panel), vec![]);
        prop_assert_eq!(pattern.areas.len(), regions.ground.len());
        prop_assert!(far_from_cracks(&regions, &pattern, pixel) <= 250.0 + f64::from(pixel) / 2.0);
    }
}

/// Few midpoints far apart: between two of them a curve once swung out by 0.66 mm.
#[test]
fn between_midpoints_that_lie_far_apart_no_curve_swings_out() {
    let regions = regions(14, 15, |x, y| paint(2, 3_275_641_628, x, y));
    let pattern = fit(&regions, panel_of(&regions, 790), Watch::silent());
    assert!(far_from_cracks(&regions, &pattern, 790) <= 250.0 + 790.0 / 2.0);
}

/// The farthest that a traced border lies from any crack between its labels, by brute force over midpoints.
fn far_from_cracks(regions: &Regions, pattern: &Pattern, pixel: u32) -> f64 {
    let (w, h) = (regions.labels.width as usize, regions.labels.height as usize);
    let mut worst = 0.0f64;
    for border in pattern.borders.values().filter(|b| b.from == Origin::Traced) {
        let pair = [border.left, border.right].map(|s| s.area().map(|a| a.0 - 1));
        let mut middles = Vec::new();
        for at in 0..w * h {
            let (x, y) = ((at % w) as f64, (at / w) as f64);
            let mut look = |to: usize, mx: f64, my: f64| {
                let (a, b) = (Some(regions.labels.of[at]), Some(regions.labels.of[to]));
                if a != b && pair.contains(&a) && pair.contains(&b) {
                    middles.push((mx * f64::from(pixel), my * f64::from(pixel)));
                }
            };
            if x as usize + 1 < w {
                look(at + 1, x + 1.0, y + 0.5);
            }
            if y as usize + 1 < h {
                look(at + w, x + 0.5, y + 1.0);
            }
        }
        for p in line(&border.curve) {
            let far = |m: &(f64, f64)| {
                let (dx, dy) = (m.0 - f64::from(p.x), m.1 - f64::from(p.y));
                (dx * dx + dy * dy).sqrt()
            };
            worst = worst.max(middles.iter().map(far).fold(f64::MAX, f64::min));
        }
    }
    worst
}

fn only_traced(pattern: &Pattern) -> &Border {
    let mut traced = pattern.borders.values().filter(|b| b.from == Origin::Traced);
    let border = traced.next().expect("a border");
    assert!(traced.next().is_none(), "one border only");
    border
}

/// Points along a curve, µm.
fn along(border: &Border) -> Vec<(f64, f64)> {
    border.curve.iter().flat_map(|c| (0..=20).map(|i| c.point(f64::from(i) / 20.0))).collect()
}

#[test]
fn circles_come_back_round() {
    let small = [(8.0, 100), (5.0, 200), (4.0, 100), (3.0, 200)];
    let large = [(15.0, 250), (30.0, 250), (22.0, 200), (12.0, 200), (24.0, 200), (44.0, 200)];
    for (radius, pixel) in small.into_iter().chain(large) {
        let side = (2.5 * radius * 1000.0 / f64::from(pixel)) as u32;
        let (cx, cy, r) =
            (f64::from(side) * 0.5 + 0.3, f64::from(side) * 0.5 - 0.2, radius * 1000.0 / f64::from(pixel));
        let inside = |x: i32, y: i32| libm::hypot(f64::from(x) + 0.5 - cx, f64::from(y) + 0.5 - cy) < r;
        let regions = regions(side, side, |x, y| u32::from(inside(x, y)));
        let panel = panel_of(&regions, pixel);
        let pattern = fit(&regions, panel, Watch::silent());
        assert_eq!(prove(&pattern, panel), vec![]);
        let border = only_traced(&pattern);
        let off = |p: &(f64, f64)| {
            let (dx, dy) = (p.0 - cx * f64::from(pixel), p.1 - cy * f64::from(pixel));
            ((dx * dx + dy * dy).sqrt() - radius * 1000.0).abs()
        };
        let worst = along(border).iter().map(off).fold(0.0, f64::max);
        assert!(
            border.curve.len() <= 4 && worst <= 50.0,
            "{radius} mm, {pixel} µm: {} cubics, {worst} µm",
            border.curve.len()
        );
    }
}

#[test]
fn an_oval_is_no_circle() {
    let inside = |x: i32, y: i32| libm::hypot((f64::from(x) - 100.0) / 75.0, (f64::from(y) - 100.0) / 72.0) < 1.0;
    let regions = regions(200, 200, |x, y| u32::from(inside(x, y)));
    let pattern = fit(&regions, panel_of(&regions, 200), Watch::silent());
    assert!(far_from_cracks(&regions, &pattern, 200) <= 250.0);
    let places = along(only_traced(&pattern));
    let wide = |of: fn(&(f64, f64)) -> f64| {
        places.iter().map(of).fold(f64::MIN, f64::max) - places.iter().map(of).fold(f64::MAX, f64::min)
    };
    let (across, down) = (wide(|p| p.0), wide(|p| p.1));
    assert!((across - down - 1200.0).abs() < 150.0, "{across} {down}");
}

#[test]
fn straights_come_back_straight() {
    for (slope, pixel) in [(0.0, 250), (0.03, 250), (0.1, 250), (0.37, 250), (0.77, 200), (0.98, 300), (2.9, 250)] {
        // A level line shows nothing of where between two rows it ran.
        let (cx, cy) = (200.3, if slope == 0.0 { 150.0 } else { 149.6 });
        let regions = regions(400, 300, |x, y| u32::from(f64::from(y) + 0.5 - cy > slope * (f64::from(x) + 0.5 - cx)));
        let panel = panel_of(&regions, pixel);
        let pattern = fit(&regions, panel, Watch::silent());
        assert_eq!(prove(&pattern, panel), vec![]);
        let border = only_traced(&pattern);
        let slant = (1.0 + slope * slope).sqrt();
        let off = |p: &(f64, f64)| (p.1 - cy * f64::from(pixel) - slope * (p.0 - cx * f64::from(pixel))).abs() / slant;
        let worst = along(border).iter().map(off).fold(0.0, f64::max);
        assert!(border.curve.len() == 1 && worst <= 50.0, "slope {slope}: {} cubics, {worst} µm", border.curve.len());
    }
}

/// A curve that joins another in its direction, and is so short that the nearest whole µm would turn it.
#[test]
fn a_short_handle_keeps_its_direction() {
    use kurbo::Vec2;
    for degrees in 0..360 {
        let way = Vec2::from_angle(f64::from(degrees).to_radians() + 0.004);
        let (start, end) = (Vec2::new(5000.3, 7000.4), Vec2::new(5090.0, 7060.0));
        let curve = super::draw::snapped(&[start, start + way * 7.2, end - way * 3.4, end]);
        for (from, to, way) in [(0, 1, way), (3, 2, -way)] {
            let [from, to] = [curve.0[from], curve.0[to]].map(|p| Vec2::new(f64::from(p.x), f64::from(p.y)));
            let turned = libm::atan2((to - from).cross(way), (to - from).dot(way)).abs().to_degrees();
            assert!(turned < 0.9, "{degrees}: {turned}");
        }
    }
}
