//! Whatever is said: heights of stock that keep every must, or a contradiction with ways out that hold.

use proptest::prelude::*;

use super::*;

fn says(pieces: u32) -> impl Strategy<Value = Says> {
    let row = prop::sample::subsequence((1..=pieces).collect::<Vec<_>>(), 2..4).prop_shuffle();
    (0..9, row, 0..6i32, 12..40i32).prop_map(|(kind, row, step, at)| {
        let (a, b, by) = (piece(row[0]), piece(row[1]), Um(step * 1000));
        match kind {
            0 | 1 => Says::AtLeast { above: a, below: b, by },
            2 => Says::About { above: a, below: b, by },
            3 => Says::Level(a, b),
            4 => Says::AtLeast { above: Whom::Frame, below: a, by },
            5 => Says::About { above: Whom::Frame, below: a, by },
            6 => Says::AtLeast { above: a, below: Whom::Backer, by: Um(at * 1000) },
            7 => Says::Level(a, Whom::Frame),
            _ => Says::Within(a, Um(at * 1000), Um(at * 1000 + 9000)),
        }
    })
}

fn strength() -> impl Strategy<Value = Strength> {
    prop_oneof![Just(Strength::Must), (1..1_000_000u32).prop_map(Strength::Wish)]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn heights_are_built_of_stock_and_keep_every_must(
        said in prop::collection::vec((says(8), strength()), 0..10),
        settings in prop::option::of(1..4u32),
    ) {
        let (mut work, outlines) = job(8);
        work.choices.planer_settings = settings;
        work.choices.frame_depth = Some(Um(39_000));
        for (says, strength) in said {
            apply(&mut work, &Edit::Relate { says, strength }).unwrap();
        }
        match solved(&work, &outlines) {
            Ok(landed) => {
                let stock = &work.choices.stock;
                for landed in landed.values() {
                    prop_assert!(stock.thicknesses.contains(&landed.thickness) && stock.raisers.contains(&landed.raiser));
                    prop_assert_eq!(landed.thickness.0 + landed.raiser.0, landed.height.0);
                    prop_assert!((stock.lowest..=stock.highest).contains(&landed.height));
                }
                prop_assert_eq!(landed.len(), 8);
                taken(&mut work, &landed);
                let broken = kinds(&work, &outlines);
                prop_assert!(!broken.iter().any(|kind| [Kind::NoWay, Kind::Unmet, Kind::OffStock].contains(kind)));
            }
            Err(refusal) => {
                let named = refusal.spot.relations.clone();
                prop_assert!(!named.is_empty());
                let mut alone = work.clone();
                alone.relations.retain(|id, _| named.contains(id));
                prop_assert!(solved(&alone, &outlines).is_err());
                for way in refusal.ways.iter().filter(|way| !way.says.contains("remains")) {
                    let mut mended = work.clone();
                    for edit in &way.edits {
                        crate::apply(&mut mended, edit).unwrap();
                    }
                    prop_assert!(way.edits.is_empty() || solved(&mended, &outlines).is_ok(), "{}: {}", refusal.what, way.says);
                }
                for id in named {
                    let mut without = alone.clone();
                    without.relations.remove(&id);
                    prop_assert!(solved(&without, &outlines).is_ok(), "{}", refusal.what);
                }
            }
        }
    }
}
