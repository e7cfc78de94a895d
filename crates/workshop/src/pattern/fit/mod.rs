//! Regions to shared borders: cracks, junctions, smoothing inside a tube, fewest cubics, and a proof at the end.
//!
//! Every border is fitted once and read by both of its areas. After fitting, all borders are flattened and searched for
//! touches; a border that touches is fitted again in half the tube, at last as the line through its crack midpoints,
//! which cannot touch. Weak where areas are a pixel or two wide: there the staircase shows.

mod corner;
mod cracks;
mod cubics;
mod draw;
mod heart;
mod meet;
mod smooth;
mod strand;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use measure::Watch;
use measure::length::Um;
use measure::plane::{Point, line, touches_of};

use crate::picture::Regions;
use crate::work::{Area, AreaId, Becomes, Border, BorderId, Ends, JunctionId, Origin, Pattern, Side, Size};
use cracks::{Chain, Cracks, cracks};
use draw::Drawing;
use heart::{hearts, lost};
use strand::Scale;

/// Fits every border between two regions once. The draft's ids count from 1 in reading order; ground is
/// `Becomes::Ground`, everything else `Becomes::Unnumbered`. The result passes `prove`. A pixel must measure at least
/// 4 µm. Stopped early, it is the lines through the crack midpoints where it had not come to an end.
pub fn fit(regions: &Regions, panel: Size, watch: Watch) -> Pattern {
    let labels = &regions.labels;
    if labels.of.is_empty() {
        return Pattern::default();
    }
    let scale = Scale {
        x: f64::from(panel.width.0) / f64::from(labels.width),
        y: f64::from(panel.height.0) / f64::from(labels.height),
    };
    watch.tell("borders", 0.0);
    let cracks = cracks(labels);
    watch.tell("borders", 0.2);
    let mut drawing = Drawing::new(&cracks, scale, panel);
    watch.tell("borders", 0.4);
    let hearts = hearts(labels, scale);
    settle(&mut drawing, &hearts, watch);
    watch.tell("borders", 1.0);
    assemble(&cracks, &drawing, &hearts, &regions.ground)
}

/// Draws until nothing touches and every area holds its innermost pixel. Levels only rise, so it ends.
fn settle(drawing: &mut Drawing, hearts: &[Point], watch: Watch) {
    let mut lines = vec![Vec::new(); drawing.curves.len()];
    loop {
        let changed = drawing.draw();
        for (chain, _) in changed.iter().enumerate().filter(|(_, changed)| **changed) {
            lines[chain] = line(&drawing.curves[chain]);
        }
        let mut tight = conflicts(&lines, drawing, &changed);
        tight.extend(lost(hearts, drawing.cracks, &lines, &changed));
        tight.sort_unstable();
        tight.dedup();
        let mut raised = false;
        for chain in tight {
            raised |= drawing.raise(chain);
            while watch.stopped() && drawing.raise(chain) {}
        }
        if !raised {
            return;
        }
    }
}

/// The chains that touch where they must not, or that meet at an end by chance.
fn conflicts(lines: &[Vec<Point>], drawing: &Drawing, changed: &[bool]) -> Vec<usize> {
    let mut found: Vec<usize> = touches_of(lines, |chain| changed[chain]).iter().flat_map(|t| [t.0, t.1]).collect();
    let mut ends: BTreeMap<Point, Result<usize, usize>> = BTreeMap::new();
    for (index, chain) in drawing.cracks.chains.iter().enumerate() {
        let names = chain.ends.map_or(vec![Err(index)], |ends| ends.map(Ok).to_vec());
        for name in names {
            let at = name.map_or_else(|ring| lines[ring][0], |node| drawing.junction(node));
            if *ends.entry(at).or_insert(name) != name {
                found.push(index);
            }
        }
    }
    found
}

/// Gives ids in reading order and puts the pattern together.
fn assemble(cracks: &Cracks, drawing: &Drawing, hearts: &[Point], ground: &[bool]) -> Pattern {
    let junction = |node: usize| JunctionId(node as u32 + 1);
    let side = |label: Option<u32>| label.map_or(Side::Beyond, |label| Side::Area(AreaId(label + 1)));
    let border = |chain: &Chain, index: usize| {
        let curve = drawing.curves[index].clone();
        let ends = match chain.ends {
            Some([a, b]) => Ends::Between(junction(a), junction(b)),
            None => Ends::Ring(curve[0].start()),
        };
        let from = if chain.is_edge() { Origin::Edge } else { Origin::Traced };
        Border { ends, curve, left: side(chain.left), right: side(chain.right), gap: Um(0), from }
    };
    let area = |label: usize| Area {
        becomes: if ground.get(label) == Some(&true) { Becomes::Ground } else { Becomes::Unnumbered },
        at: hearts[label],
    };
    Pattern {
        junctions: (0..cracks.nodes.len()).map(|n| (junction(n), drawing.junction(n))).collect(),
        borders: (cracks.chains.iter().enumerate()).map(|(i, c)| (BorderId(i as u32 + 1), border(c, i))).collect(),
        areas: (0..hearts.len()).map(|label| (AreaId(label as u32 + 1), area(label))).collect(),
    }
}
