//! A weighted graph Laplacian with anchors, solved by conjugate gradients.
//!
//! Hestenes and Stiefel (1952), with the diagonal as preconditioner. All sums run in order in one thread, so a result is
//! the same on every machine. Singular when a node is tied to nothing that is anchored: such a node keeps its start.

/// The sum over ties of weight × (x_i − x_j − step)², plus over anchors of weight × (x_i − at)².
#[derive(Clone, Debug, Default)]
pub struct Laplacian {
    diagonal: Vec<f64>,
    ties: Vec<Vec<(usize, f64)>>,
    right: Vec<f64>,
}

impl Laplacian {
    /// Over `nodes` nodes, nothing tied yet.
    pub fn new(nodes: usize) -> Laplacian {
        Laplacian { diagonal: vec![0.0; nodes], ties: vec![Vec::new(); nodes], right: vec![0.0; nodes] }
    }

    /// Ties two nodes: `i` wishes to stand `step` above `j`.
    pub fn tie(&mut self, i: usize, j: usize, weight: f64, step: f64) {
        for (a, b, step) in [(i, j, step), (j, i, -step)] {
            self.diagonal[a] += weight;
            self.ties[a].push((b, weight));
            self.right[a] += weight * step;
        }
    }

    /// Draws a node to a value.
    pub fn anchor(&mut self, i: usize, weight: f64, at: f64) {
        self.diagonal[i] += weight;
        self.right[i] += weight * at;
    }

    fn times(&self, x: &[f64]) -> Vec<f64> {
        let row = |(i, ties): (usize, &Vec<(usize, f64)>)| {
            self.diagonal[i] * x[i] - ties.iter().map(|&(j, weight)| weight * x[j]).sum::<f64>()
        };
        self.ties.iter().enumerate().map(row).collect()
    }
}

/// The values where the sum is least, to a residual of `relative` × the right side; at most ten steps a node.
pub fn conjugate_gradient(system: &Laplacian, start: &[f64], relative: f64) -> Vec<f64> {
    let mut x = start.to_vec();
    let scaled = |r: &[f64]| -> Vec<f64> {
        r.iter().zip(&system.diagonal).map(|(r, d)| if *d > 0.0 { r / d } else { 0.0 }).collect()
    };
    let mut r: Vec<f64> = system.right.iter().zip(system.times(&x)).map(|(b, ax)| b - ax).collect();
    let mut z = scaled(&r);
    let mut p = z.clone();
    let mut rz = dot(&r, &z);
    let enough = relative * relative * dot(&system.right, &scaled(&system.right)).max(f64::MIN_POSITIVE);
    for _ in 0..10 * x.len() {
        let ap = system.times(&p);
        let curve = dot(&p, &ap);
        if rz <= enough || curve <= 0.0 {
            break;
        }
        let step = rz / curve;
        for i in 0..x.len() {
            x[i] += step * p[i];
            r[i] -= step * ap[i];
        }
        z = scaled(&r);
        let next = dot(&r, &z);
        for i in 0..x.len() {
            p[i] = z[i] + next / rz * p[i];
        }
        rz = next;
    }
    x
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A chain between two anchors is a series of springs: each tie takes a share of the rise as 1 / weight.
    #[test]
    fn a_chain_shares_the_rise_as_springs_do() {
        let weights = [1.0, 2.0, 4.0, 0.5, 8.0];
        let mut system = Laplacian::new(6);
        for (i, weight) in weights.iter().enumerate() {
            system.tie(i + 1, i, *weight, 0.0);
        }
        system.anchor(0, 1e9, 0.0);
        system.anchor(5, 1e9, 10.0);
        let x = conjugate_gradient(&system, &[0.0; 6], 1e-12);
        let all: f64 = weights.iter().map(|w| 1.0 / w).sum();
        let mut expected = 0.0;
        for (i, weight) in weights.iter().enumerate() {
            expected += 10.0 / weight / all;
            assert!((x[i + 1] - expected).abs() < 1e-6, "{x:?}");
        }
    }

    #[test]
    fn an_untied_node_keeps_its_start() {
        let mut system = Laplacian::new(3);
        system.tie(0, 1, 1.0, 2.0);
        system.anchor(1, 1.0, 5.0);
        let x = conjugate_gradient(&system, &[0.0, 0.0, 7.0], 1e-12);
        assert!((x[0] - 7.0).abs() < 1e-9 && (x[1] - 5.0).abs() < 1e-9 && x[2] == 7.0, "{x:?}");
    }
}
