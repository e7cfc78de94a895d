//! Prints what is said of every pair of the table's woods, for a judge outside: one JSON line a finish.
//!
//! `{"finish", "stray", "path" (both thousandths), "woods": [{"lab", "spread"}], "apart": [[wood, wood]]}`; "spread" is one
//! standard deviation of the raw L*, a* and b*.

use serde_json::{Value, json};
use workshop::wood::{Seeing, Verdict, finishes, judge, spread, table};
use workshop::work::{Finish, Wood};

fn main() {
    let woods: Vec<Wood> = table().into_values().collect();
    for finish in finishes().values() {
        println!("{}", of_finish(&woods, finish));
    }
}

fn of_finish(woods: &[Wood], finish: &Finish) -> Value {
    let seeing = Seeing { finish: Some(finish), years: 0.0 };
    let apart = |one: &usize, two: &usize| judge(&woods[*one], &woods[*two], seeing).1 == Verdict::Apart;
    let pairs = (0..woods.len()).flat_map(|two| (0..two).map(move |one| (one, two)));
    let wood = |wood: &Wood| {
        let raw = wood.colour.value;
        json!({"lab": [raw.l, raw.a, raw.b], "spread": spread(wood, 0.0)})
    };
    json!({
        "finish": finish.id,
        "stray": finish.shift.stray,
        "path": finish.shift.path,
        "woods": woods.iter().map(wood).collect::<Vec<_>>(),
        "apart": pairs.filter(|(one, two)| apart(one, two)).collect::<Vec<_>>(),
    })
}
