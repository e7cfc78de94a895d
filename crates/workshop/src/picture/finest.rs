//! A draft at once while the number of pieces is slid: the base fitted once, its regions gathered by number.
//!
//! It is what `regions` makes without the last rounding of borders and without fitting them again.

use measure::colour::Lab;

use super::grid::NOBODY;
use super::mean::colours;
use super::regions::{finish, pieces};
use super::tree::Tree;
use super::{Labels, Raster, Regions};
use crate::work::{Size, TraceChoices};

/// The finest regions that the limits allow, on the picture's pixels.
pub struct Finest {
    /// Ready to be fitted.
    pub regions: Regions,
    /// By region, the region of the base; `NOBODY` for ground.
    base: Vec<u32>,
    /// By region, its mean colour and its area in pixels.
    looks: Vec<(Lab, u32)>,
}

/// A gathering of the finest regions.
pub struct Gathering {
    /// By region of `Finest`, what it is gathered into, counted from 0; `None` for ground.
    pub into: Vec<Option<u32>>,
    /// The mean colour of each.
    pub colours: Vec<Lab>,
}

impl Finest {
    /// Of the base of `tree`, looked at in `raster`.
    pub fn new(raster: &Raster, tree: &Tree) -> Finest {
        let regions = finish(tree.seen.leaves.blocks.fine, tree.base.of.clone(), tree.base.count, Vec::new());
        let count = regions.ground.len();
        let mut base = vec![NOBODY; count];
        let mut areas = vec![0; count];
        for (region, label) in regions.labels.of.iter().zip(&tree.base.of) {
            base[*region as usize] = *label;
            areas[*region as usize] += 1;
        }
        // Label 0 is nobody to `colours`.
        let numbered = Labels { of: regions.labels.of.iter().map(|region| region + 1).collect(), ..regions.labels };
        let means = colours(raster, &numbered, 0, |_| true);
        let look = |region: usize| means.get(&crate::work::AreaId(region as u32 + 1)).copied().unwrap_or_default();
        let looks = (0..count).map(|region| (look(region), areas[region])).collect();
        let labels = Labels { of: numbered.of.iter().map(|label| label - 1).collect(), ..numbered };
        Finest { regions: Regions { labels, ..regions }, base, looks }
    }

    /// Gathers the regions to about `choices.pieces`. Ground is not counted.
    pub fn gather(&self, tree: &Tree, panel: Size, choices: &TraceChoices) -> Gathering {
        let (pieces, _) = pieces(tree, panel, choices);
        let mut names = vec![None; pieces.len()];
        let mut sums: Vec<([f64; 3], f64)> = Vec::new();
        let mut gathered = |region: usize| {
            let label = *pieces.get(self.base[region] as usize)?;
            let name = *names[label as usize].get_or_insert_with(|| {
                sums.push(([0.0; 3], 0.0));
                sums.len() - 1
            });
            let (look, area) = self.looks[region];
            let (sum, whole) = &mut sums[name];
            [look.l, look.a, look.b].iter().zip(sum).for_each(|(value, sum)| *sum += value * f64::from(area));
            *whole += f64::from(area);
            Some(name as u32)
        };
        let into = (0..self.base.len()).map(&mut gathered).collect();
        let colours = sums.iter().map(|([l, a, b], n)| Lab { l: l / n, a: a / n, b: b / n }).collect();
        Gathering { into, colours }
    }
}
