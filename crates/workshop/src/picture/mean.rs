//! The picture's colour in each area.

use std::collections::BTreeMap;

use measure::colour::Lab;

use super::read::OPAQUE;
use super::{Labels, Raster};
use crate::work::AreaId;

/// The picture's mean colour by area.
pub type Colours = BTreeMap<AreaId, Lab>;

/// The share of an area that its middle must have to stand for it.
const MIDDLE: i64 = 10;

/// The mean colour of each label that is wanted; label 0 is nobody, label `n` is area `n`.
///
/// The mean is taken in Lab, so it is the colour with the least squared difference to the area's pixels. Transparent
/// pixels do not count; an area of nothing else has no colour. Pixels up to `rim` from another label do not count either,
/// unless nearly all of the area is so near: drawn lines and soft edges run there, which no piece shows.
pub fn colours(raster: &Raster, labels: &Labels, rim: usize, wanted: impl Fn(AreaId) -> bool) -> Colours {
    let count = labels.of.iter().max().map_or(0, |l| *l as usize + 1);
    let wanted: Vec<bool> = (0..count as u32).map(|label| label > 0 && wanted(AreaId(label))).collect();
    let middle = middles(labels, rim);
    let mut sums = vec![[Sum::default(); 2]; count];
    let mut last = ([0u8; 3], units(Lab::from_rgb([0; 3])));
    for ((&label, &[r, g, b, alpha]), middle) in labels.of.iter().zip(&raster.pixels).zip(middle) {
        if !wanted[label as usize] || alpha < OPAQUE {
            continue;
        }
        if last.0 != [r, g, b] {
            last = ([r, g, b], units(Lab::from_rgb([r, g, b])));
        }
        sums[label as usize][usize::from(middle)].add(last.1, 1);
    }
    let colour = |[rim, middle]: [Sum; 2]| {
        let mut all = rim;
        all.add(middle.of, middle.area);
        if MIDDLE * middle.area >= all.area { middle.mean() } else { all.mean() }
    };
    let seen = sums.iter().enumerate().filter_map(|(label, sums)| Some((AreaId(label as u32), colour(*sums)?)));
    seen.collect()
}

/// Pixels whose label fills the square of half side `rim` about them; what lies beyond the picture is of any label.
fn middles(labels: &Labels, rim: usize) -> Vec<bool> {
    if rim == 0 {
        return vec![true; labels.of.len()];
    }
    let (width, height, whole) = (labels.width as usize, labels.height as usize, 2 * rim + 1);
    let mut middle = vec![false; labels.of.len()];
    // How far up the label goes on in rows of `whole` pixels of it.
    let mut up = vec![rim; width];
    for y in 0..height + rim {
        let row = &labels.of[y.min(height - 1) * width..][..width];
        let above = &labels.of[y.min(height - 1).saturating_sub(usize::from(y < height)) * width..][..width];
        let mut left = rim;
        for x in 0..width + rim {
            let here = row[x.min(width - 1)];
            left = if x > 0 && here != row[x.min(width) - 1] { 1 } else { left + 1 };
            let Some(at) = x.checked_sub(rim) else { continue };
            up[at] = match left >= whole {
                false => 0,
                true if above[at] == row[at] => up[at] + 1,
                true => 1,
            };
            if up[at] >= whole && y >= rim {
                middle[(y - rim) * width + at] = true;
            }
        }
    }
    middle
}

/// A sum of colours.
#[derive(Clone, Copy, Default)]
struct Sum {
    of: [i64; 3],
    area: i64,
}

impl Sum {
    fn add(&mut self, of: [i64; 3], area: i64) {
        (0..3).for_each(|k| self.of[k] += of[k]);
        self.area += area;
    }

    fn mean(self) -> Option<Lab> {
        let [l, a, b] = self.of.map(|v| v as f64 / self.area as f64 / UNITS);
        (self.area > 0).then_some(Lab { l, a, b })
    }
}

/// Fixed point, so that the sum does not depend on its order.
const UNITS: f64 = 65536.0;

fn units(lab: Lab) -> [i64; 3] {
    [lab.l, lab.a, lab.b].map(|v| (v * UNITS).round() as i64)
}
