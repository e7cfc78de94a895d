//! The picture's colour in each area.

use std::collections::BTreeMap;

use measure::colour::Lab;

use super::read::OPAQUE;
use super::{Labels, Raster};
use crate::work::AreaId;

/// The picture's mean colour by area.
pub type Colours = BTreeMap<AreaId, Lab>;

/// The mean colour of each label that is wanted; label 0 is nobody, label `n` is area `n`.
///
/// The mean is taken in Lab, so it is the colour with the least squared difference to the area's pixels. Transparent
/// pixels do not count; an area of nothing else has no colour.
pub fn colours(raster: &Raster, labels: &Labels, wanted: impl Fn(AreaId) -> bool) -> Colours {
    let count = labels.of.iter().max().map_or(0, |l| *l as usize + 1);
    let wanted: Vec<bool> = (0..count as u32).map(|label| label > 0 && wanted(AreaId(label))).collect();
    let mut sums = vec![([0i64; 3], 0i64); count];
    let mut last = ([0u8; 3], units(Lab::from_rgb([0; 3])));
    for (&label, &[r, g, b, alpha]) in labels.of.iter().zip(&raster.pixels) {
        if !wanted[label as usize] || alpha < OPAQUE {
            continue;
        }
        if last.0 != [r, g, b] {
            last = ([r, g, b], units(Lab::from_rgb([r, g, b])));
        }
        let (sum, area) = &mut sums[label as usize];
        (0..3).for_each(|k| sum[k] += last.1[k]);
        *area += 1;
    }
    let seen = sums.iter().enumerate().filter(|(_, (_, area))| *area > 0);
    seen.map(|(label, (sum, area))| (AreaId(label as u32), mean(*sum, *area))).collect()
}

/// Fixed point, so that the sum does not depend on its order.
const UNITS: f64 = 65536.0;

fn units(lab: Lab) -> [i64; 3] {
    [lab.l, lab.a, lab.b].map(|v| (v * UNITS).round() as i64)
}

fn mean(sum: [i64; 3], area: i64) -> Lab {
    let [l, a, b] = sum.map(|v| v as f64 / area as f64 / UNITS);
    Lab { l, a, b }
}
