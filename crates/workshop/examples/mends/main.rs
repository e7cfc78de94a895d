//! Prints jobs whose heights want mending, and how we mended them, one JSON value a line, for a judge outside.
//!
//! `mends FIRST COUNT`: each line is `{"seed", "pieces": [[number, height or null, whether acts may move it]], "parts",
//! "relations": [[says, wish or null]], "levels", "range", "moved": [pieces, µm] or null, "heights": [number, µm]}`.

use serde_json::{Value, json};
use workshop::work::{By, State, Strength, Work};

mod jobs;

fn main() {
    let numbers: Vec<u64> = std::env::args().skip(1).map(|text| text.parse().expect("FIRST COUNT")).collect();
    let [first, count] = numbers[..] else { panic!("FIRST COUNT") };
    for seed in first..first + count {
        println!("{}", told(seed, &jobs::job(seed)));
    }
}

fn told(seed: u64, work: &Work) -> Value {
    let after = jobs::mended(work);
    let stock = &work.choices.stock;
    let pieces = work.pieces.iter().map(|(number, piece)| {
        let height = piece.values.height;
        let free = piece.state == State::Planned && height.is_none_or(|height| height.by == By::Act);
        json!([number, height.map(|height| height.value), free])
    });
    let relations = work.relations.values().map(|relation| match relation.strength {
        Strength::Must => json!([relation.says, null]),
        Strength::Wish(weight) => json!([relation.says, weight]),
    });
    let heights = |work: &Work| -> Vec<Value> {
        work.pieces
            .iter()
            .map(|(number, piece)| json!([number, piece.values.height.map(|height| height.value)]))
            .collect()
    };
    json!({
        "seed": seed,
        "pieces": pieces.collect::<Vec<_>>(),
        "parts": work.parts.iter().map(|(id, part)| json!([id, part.pieces])).collect::<Vec<_>>(),
        "relations": relations.collect::<Vec<_>>(),
        "thicknesses": stock.thicknesses,
        "raisers": stock.raisers,
        "range": [stock.lowest, stock.highest],
        "moved": after.as_ref().map(|after| jobs::moves(work, after)),
        "heights": after.as_ref().map(heights),
    })
}
