//! A raster of 120 × 40 cells of 1 mm with four areas side by side, and strokes over it.

use super::super::grain::between;
use super::*;

const DOWN: u32 = 40;

fn areas() -> Vec<Option<AreaId>> {
    (0..ACROSS * DOWN).map(|at| Some(AreaId(1 + at % ACROSS / 30))).collect()
}

/// A stroke of 12 mm through `x`, 20 mm down, at an angle that counts counterclockwise on the page.
fn stroke(x: f64, degrees: f64) -> Vec<Point> {
    let (c, s) = (libm::cos(degrees.to_radians()), libm::sin(degrees.to_radians()));
    [-6.0, 6.0].map(|r| Point::new(((x + r * c) * 1000.0) as i32, ((20.0 - r * s) * 1000.0) as i32)).to_vec()
}

fn field_of(areas: &[Option<AreaId>], strokes: &[Vec<Point>]) -> Field {
    over(areas, &under(strokes, 1000.0, DOWN))
}

fn check(field: &Field, area: u32, degrees: f64, within: f64) {
    let axis = field.axis(AreaId(area)).expect("the strokes speak of it");
    assert!(between(axis, Axis::degrees(degrees)) <= within, "area {area}: {axis:?} instead of {degrees}");
}

/// The bar: strokes at 10° and 170° meet at 0°, never at 90°.
#[test]
fn strokes_at_10_and_170_meet_at_0() {
    let one: Vec<Option<AreaId>> = areas().iter().map(|area| area.map(|_| AreaId(1))).collect();
    check(&field_of(&one, &[stroke(15.0, 10.0), stroke(105.0, 170.0)]), 1, 0.0, 0.5);
    let four = field_of(&areas(), &[stroke(15.0, 10.0), stroke(105.0, 170.0)]);
    check(&four, 1, 10.0, 3.0);
    check(&four, 4, 170.0, 3.0);
    for area in [2, 3] {
        check(&four, area, 0.0, 8.0);
    }
}

#[test]
fn one_stroke_speaks_for_all_and_the_way_it_was_drawn_does_not_matter() {
    let mut backwards = stroke(40.0, 65.0);
    backwards.reverse();
    for strokes in [vec![stroke(40.0, 65.0)], vec![backwards.clone()], vec![stroke(20.0, 65.0), backwards]] {
        let field = field_of(&areas(), &strokes);
        (1..=4).for_each(|area| check(&field, area, 65.0, 0.5));
    }
}

#[test]
fn strokes_that_cross_say_nothing_and_ground_stops_them() {
    let one: Vec<Option<AreaId>> = areas().iter().map(|area| area.map(|_| AreaId(1))).collect();
    assert!(field_of(&one, &[stroke(30.0, 0.0), stroke(90.0, 90.0)]).axis(AreaId(1)).is_none());
    let parted: Vec<Option<AreaId>> = areas().into_iter().map(|area| area.filter(|id| id.0 != 2)).collect();
    let field = field_of(&parted, &[stroke(15.0, 30.0)]);
    check(&field, 1, 30.0, 0.5);
    assert!(field.axis(AreaId(3)).is_none(), "no chain of pieces joins it to the stroke");
}
