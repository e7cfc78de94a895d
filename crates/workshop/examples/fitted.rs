//! Fits the regions of a picture, or of a 16-bit label map, and tells how near, how many cubics, and how long.
//!
//! `fitted PICTURE WIDTH_MM PIECES OUT.svg`; with PIECES 0 the picture is a label map.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::time::Instant;

use measure::Watch;
use measure::length::Um;
use measure::plane::{Cubic, Point, line};
use workshop::pattern::{fit, prove};
use workshop::picture::{Labels, Regions, read, regions, tree};
use workshop::work::{GroundChoice, Origin, Pattern, Size, Stock, TraceChoices};

type Fails = Box<dyn std::error::Error>;

fn main() -> Result<(), Fails> {
    let args: Vec<String> = std::env::args().collect();
    let [_, picture, width, pieces, out] = args.as_slice() else {
        return Err("fitted PICTURE WIDTH_MM PIECES OUT.svg".into());
    };
    let (found, panel) = found(&std::fs::read(picture)?, width.parse()?, pieces.parse()?)?;
    let start = Instant::now();
    let pattern = fit(&found, panel, Watch::silent());
    let took = start.elapsed();
    let faults = prove(&pattern, panel);
    println!(
        "{} areas, {} borders, fit {took:?}, proof {:?}",
        pattern.areas.len(),
        pattern.borders.len(),
        start.elapsed() - took
    );
    println!("faults: {faults:?}");
    tell(&pattern, &found.labels, panel);
    std::fs::write(out, drawing(&pattern, &found.labels, panel)?)?;
    Ok(())
}

fn found(bytes: &[u8], width: f64, pieces: u32) -> Result<(Regions, Size), Fails> {
    let panel = |w: u32, h: u32| Size { width: Um::mm(width), height: Um::mm(width * f64::from(h) / f64::from(w)) };
    if pieces == 0 {
        let map = image::load_from_memory(bytes)?.into_luma16();
        let of: Vec<u32> = map.as_raw().iter().map(|l| u32::from(*l)).collect();
        let count = of.iter().max().map_or(0, |most| *most as usize + 1);
        let labels = Labels { width: map.width(), height: map.height(), of };
        return Ok((
            Regions { labels, ground: vec![false; count], swallowed: Vec::new() },
            panel(map.width(), map.height()),
        ));
    }
    let raster = read(bytes)?;
    let panel = panel(raster.width, raster.height);
    let choices = TraceChoices { pieces, ground: GroundChoice::Keep, ..TraceChoices::default() };
    let tree = tree(&raster, panel, &choices, &Stock::thick(), Watch::silent())?;
    Ok((regions(&tree, panel, &choices, &Stock::thick(), Watch::silent()).expect("nothing stops it"), panel))
}

/// Length, cubics, the distance to the nearest crack midpoint of the same two labels, joints that are not smooth.
fn tell(pattern: &Pattern, labels: &Labels, panel: Size) {
    let middles = middles(labels, panel);
    let (mut length, mut cubics, mut worst, mut sum, mut count, mut corners, mut bends) =
        (0.0, 0, 0.0f64, 0.0, 0, 0, 0);
    for border in pattern.borders.values().filter(|b| b.from == Origin::Traced) {
        let pair = [border.left, border.right].map(|s| s.area().map_or(0, |a| a.0 - 1));
        let near = &middles[&(pair[0].min(pair[1]), pair[0].max(pair[1]))];
        cubics += border.curve.len();
        let mut turned = 0.0;
        for w in line(&border.curve).windows(2) {
            length += far(float(w[0]), float(w[1]));
        }
        for w in line(&border.curve).windows(3) {
            let [a, b, c] = [float(w[0]), float(w[1]), float(w[2])];
            let turn = (b.0 - a.0) * (c.1 - b.1) - (b.1 - a.1) * (c.0 - b.0);
            bends += usize::from(turn * turned < 0.0);
            turned = if turn == 0.0 { turned } else { turn };
        }
        corners += border.curve.windows(2).filter(|w| turn(&w[0], &w[1]) > 3.0).count();
        for point in border.curve.iter().flat_map(|c| (0..=12).map(|i| c.point(f64::from(i) / 12.0))) {
            let off = near.iter().map(|m| far(*m, point)).fold(f64::MAX, f64::min);
            (worst, sum, count) = (worst.max(off), sum + off, count + 1);
        }
    }
    let per = cubics as f64 / (length / 10_000.0);
    println!(
        "{:.2} m, {cubics} cubics, {per:.2} per 10 mm, {bends} changes of bending: one in {:.1} mm",
        length / 1e6,
        length / 1000.0 / bends as f64
    );
    println!(
        "from midpoints: worst {worst:.0} µm, mean {:.0} µm; {corners} corners inside borders",
        sum / count as f64
    );
}

