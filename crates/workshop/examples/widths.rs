//! Measures outlines for a judge outside: the widest circle, the necks and the tongues.
//!
//! Each line of standard input is `{"rings_mm": [outer, hole, …], "most_mm": …}`; each line of output
//! `{"widest_mm", "at_mm", "necks": [{"width_mm", "ends_mm"}], "tongues": [{"width_mm", "ends_mm", "long_mm"}]}`, of necks and
//! tongues up to `most_mm`.

use std::io::BufRead;

use measure::length::Um;
use measure::plane::Point;
use serde_json::{Value, json};
use workshop::pattern::widest_circle;
use workshop::saw::{Neck, necks, tongues};

fn main() {
    for line in std::io::stdin().lock().lines() {
        let asked: Value = serde_json::from_str(&line.expect("readable")).expect("a line of JSON");
        let rings: Vec<Vec<[f64; 2]>> = serde_json::from_value(asked["rings_mm"].clone()).expect("rings");
        let at = |[x, y]: &[f64; 2]| Point::new(Um::mm(*x).0, Um::mm(*y).0);
        let rings: Vec<Vec<Point>> = rings.iter().map(|ring| ring.iter().map(at).collect()).collect();
        let circle = widest_circle(&rings);
        let most = asked["most_mm"].as_f64().expect("most") * 1000.0;
        let told = |neck: &Neck| json!({"width_mm": neck.width / 1000.0, "ends_mm": [neck.ends.0.to_mm(), neck.ends.1.to_mm()]});
        let necks: Vec<Value> = necks(&rings, most).iter().map(told).collect();
        let long = |mut across: Value, long: f64| {
            across["long_mm"] = json!(long / 1000.0);
            across
        };
        let found = tongues(&rings, most);
        let tongues: Vec<Value> = found.iter().map(|one| long(told(&one.across), one.long)).collect();
        let (widest, at) = (circle.radius / 500.0, circle.centre.to_mm());
        println!("{}", json!({"widest_mm": widest, "at_mm": at, "necks": necks, "tongues": tongues}));
    }
}
