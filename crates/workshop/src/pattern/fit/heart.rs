//! A point well inside each area: the pixel farthest from every other label. An outline that leaves it out is fitted tighter.

use kurbo::Vec2;
use measure::plane::Point;

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
    let (width, of) = (labels.width as usize, &labels.of);
    let mut depth = vec![1u16; of.len()];
    for row in (0..of.len()).step_by(width).skip(1) {
        for at in row + 1..row + width {
            let step = |to: usize| if of[to] == of[at] { depth[to] } else { 0 };
            depth[at] = step(at - 1).min(step(at - width)).saturating_add(1);
        }
    }
    let last = of.len() - width;
    depth[last..].fill(1);
    for row in (0..of.len() - width).step_by(width).rev() {
        depth[row + width - 1] = 1;
        for at in (row..row + width - 1).rev() {
            let step = |to: usize| if of[to] == of[at] { depth[to] } else { 0 };
            depth[at] = depth[at].min(step(at + 1).min(step(at + width)).saturating_add(1));
        }
    }
    depth
}
