//! Parts a picture's subject from its ground by marks, for scoring by other programs.
//!
//! `subject PICTURE MARKS.json OUT.pgm`: marks are `{"keep": [[[x, y], …], …], "drop": …}` in pixels; the first round is all
//! of them, the second the same again, to see what a further round takes. Prints seconds as JSON.

use std::sync::Arc;
use std::time::Instant;

use measure::length::Um;
use measure::plane::Point;
use serde_json::{Value, json};
use workshop::work::edit::{Edit, picture};
use workshop::work::{PictureRef, Size, SubjectMarks, Work};
use workshop::{Derived, apply, subject};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args: Vec<String> = std::env::args().collect();
    let [_, path, marks, out] = args.as_slice() else {
        return Err("subject PICTURE MARKS.json OUT.pgm".into());
    };
    let bytes = std::fs::read(path)?;
    let (width, height) = image::image_dimensions(path)?;
    let mut work =
        Work { panel: Size { width: Um(width as i32 * 1000), height: Um(height as i32 * 1000) }, ..Work::default() };
    let place: PictureRef = serde_json::from_value(json!({ "hash": path, "width": width, "height": height }))?;
    apply(&mut work, &Edit::Picture(picture::Edit::Place(place)))?;
    let marks: Value = serde_json::from_slice(&std::fs::read(marks)?)?;
    let round = SubjectMarks { keep: strokes(&marks["keep"]), drop: strokes(&marks["drop"]) };
    let begun = Instant::now();
    let mut derived = Derived::with_picture(Some(Arc::new(workshop::picture::read(&bytes)?)));
    let read = begun.elapsed().as_secs_f64();
    let mut seconds = Vec::new();
    let mut found = None;
    for _ in 0..2 {
        let begun = Instant::now();
        apply(&mut work, &Edit::Picture(picture::Edit::Mark(round.clone())))?;
        let next = subject(&work, &mut derived)?;
        seconds.push(begun.elapsed().as_secs_f64());
        found = found.or(Some(next));
    }
    let found = found.expect("two rounds were made");
    let mut mask = format!("P5 {} {} 255\n", found.width, found.height).into_bytes();
    mask.extend(found.inside.iter().map(|inside| if *inside { 255 } else { 0 }));
    std::fs::write(out, mask)?;
    println!("{}", json!({ "read": read, "first": seconds[0], "further": seconds[1], "pixels": found.inside.len() }));
    Ok(())
}

fn strokes(of: &Value) -> Vec<Vec<Point>> {
    let at = |value: &Value| (value.as_f64().expect("a number") * 1000.0) as i32;
    let stroke = |stroke: &Value| {
        let points = stroke.as_array().expect("points").iter();
        points.map(|point| Point::new(at(&point[0]), at(&point[1]))).collect()
    };
    of.as_array().expect("strokes").iter().map(stroke).collect()
}
