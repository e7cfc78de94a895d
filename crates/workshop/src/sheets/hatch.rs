//! Hatching: what an area is, said without colour.

use super::paper::Spot;
use super::pen::Trail;
use super::room::rotate;

/// Parallel lines over an area.
pub(super) struct Hatch {
    /// Direction (cosine, sine; y down).
    pub way: Spot,
    /// From line to line, mm.
    pub apart: f64,
}

pub(super) const SHADOW: Hatch =
    Hatch { way: (std::f64::consts::FRAC_1_SQRT_2, -std::f64::consts::FRAC_1_SQRT_2), apart: 2.5 };
pub(super) const GROUND: Hatch =
    Hatch { way: (std::f64::consts::FRAC_1_SQRT_2, std::f64::consts::FRAC_1_SQRT_2), apart: 6.0 };

/// Both ways over a fault of a board: no wood's colour and no one-way hatch looks like it.
pub(super) const FAULT: [Hatch; 2] = [Hatch { apart: 1.3, ..SHADOW }, Hatch { apart: 1.3, ..GROUND }];

impl Hatch {
    /// Adds the hatch inside `rings`, by the even-odd rule, to a path; lines lie on one grid over the whole page.
    pub fn over(&self, rings: &[Vec<Spot>], trail: &mut Trail) {
        self.lines(rings).into_iter().for_each(|(a, b)| {
            trail.start(a);
            trail.line(b);
        });
    }

    /// How many lines that takes.
    #[cfg(test)]
    pub fn count(&self, rings: &[Vec<Spot>]) -> usize {
        self.lines(rings).len()
    }

    fn lines(&self, rings: &[Vec<Spot>]) -> Vec<(Spot, Spot)> {
        let back = (self.way.0, -self.way.1);
        let turned: Vec<Vec<Spot>> = rings.iter().map(|ring| ring.iter().map(|&p| rotate(p, back)).collect()).collect();
        let mut hits: Vec<(i32, f64)> = Vec::new();
        for ring in &turned {
            for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                let (low, high) = if a.1 < b.1 { (a, b) } else { (b, a) };
                let rows = (low.1 / self.apart).ceil() as i32..(high.1 / self.apart).ceil() as i32;
                hits.extend(rows.map(|row| {
                    let y = f64::from(row) * self.apart;
                    (row, low.0 + (y - low.1) / (high.1 - low.1) * (high.0 - low.0))
                }));
            }
        }
        hits.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let line = |pair: &[(i32, f64)]| {
            let y = f64::from(pair[0].0) * self.apart;
            [pair[0].1, pair[1].1].map(|x| rotate((x, y), self.way))
        };
        hits.chunks_exact(2).map(line).map(|[a, b]| (a, b)).collect()
    }
}