/// By pair of labels, the crack midpoints between them.
fn middles(labels: &Labels, panel: Size) -> BTreeMap<(u32, u32), Vec<(f64, f64)>> {
    let (w, h) = (labels.width as usize, labels.height as usize);
    let (sx, sy) = (f64::from(panel.width.0) / w as f64, f64::from(panel.height.0) / h as f64);
    let mut found: BTreeMap<(u32, u32), Vec<(f64, f64)>> = BTreeMap::new();
    for at in 0..w * h {
        let (x, y) = (at % w, at / w);
        let near = [(x + 1 < w, at + 1, 1.0, 0.5), (y + 1 < h, at + w, 0.5, 1.0)];
        for (_, to, dx, dy) in near.into_iter().filter(|n| n.0) {
            let (a, b) = (labels.of[at], *labels.of.get(to).expect("inside"));
            if a != b {
                found.entry((a.min(b), a.max(b))).or_default().push(((x as f64 + dx) * sx, (y as f64 + dy) * sy));
            }
        }
    }
    found
}

fn float(p: Point) -> (f64, f64) {
    (f64::from(p.x), f64::from(p.y))
}

fn far(a: (f64, f64), b: (f64, f64)) -> f64 {
    ((a.0 - b.0) * (a.0 - b.0) + (a.1 - b.1) * (a.1 - b.1)).sqrt()
}

/// Degrees turned at a joint.
fn turn(a: &Cubic, b: &Cubic) -> f64 {
    let (p, q) = ((float(a.0[2]), float(a.0[3])), (float(b.0[0]), float(b.0[1])));
    let (u, v) = ((p.1.0 - p.0.0, p.1.1 - p.0.1), (q.1.0 - q.0.0, q.1.1 - q.0.1));
    libm::atan2(u.0 * v.1 - u.1 * v.0, u.0 * v.0 + u.1 * v.1).to_degrees().abs()
}

/// Crack midpoints grey, borders black, joints red, junctions blue, at true size.
fn drawing(pattern: &Pattern, labels: &Labels, panel: Size) -> Result<String, Fails> {
    let (w, h) = (panel.width.to_mm(), panel.height.to_mm());
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\">\n<rect width=\"{w}\" height=\"{h}\" fill=\"#fff\"/>\n"
    );
    for (x, y) in middles(labels, panel).into_values().flatten() {
        writeln!(svg, "<circle cx=\"{}\" cy=\"{}\" r=\".06\" fill=\"#888\"/>", x / 1000.0, y / 1000.0)?;
    }
    for border in pattern.borders.values() {
        let (x, y) = border.curve[0].start().to_mm();
        write!(svg, "<path fill=\"none\" stroke=\"#000\" stroke-width=\".1\" d=\"M{x} {y}")?;
        for cubic in &border.curve {
            let [_, b, c, d] = cubic.0.map(Point::to_mm);
            write!(svg, "C{} {} {} {} {} {}", b.0, b.1, c.0, c.1, d.0, d.1)?;
        }
        writeln!(svg, "\"/>")?;
        for cubic in &border.curve {
            let (x, y) = cubic.end().to_mm();
            writeln!(svg, "<circle cx=\"{x}\" cy=\"{y}\" r=\".2\" fill=\"#c22\"/>")?;
        }
    }
    for at in pattern.junctions.values() {
        let (x, y) = at.to_mm();
        writeln!(svg, "<circle cx=\"{x}\" cy=\"{y}\" r=\".3\" fill=\"#22c\"/>")?;
    }
    svg.push_str("</svg>\n");
    Ok(svg)
}
