//! What the bench of pictures measures from outside: the label map handed to the fitter, the draft fitted to it, and times.
//!
//! `borders PICTURE WIDTH_MM OUT N…` traces at each number of pieces with everything kept; `borders map LABELS.png WIDTH_MM
//! OUT` fits a 16-bit label map whose labels run from 0. Writes `OUT-N.png` (labels) and `OUT-N.json` (borders) and prints
//! one JSON line of times for each.

use std::sync::Arc;
use std::time::Instant;

use image::{ImageBuffer, Luma};
use measure::Watch;
use measure::length::Um;
use measure::plane::Point;
use serde_json::{Value, json};
use workshop::Derived;
use workshop::pattern::{fit, prove};
use workshop::picture::{Labels, Regions, read, regions, tree};
use workshop::work::{Choices, GroundChoice, Origin, Pattern, Size, Stock, TraceChoices, Work};

type Fails = Box<dyn std::error::Error>;

/// Each draft is made this often unless `SPELK_TIMES` says otherwise; the median time counts.
const TIMES: usize = 5;

fn main() -> Result<(), Fails> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    match args.as_slice() {
        [word, map, width, out] if word == "map" => fit_map(map, width.parse()?, out),
        [picture, width, out, counts @ ..] if !counts.is_empty() => trace(picture, width.parse()?, out, counts),
        _ => Err("borders PICTURE WIDTH_MM OUT N… | borders map LABELS.png WIDTH_MM OUT".into()),
    }
}

fn panel(width: f64, pixels: (u32, u32)) -> Size {
    Size { width: Um::mm(width), height: Um::mm(width * f64::from(pixels.1) / f64::from(pixels.0)) }
}

fn fit_map(path: &str, width: f64, out: &str) -> Result<(), Fails> {
    let map = image::open(path)?.into_luma16();
    let of: Vec<u32> = map.as_raw().iter().map(|label| u32::from(*label)).collect();
    let count = of.iter().max().map_or(0, |most| *most as usize + 1);
    let found = Regions {
        labels: Labels { width: map.width(), height: map.height(), of },
        ground: vec![false; count],
        swallowed: Vec::new(),
    };
    let panel = panel(width, map.dimensions());
    let start = Instant::now();
    let pattern = fit(&found, panel, Watch::silent());
    println!("{}", json!({"ms": millis(start), "faults": prove(&pattern, panel).len()}));
    std::fs::write(format!("{out}.json"), told(&pattern).to_string())?;
    Ok(())
}

fn trace(picture: &str, width: f64, out: &str, counts: &[String]) -> Result<(), Fails> {
    let bytes = std::fs::read(picture)?;
    let start = Instant::now();
    let raster = read(&bytes)?;
    let reading = millis(start);
    let panel = panel(width, (raster.width, raster.height));
    let choices = |pieces: u32| TraceChoices { pieces, ground: GroundChoice::Keep, ..TraceChoices::default() };
    let start = Instant::now();
    let tree = tree(&raster, panel, &choices(1), &Stock::thick(), Watch::silent())?;
    let growing = millis(start);
    let rounds = std::env::var("SPELK_TIMES").ok().and_then(|times| times.parse().ok()).unwrap_or(TIMES);
    let work = Work { panel, choices: Choices { stock: Stock::thick(), ..Choices::default() }, ..Work::default() };
    let mut derived = Derived::with_picture(Some(Arc::new(raster)));
    for count in counts {
        let choices = choices(count.parse()?);
        let mut times = Vec::new();
        for round in 0..rounds {
            let start = Instant::now();
            let found = regions(&tree, panel, &choices, &Stock::thick(), Watch::silent()).expect("nothing stops it");
            let sliding = millis(start);
            let pattern = fit(&found, panel, Watch::silent());
            times.push((millis(start), sliding));
            if round == 0 {
                write(&format!("{out}-{count}"), &found, &pattern)?;
            }
        }
        times.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (draft, sliding) = times[rounds / 2];
        let sketch = if rounds > 1 { Some(sketched(&work, &mut derived, &choices, rounds)?) } else { None };
        println!(
            "{}",
            json!({"pieces": choices.pieces, "read_ms": reading, "tree_ms": growing, "regions_ms": sliding, "draft_ms": draft, "sketch_ms": sketch})
        );
    }
    Ok(())
}

/// The median time of what the slider shows: the finest regions gathered, with the borders that were fitted to them once.
fn sketched(work: &Work, derived: &mut Derived, choices: &TraceChoices, rounds: usize) -> Result<f64, Fails> {
    let mut once = || -> Result<f64, Fails> {
        let start = Instant::now();
        workshop::sketch(work, derived, choices, Watch::silent())?;
        Ok(millis(start))
    };
    // The first one fits the finest regions.
    once()?;
    let mut times = (0..rounds).map(|_| once()).collect::<Result<Vec<f64>, Fails>>()?;
    times.sort_by(f64::total_cmp);
    Ok(times[rounds / 2])
}

fn millis(start: Instant) -> f64 {
    (start.elapsed().as_secs_f64() * 1e5).round() / 100.0
}

fn write(out: &str, found: &Regions, pattern: &Pattern) -> Result<(), Fails> {
    let labels: Vec<u16> = found.labels.of.iter().map(|label| *label as u16).collect();
    let map = ImageBuffer::<Luma<u16>, Vec<u16>>::from_raw(found.labels.width, found.labels.height, labels);
    map.ok_or("the label map has another size than the picture")?.save(format!("{out}.png"))?;
    std::fs::write(format!("{out}.json"), told(pattern).to_string())?;
    Ok(())
}

/// Labels on both sides (area ids less one), junctions at both ends, and control points, of every border found in the picture.
fn told(pattern: &Pattern) -> Value {
    let mm = |at: &Point| {
        let (x, y) = at.to_mm();
        [x, y]
    };
    let borders = pattern.borders.values().filter(|border| border.from == Origin::Traced).map(|border| {
        let side = |side: workshop::work::Side| side.area().map(|area| area.0 - 1);
        let cubics: Vec<_> = border.curve.iter().map(|cubic| cubic.0.iter().map(mm).collect::<Vec<_>>()).collect();
        json!({"left": side(border.left), "right": side(border.right), "ends": border.ends, "cubics_mm": cubics})
    });
    json!({"borders": borders.collect::<Vec<_>>()})
}
