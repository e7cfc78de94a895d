//! Rows of known heights over pages.

use std::ops::Range;

/// Which rows go on which page. A row that `leads` is never the last of its page while another follows.
pub(super) fn pages<T>(
    rows: &[T],
    room: f64,
    height: impl Fn(&T) -> f64,
    leads: impl Fn(&T) -> bool,
) -> Vec<Range<usize>> {
    let mut pages = Vec::new();
    let (mut from, mut used) = (0, 0.0);
    let mut at = 0;
    while at < rows.len() {
        used += height(&rows[at]);
        if used > room && at > from {
            let mut end = at;
            while end > from + 1 && leads(&rows[end - 1]) {
                end -= 1;
            }
            pages.push(from..end);
            (from, used, at) = (end, 0.0, end);
        } else {
            at += 1;
        }
    }
    pages.push(from..rows.len());
    pages
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_head_is_left_alone_at_the_foot() {
        let rows = [false, false, true, false, false];
        assert_eq!(pages(&rows, 3.0, |_| 1.0, |head| *head), [0..2, 2..5]);
    }

    #[test]
    fn every_row_is_on_one_page() {
        let rows: Vec<f64> = (0..50).map(|i| 1.0 + f64::from(i % 7)).collect();
        let pages = pages(&rows, 11.0, |h| *h, |_| false);
        assert!(pages.windows(2).all(|pair| pair[0].end == pair[1].start));
        assert_eq!((pages[0].start, pages[pages.len() - 1].end), (0, 50));
        assert!(pages.iter().all(|page| rows[page.clone()].iter().sum::<f64>() <= 11.0));
    }
}
