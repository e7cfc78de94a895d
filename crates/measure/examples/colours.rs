//! Prints colours as JSON lines for the reference tests: pixels drawn by a fixed generator, with our figures for them.
//!
//! `colours [HOW-MANY]`, 1000 when not said. Each line: two pixels, the L*a*b* and Oklab of each, their CIEDE2000, and
//! the pixel that the first L*a*b* comes back as.

use std::io::{self, BufWriter, Write};

use measure::colour::{Lab, delta_e_2000, from_byte, oklab, xyz_from_rgb};

/// A generator of our own (Knuth's MMIX constants): the same pixels on every machine.
struct Dice(u64);

impl Dice {
    fn byte(&mut self) -> u8 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 56) as u8
    }

    fn pixel(&mut self) -> [u8; 3] {
        std::array::from_fn(|_| self.byte())
    }
}

fn main() -> io::Result<()> {
    let many = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(1000);
    let mut out = BufWriter::new(io::stdout().lock());
    let mut dice = Dice(20_260_101);
    for _ in 0..many {
        let (one, two) = (dice.pixel(), dice.pixel());
        writeln!(out, "{}", line(one, two))?;
    }
    out.flush()
}

fn line(one: [u8; 3], two: [u8; 3]) -> serde_json::Value {
    let (first, second) = (Lab::from_rgb(one), Lab::from_rgb(two));
    let oklabs = [one, two].map(|rgb| oklab(xyz_from_rgb(rgb.map(from_byte))));
    serde_json::json!({
        "rgb": [one, two],
        "lab": [[first.l, first.a, first.b], [second.l, second.a, second.b]],
        "oklab": oklabs,
        "delta_e_2000": delta_e_2000(first, second),
        "back": first.to_rgb(),
    })
}
