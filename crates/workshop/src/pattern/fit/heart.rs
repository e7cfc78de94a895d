//! A point well inside each area: the pixel farthest from every other label. An outline that leaves it out is fitted tighter.

use kurbo::Vec2;
use measure::plane::{Point, inside};

use super::cracks::Cracks;
use super::draw::snap;
use super::strand::Scale;
use crate::picture::Labels;

/// By label, the middle of its innermost pixel, counting steps across and down to the nearest other label.
pub fn hearts(labels: &Labels, scale: Scale) -> Vec<Point> {
    let (width, depth) = (labels.width as usize, depths(labels));
    let mut best: Vec<(u16, usize)> = Vec::new();
    for (at, label) in labels.of.iter().enumerate() {
        let label = *label as usize;
        if best.len() <= label {
            best.resize(label + 1, (0, 0));
        }
        if depth[at] > best[label].0 {
            best[label] = (depth[at], at);
        }
    }
    let middle = |at: usize| Vec2::new(((at % width) as f64 + 0.5) * scale.x, ((at / width) as f64 + 0.5) * scale.y);
    best.into_iter().map(|(_, at)| snap(middle(at))).collect()
}

/// Steps from each pixel out of its label, by two passes.
fn depths(labels: &Labels) -> Vec<u16> {
    let (width, height) = (labels.width as usize, labels.height as usize);
    let of = &labels.of;
    let mut depth = vec![1u16; of.len()];
    for at in 0..of.len() {
        if at % width > 0 && at >= width {
            let step = |to: usize| if of[to] == of[at] { depth[to] } else { 0 };
            depth[at] = step(at - 1).min(step(at - width)).saturating_add(1);
        }
    }
    for at in (0..of.len()).rev() {
        let last = at % width + 1 == width || at + width >= width * height;
        let step = |to: usize| if of[to] == of[at] { depth[to] } else { 0 };
        let on = if last { 0 } else { step(at + 1).min(step(at + width)) };
        depth[at] = depth[at].min(on.saturating_add(1));
    }
    depth
}

/// The chains around areas that have lost their point since `changed` chains were drawn.
pub fn lost(hearts: &[Point], cracks: &Cracks, lines: &[Vec<Point>], changed: &[bool]) -> Vec<usize> {
    let mut around: Vec<Vec<usize>> = vec![Vec::new(); hearts.len()];
    for (index, chain) in cracks.chains.iter().enumerate() {
        for label in [chain.left, chain.right].into_iter().flatten() {
            around[label as usize].push(index);
        }
    }
    let is_lost = |(heart, around): &(&Point, &Vec<usize>)| {
        around.iter().any(|chain| changed[*chain]) && !inside(around.iter().map(|chain| &lines[*chain][..]), **heart)
    };
    hearts.iter().zip(&around).filter(is_lost).flat_map(|(_, around)| around.iter().copied()).collect()
}
