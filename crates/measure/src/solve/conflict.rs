//! Rows that cannot all hold: a simple cycle whose steps sum above zero.
//!
//! Bellman (1958) and Ford, with the predecessor graph searched for a cycle after each pass. The cycle is irreducible:
//! without any one of its rows the rest can hold. It need not be the shortest.

use super::row::{Price, Row};

/// The places in `rows` of musts that cannot hold together, in order along a cycle (each row's `high` is the next one's
/// `low`), or `None` when all can hold. Wishes are passed over.
pub fn positive_cycle(nodes: usize, rows: &[Row]) -> Option<Vec<usize>> {
    let musts: Vec<usize> = (0..rows.len()).filter(|&at| rows[at].price == Price::Must).collect();
    let mut floor = vec![0i64; nodes];
    let mut raised_by = vec![None; nodes];
    for _ in 0..=nodes {
        let mut raised = false;
        for &at in &musts {
            let row = &rows[at];
            if floor[row.low] + row.by > floor[row.high] {
                floor[row.high] = floor[row.low] + row.by;
                raised_by[row.high] = Some(at);
                raised = true;
            }
        }
        if !raised {
            return None;
        }
        if let Some(cycle) = predecessor_cycle(rows, &raised_by) {
            return Some(cycle);
        }
    }
    predecessor_cycle(rows, &raised_by)
}

/// A cycle of the rows that raised each node last.
fn predecessor_cycle(rows: &[Row], raised_by: &[Option<usize>]) -> Option<Vec<usize>> {
    const FRESH: usize = usize::MAX;
    let mut walk_of = vec![FRESH; raised_by.len()];
    for start in 0..raised_by.len() {
        let mut node = start;
        while walk_of[node] == FRESH {
            walk_of[node] = start;
            let Some(at) = raised_by[node] else { break };
            node = rows[at].low;
        }
        if walk_of[node] == start && raised_by[node].is_some() {
            return Some(cycle_through(rows, raised_by, node));
        }
    }
    None
}

fn cycle_through(rows: &[Row], raised_by: &[Option<usize>], node: usize) -> Vec<usize> {
    let mut cycle = Vec::new();
    let mut at_node = node;
    loop {
        let at = raised_by[at_node].expect("each node of the cycle was raised by a row");
        cycle.push(at);
        at_node = rows[at].low;
        if at_node == node {
            break;
        }
    }
    cycle.reverse();
    cycle
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_planted_cycle_among_harmless_rows() {
        let mut rows: Vec<Row> = (1..50).map(|i| Row::must(i, i + 1, 3)).collect();
        rows.push(Row::must(30, 20, -31));
        assert_eq!(positive_cycle(51, &rows), None, "30 above 20 by 30 is within 31");
        rows.push(Row::must(30, 20, -29));
        let cycle = positive_cycle(51, &rows).unwrap();
        assert_eq!(cycle.len(), 11);
        assert_eq!(cycle.iter().map(|&at| rows[at].by).sum::<i64>(), 1);
        for pair in cycle.windows(2) {
            assert_eq!(rows[pair[0]].high, rows[pair[1]].low);
        }
    }

    #[test]
    fn a_node_above_itself_is_a_cycle_of_one() {
        assert_eq!(positive_cycle(3, &[Row::must(1, 2, 5), Row::must(2, 2, 1)]), Some(vec![1]));
    }
}
