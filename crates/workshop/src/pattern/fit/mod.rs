//! Regions to shared borders: cracks, junctions, smoothing inside a tube, fewest cubics, and a proof at the end.
//!
//! Every border is fitted once and read by both of its areas. After fitting, all borders are flattened and searched for
//! touches; a border that touches is fitted again in half the tube, at last as the line through its crack midpoints,
//! which cannot touch. Weak where areas are a pixel or two wide: there the staircase shows.

mod corner;
mod cracks;
mod cubics;
mod draw;
mod ease;
pub(in crate::pattern) mod hand;
mod heart;
mod meet;
mod review;
mod round;
mod smooth;
mod strand;
#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, BTreeSet};

use measure::Watch;
use measure::length::Um;
use measure::plane::{Point, line, touches_of};

use super::prove::{Fault, prove};
use crate::picture::Regions;
use crate::work::{Area, AreaId, Becomes, Border, BorderId, Ends, JunctionId, Origin, Pattern, Side, Size};
use cracks::{Chain, Cracks, cracks};
use draw::Drawing;
use heart::hearts;
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
    let (mut drawing, hearts) = rayon::join(|| Drawing::new(&cracks, scale, panel), || hearts(labels, scale));
    watch.tell("borders", 0.4);
    let mut lines = vec![Vec::new(); cracks.chains.len()];
    loop {
        settle(&mut drawing, &mut lines, watch);
        let pattern = assemble(&cracks, &drawing, &hearts, &regions.ground);
        let faulty = faulty(&prove(&pattern, panel), &cracks);
        if !raise(&mut drawing, &faulty, watch) {
            watch.tell("borders", 1.0);
            return pattern;
        }
    }
}

/// Draws until nothing touches. Levels only rise, so it ends.
fn settle(drawing: &mut Drawing, lines: &mut [Vec<Point>], watch: Watch) {
    loop {
        let mut changed = drawing.draw();
        for (chain, changed) in changed.iter_mut().enumerate() {
            *changed |= lines[chain].is_empty();
            if *changed {
                lines[chain] = line(&drawing.curves[chain]);
            }
        }
        let tight = conflicts(lines, drawing, &changed);
        if !raise(drawing, &tight, watch) {
            return;
        }
    }
}

/// Raises the level of chains, to the last when asked to stop; whether any could be raised.
fn raise(drawing: &mut Drawing, chains: &BTreeSet<usize>, watch: Watch) -> bool {
    let mut raised = false;
    for chain in chains {
        raised |= drawing.raise(*chain);
        while watch.stopped() && drawing.raise(*chain) {}
    }
    raised
}

/// The chains of what the proof finds: two borders between the same junctions can change sides without a touch, and an
/// outline can leave out its innermost pixel.
fn faulty(faults: &[Fault], cracks: &Cracks) -> BTreeSet<usize> {
    let chain = |id: &BorderId| id.0 as usize - 1;
    let around = |id: AreaId| {
        let is_side = move |side: Option<u32>| side == Some(id.0 - 1);
        (0..cracks.chains.len()).filter(move |i| is_side(cracks.chains[*i].left) || is_side(cracks.chains[*i].right))
    };
    let of = |fault: &Fault| match fault {
        Fault::Touch(a, b, _) => vec![chain(a), chain(b)],
        Fault::Broken(id) => vec![chain(id)],
        Fault::Area(id) => around(*id).collect(),
        Fault::Sum(_) => Vec::new(),
    };
    faults.iter().flat_map(of).collect()
}

/// The chains that touch where they must not, or that meet at an end by chance.
fn conflicts(lines: &[Vec<Point>], drawing: &Drawing, changed: &[bool]) -> BTreeSet<usize> {
    let mut found: BTreeSet<usize> =
        touches_of(lines, |chain| changed[chain]).iter().flat_map(|t| [t.0, t.1]).collect();
    let mut ends: BTreeMap<Point, Result<usize, usize>> = BTreeMap::new();
    for (index, chain) in drawing.cracks.chains.iter().enumerate() {
        let names = chain.ends.map_or(vec![Err(index)], |ends| ends.map(Ok).to_vec());
        for name in names {
            let at = name.map_or_else(|ring| lines[ring][0], |node| drawing.junction(node));
            if *ends.entry(at).or_insert(name) != name {
                found.insert(index);
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
        Border { ends, curve, left: side(chain.left), right: side(chain.right), gap: Um(0), ink: Um(0), from }
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
