//! Short codes of woods for the sheets.
//!
//! The rule: the first letters of the key's words (`walnut-black` is WB), or the first two letters of a single word
//! (`holly` is HO). Where that is taken, more letters of the first word, then the last letter gives way to a digit.
//! Woods are served in the order of their keys, and a code once given stays.

use std::collections::{BTreeMap, BTreeSet};

use crate::work::{Wood, WoodId};

/// Gives a code to each wood that has none, or one that an earlier wood has.
pub fn give_codes(woods: &mut BTreeMap<WoodId, Wood>) {
    let mut taken = BTreeSet::new();
    let mut without = Vec::new();
    for wood in woods.values() {
        if wood.code.is_empty() || !taken.insert(wood.code.clone()) {
            without.push(wood.id.clone());
        }
    }
    for id in without {
        let code = candidates(&id.0).find(|code| !taken.contains(code)).expect("the candidates never end");
        taken.insert(code.clone());
        if let Some(wood) = woods.get_mut(&id) {
            wood.code = code;
        }
    }
}

fn candidates(key: &str) -> impl Iterator<Item = String> {
    let words: Vec<String> = key.split('-').filter(|word| !word.is_empty()).map(str::to_uppercase).collect();
    let first: Vec<char> = words.first().map(|word| word.chars().collect()).unwrap_or_default();
    let rest: String = words.iter().skip(1).filter_map(|word| word.chars().next()).collect();
    let least = if rest.is_empty() { 2 } else { 1 };
    let start: String = first.iter().take(2).collect();
    let longer = (least..=first.len().max(least)).map(move |n| first.iter().take(n).collect::<String>() + &rest);
    longer.chain((2..).map(move |n: u32| format!("{start}{n}")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wood::table;

    #[test]
    fn codes_are_short_and_stay() {
        let woods = table();
        assert_eq!(woods[&WoodId("walnut-black".into())].code, "WB");
        assert!(woods.values().all(|wood| (2..=4).contains(&wood.code.chars().count())));
        let mut again = woods.clone();
        give_codes(&mut again);
        assert_eq!(again, woods);
    }

    #[test]
    fn a_new_wood_takes_no_code_that_is_taken() {
        let mut woods = table();
        let mut own = woods[&WoodId("walnut-black".into())].clone();
        own.id = WoodId("aaa-own".into());
        woods.insert(own.id.clone(), own);
        give_codes(&mut woods);
        let codes: BTreeSet<String> = woods.values().map(|wood| wood.code.clone()).collect();
        assert_eq!(codes.len(), woods.len());
    }
}
