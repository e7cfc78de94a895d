//! Annealing within one set (Kirkpatrick, Gelatt, Vecchi 1983): single moves and exchanges of two nodes, dearer ones by a
//! chance that falls. Rooms are soft at first and harden, so that the search crosses packings that do not fit.

use super::net::{Net, State};
use super::settle::{SAME, exchange, settle};
use crate::Dice;

/// Past this many nodes the steps grow no more, so that an annealing stays short.
const NODES_COUNTED: usize = 60;

/// The chance is that of a mean node's cost times this at first, and at last.
const HEAT: (f64, f64) = (1.0, 0.01);

/// Passing a room costs a mean node's cost for a mean node's size times this at first, and at last.
const HARDNESS: (f64, f64) = (0.5, 5.0);

/// Anneals from `state` with the labels of `set`; what comes back is settled, and its rooms count in full.
pub(super) fn anneal(net: &Net, set: &[usize], mut state: State, (steps, dice): (usize, &mut Dice)) -> State {
    let nodes = state.label.len();
    let steps = steps * nodes.min(NODES_COUNTED);
    let cost = net.unlimited(&state) / nodes as f64;
    let size = net.few.nodes.iter().map(|node| node.size).sum::<f64>() / nodes as f64;
    let mut now = net.unlimited(&state);
    let mut best = (f64::MAX, state.clone());
    let along = |(from, to): (f64, f64), share: f64| from * libm::pow(to / from, share);
    for step in 0..steps {
        let share = step as f64 / steps as f64;
        let soft = along(HARDNESS, share) * cost / size.max(f64::MIN_POSITIVE);
        let most = -cost * along(HEAT, share) * libm::log(1.0 - dice.share());
        let node = dice.below(nodes);
        now += if net.limited() && dice.below(2) == 0 {
            exchange_by(net, &mut state, (node, dice.below(nodes)), (soft, most))
        } else {
            move_by(net, &mut state, (node, set[dice.below(set.len())]), (soft, most))
        };
        if now < best.0 - SAME && fits(net, &state) {
            best = (now, state.clone());
        }
    }
    if best.0 < f64::MAX {
        state = best.1;
    }
    settle(net, set, &mut state);
    while net.limited() && exchange(net, &mut state) {
        settle(net, set, &mut state);
    }
    state
}

fn passed(net: &Net, state: &State, label: usize) -> f64 {
    (state.filled[label] - net.few.room[label]).max(0.0)
}

/// Moves a node unless that costs more than `most`.
fn move_by(net: &Net, state: &mut State, (node, to): (usize, usize), (soft, most): (f64, f64)) -> f64 {
    let (from, size) = (state.label[node], net.few.nodes[node].size);
    if from == to {
        return 0.0;
    }
    let before = passed(net, state, from) + passed(net, state, to);
    let local = net.local(state, node, to) - net.local(state, node, from);
    state.put(node, size, to);
    if local + soft * (passed(net, state, from) + passed(net, state, to) - before) > most {
        state.put(node, size, from);
        return 0.0;
    }
    local
}

/// Exchanges the labels of two nodes unless that costs more than `most`.
fn exchange_by(net: &Net, state: &mut State, (one, two): (usize, usize), (soft, most): (f64, f64)) -> f64 {
    let (a, b) = (state.label[one], state.label[two]);
    if a == b {
        return 0.0;
    }
    let (size_one, size_two) = (net.few.nodes[one].size, net.few.nodes[two].size);
    let before = passed(net, state, a) + passed(net, state, b);
    let first = net.local(state, one, b) - net.local(state, one, a);
    state.put(one, size_one, b);
    let second = net.local(state, two, a) - net.local(state, two, b);
    state.put(two, size_two, a);
    if first + second + soft * (passed(net, state, a) + passed(net, state, b) - before) > most {
        state.put(two, size_two, b);
        state.put(one, size_one, a);
        return 0.0;
    }
    first + second
}

fn fits(net: &Net, state: &State) -> bool {
    (0..net.few.labels).all(|label| net.over(label, state.filled[label]) == 0.0)
}
