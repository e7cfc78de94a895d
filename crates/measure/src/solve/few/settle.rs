//! Settling nodes one after the other, and two at a time, with the labels of a set.

use super::net::{Net, State};

/// Sweeps over the nodes at the most; four are the most seen to change anything without limits.
const SWEEPS: usize = 30;

/// Costs nearer than this are the same.
pub(super) const SAME: f64 = 1e-9;

/// Moves nodes one at a time until none would change, or the sweeps are used up. Ties stay as they are.
pub(super) fn settle(net: &Net, set: &[usize], state: &mut State) {
    let limited = net.limited();
    let mut open = vec![true; state.label.len()];
    for _ in 0..SWEEPS {
        let mut changed = false;
        for node in 0..state.label.len() {
            // Where rooms bind, every node may gain from any other's move; else only the neighbours may.
            if !limited && !std::mem::take(&mut open[node]) {
                continue;
            }
            if move_one(net, set, state, node) {
                changed = true;
                net.beside[node].iter().for_each(|beside| open[beside.other] = true);
            }
        }
        if !changed {
            break;
        }
    }
}

fn move_one(net: &Net, set: &[usize], state: &mut State, node: usize) -> bool {
    let (from, size) = (state.label[node], net.few.nodes[node].size);
    let mut best = (net.local(state, node, from) - SAME, from);
    for &to in set.iter().filter(|to| **to != from) {
        let cost = net.local(state, node, to) + net.moved(state, size, from, to);
        if cost < best.0 {
            best = (cost, to);
        }
    }
    if best.1 != from {
        state.put(node, size, best.1);
    }
    best.1 != from
}

/// Exchanges the labels of two nodes wherever that wins, once through all pairs; whether any did.
pub(super) fn exchange(net: &Net, state: &mut State) -> bool {
    let mut changed = false;
    for one in 0..state.label.len() {
        for two in one + 1..state.label.len() {
            changed |= exchange_two(net, state, one, two);
        }
    }
    changed
}

fn exchange_two(net: &Net, state: &mut State, one: usize, two: usize) -> bool {
    let (a, b) = (state.label[one], state.label[two]);
    let rooms = &net.few.room;
    if a == b || !(rooms[a].is_finite() || rooms[b].is_finite()) {
        return false;
    }
    let over = |state: &State| net.over(a, state.filled[a]) + net.over(b, state.filled[b]);
    let (size_one, size_two, before) = (net.few.nodes[one].size, net.few.nodes[two].size, over(state));
    // One step after the other, so that the pair between the two is counted as it stands at each.
    let first = net.local(state, one, b) - net.local(state, one, a);
    state.put(one, size_one, b);
    let second = net.local(state, two, a) - net.local(state, two, b);
    state.put(two, size_two, a);
    if first + second + over(state) - before < -SAME {
        return true;
    }
    state.put(two, size_two, b);
    state.put(one, size_one, a);
    false
}
