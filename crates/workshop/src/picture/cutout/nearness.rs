//! From which side a leaf is reached over the lower step of colour.
//!
//! The highest step that no way round avoids, from each side's starts: the minimax path (Pollack 1960), by a heap.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::Said;
use super::leaves::Leaves;

/// Where the sides start: by leaf for the subject, then for the ground. Without a mark to keep all that is not dropped is
/// subject; without one to drop the picture's frame is ground.
pub(super) fn starts(leaves: &Leaves, said: &Said) -> [Vec<bool>; 2] {
    let any = |keep: bool| said.contains(&Some(keep));
    let keeps = said.iter().map(|said| if any(true) { *said == Some(true) } else { said.is_none() }).collect();
    let drops = said.iter().zip(&leaves.all);
    let drops = drops.map(|(said, leaf)| if any(false) { *said == Some(false) } else { leaf.framed && said.is_none() });
    [keeps, drops.collect()]
}

/// By leaf, from -1 where it is the subject's to 1 where it is the ground's.
pub(super) fn leaning(leaves: &Leaves, said: &Said) -> Vec<f64> {
    let [subject, ground] = starts(leaves, said).map(|starts| highest_steps(leaves, &starts));
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
