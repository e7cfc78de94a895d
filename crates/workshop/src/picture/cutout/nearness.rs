//! From which side a leaf is reached over the lower step of colour.
//!
//! The highest step that no way round avoids, from each side's starts: the minimax path (Pollack 1960), by a heap.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::leaves::Leaves;
use super::marks::Said;
use super::mixture::{Mixture, UNSEEN_SUBJECT};
use super::moments::Moments;

/// Where the sides start: by leaf for the subject, then for the ground. Without a mark to keep all that is not dropped is subject.
/// With one the picture's frame is ground, but beside marks to drop only in colours that no mark to keep shows: a mark to drop
/// says of its own place that it is ground, not of others that they are not.
pub(super) fn starts(leaves: &Leaves, said: &Said) -> [Vec<bool>; 2] {
    let side = |keep: bool| said.iter().map(move |said| *said == Some(keep));
    if !said.contains(&Some(true)) {
        return [said.iter().map(Option::is_none).collect(), side(false).collect()];
    }
    let framed = |leaf: usize| leaves.all[leaf].framed && said[leaf].is_none();
    let kept: Vec<Moments> =
        leaves.all.iter().zip(side(true)).filter(|(_, kept)| *kept).map(|(leaf, _)| leaf.colours).collect();
    let kept = Mixture::fit(&kept, UNSEEN_SUBJECT);
    let alone = !said.contains(&Some(false));
    let strange = |leaf: usize| alone || !kept.shows(leaves.all[leaf].colours.mean());
    let drops = side(false).enumerate().map(|(leaf, dropped)| dropped || framed(leaf) && strange(leaf));
    [side(true).collect(), drops.collect()]
}

/// By leaf, from -1 where it is the subject's to 1 where it is the ground's.
pub(super) fn leaning(leaves: &Leaves, [subject, ground]: &[Vec<bool>; 2]) -> Vec<f64> {
    let (subject, ground) = (highest_steps(leaves, subject), highest_steps(leaves, ground));
    let of = |(to_subject, to_ground): (&f64, &f64)| (to_subject - to_ground) / (to_subject + to_ground).max(1e-6);
    subject.iter().zip(&ground).map(of).collect()
}

/// By leaf, the highest step on the lowest way from a start; a whole spectrum where there is none.
fn highest_steps(leaves: &Leaves, starts: &[bool]) -> Vec<f64> {
    const BEYOND: f64 = 1e3;
    let mut highest = vec![BEYOND; starts.len()];
    let mut heap: BinaryHeap<(Reverse<u64>, usize)> = BinaryHeap::new();
    for leaf in (0..starts.len()).filter(|leaf| starts[*leaf]) {
        highest[leaf] = 0.0;
        heap.push((Reverse(0), leaf));
    }
    while let Some((Reverse(bits), leaf)) = heap.pop() {
        // Of numbers not below zero the bits are in order.
        let here = f64::from_bits(bits);
        if here > highest[leaf] {
            continue;
        }
        for (next, step) in leaves.beside(leaf) {
            let there = here.max(step);
            if there < highest[next] {
                highest[next] = there;
                heap.push((Reverse(there.to_bits()), next));
            }
        }
    }
    highest
}
