//! Writes the regions of a picture as a 16-bit label map, for scoring them by other programs.
//!
//! `regions PICTURE WIDTH_MM PIECES thin|thick OUT.png`; the ground is kept.

use measure::Watch;
use measure::length::Um;
use workshop::picture::{read, regions, tree};
use workshop::work::{GroundChoice, Size, Stock, TraceChoices};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args: Vec<String> = std::env::args().collect();
    let [_, picture, width, pieces, stock, out] = args.as_slice() else {
        return Err("regions PICTURE WIDTH_MM PIECES thin|thick OUT.png".into());
    };
    let raster = read(&std::fs::read(picture)?)?;
    let width: f64 = width.parse()?;
    let height = width * f64::from(raster.height) / f64::from(raster.width);
    let panel = Size { width: Um::mm(width), height: Um::mm(height) };
    let stock = if stock == "thin" { Stock::thin() } else { Stock::thick() };
    let choices = TraceChoices { pieces: pieces.parse()?, ground: GroundChoice::Keep, ..TraceChoices::default() };
    let start = std::time::Instant::now();
    let tree = tree(&raster, panel, &choices, &stock, Watch::silent())?;
    let grown = start.elapsed();
    let found = regions(&tree, panel, &choices, &stock, Watch::silent()).expect("nothing stops it");
    let swallowed = found.swallowed.len();
    println!("{} regions, {swallowed} swallowed, tree {grown:?}, all {:?}", found.ground.len(), start.elapsed());
    let labels: Vec<u16> = found.labels.of.iter().map(|l| *l as u16).collect();
    let map = image::ImageBuffer::<image::Luma<u16>, Vec<u16>>::from_raw(raster.width, raster.height, labels);
    map.ok_or("the label map has another size than the picture")?.save(out)?;
    Ok(())
}
