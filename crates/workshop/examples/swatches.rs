//! `swatches WIDTH HEIGHT WOOD…`: boards of some woods under wax, three cuts of each, as a PPM on standard output: to
//! look at.

use std::io::Write;

use workshop::view::swatch;
use workshop::wood::{finished, finishes, table};
use workshop::work::WoodId;

fn main() {
    let typed: Vec<String> = std::env::args().skip(1).collect();
    let size = [0, 1].map(|at: usize| typed[at].parse::<u32>().expect("WIDTH and HEIGHT in mm come first"));
    let (woods, wax) = (table(), &finishes()["wax"]);
    let wood = |key: &String| woods.get(&WoodId(key.clone())).unwrap_or_else(|| panic!("{key} is not in the table"));
    let boards = typed[2..].iter().map(wood).map(|wood| swatch(wood, finished(wood.colour.value, wax), size));
    let boards: Vec<_> = boards.collect();
    let (width, height) = (boards[0].width, boards.iter().map(|lit| lit.height).sum::<u32>());
    let mut out = std::io::stdout().lock();
    write!(out, "P6\n{width} {height}\n255\n").expect("standard output takes it");
    boards.iter().for_each(|lit| out.write_all(&lit.pixels).expect("standard output takes it"));
}
