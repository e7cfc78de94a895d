//! Woods whose name or key is spelled nearly as something typed.

use std::collections::BTreeMap;

use crate::work::{Wood, WoodId};

/// How many suggestions are made.
const MOST: usize = 3;

/// Up to three woods that may have been meant, the nearest first; empty when nothing is near.
pub fn near(typed: &str, woods: &BTreeMap<WoodId, Wood>) -> Vec<WoodId> {
    let typed = typed.trim().to_lowercase();
    let mut ranked: Vec<(usize, &WoodId)> = woods
        .values()
        .filter_map(|wood| {
            let far =
                [wood.id.0.to_lowercase(), wood.name.to_lowercase()].iter().map(|name| far(&typed, name)).min()?;
            (far <= 1 + typed.chars().count() / 4).then_some((far, &wood.id))
        })
        .collect();
    ranked.sort();
    ranked.into_iter().take(MOST).map(|(_, id)| id.clone()).collect()
}

/// Letters to change, add or drop; 1 when every typed word stands in the name.
fn far(typed: &str, name: &str) -> usize {
    let words =
        |text: &str| text.split([' ', '-', ',']).filter(|w| !w.is_empty()).map(String::from).collect::<Vec<_>>();
    let (typed_words, name_words) = (words(typed), words(name));
    if !typed_words.is_empty() && typed_words.iter().all(|word| name_words.contains(word)) {
        return usize::from(typed_words.len() < name_words.len());
    }
    distance(typed, name)
}

/// Levenshtein's distance, row by row.
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut above: Vec<usize> = (0..=b.len()).collect();
    for (i, from) in a.chars().enumerate() {
        let mut row = vec![i + 1];
        for (j, to) in b.iter().enumerate() {
            row.push((above[j] + usize::from(from != *to)).min(above[j + 1] + 1).min(row[j] + 1));
        }
        above = row;
    }
    above[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wood::table;

    fn check(typed: &str, first: &str) {
        assert_eq!(near(typed, &table()).first(), Some(&WoodId(first.into())), "{typed}");
    }

    #[test]
    fn finds_what_was_meant() {
        check("walnut-blak", "walnut-black");
        check("black walnut", "walnut-black");
        check("Wenge", "wenge");
        check("paduk-african", "padauk-african");
        assert!(near("plastic", &table()).is_empty());
    }
}
