//! What a drawn line runs over, in its order: for a section with its profile, and for a climb said by drawing.
//!
//! The line is cut where it crosses a border; which area a stretch lies in is asked at its middle. Stretches shorter than
//! a pencil line are left out.

use measure::plane::Point;

use crate::pattern::{Outlines, lies_in};
use crate::work::AreaId;

/// A stretch under this is no crossing of an area but a graze, mm.
const LEAST_MM: f64 = 0.3;

/// A stretch of a line over one area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// The area.
    pub area: AreaId,
    /// Where it begins along the line, mm.
    pub from_mm: f64,
    /// Where it ends.
    pub to_mm: f64,
}

/// The stretches of a drawn line over the areas of a pattern, in the order of the line.
pub fn profile(outlines: &Outlines, line: &[Point]) -> Vec<Stretch> {
    let (mut found, mut walked): (Vec<Stretch>, f64) = (Vec::new(), 0.0);
    for pair in line.windows(2) {
        let (from, to) = (mm(pair[0]), mm(pair[1]));
        let long = ((to.0 - from.0) * (to.0 - from.0) + (to.1 - from.1) * (to.1 - from.1)).sqrt();
        let mut cuts = crossings(outlines, from, to);
        cuts.extend([0.0, 1.0]);
        cuts.sort_by(f64::total_cmp);
        for ends in cuts.windows(2).filter(|ends| ends[1] > ends[0]) {
            let middle = (ends[0] + ends[1]) / 2.0;
            let um = |from: f64, to: f64| ((from + middle * (to - from)) * 1000.0).round() as i32;
            let Some(area) = lies_in(outlines, Point::new(um(from.0, to.0), um(from.1, to.1))) else { continue };
            let (from_mm, to_mm) = (walked + ends[0] * long, walked + ends[1] * long);
            match found.last_mut() {
                Some(last) if last.area == area && from_mm - last.to_mm < LEAST_MM => last.to_mm = to_mm,
                _ => found.push(Stretch { area, from_mm, to_mm }),
            }
        }
        walked += long;
    }
    found.retain(|stretch| stretch.to_mm - stretch.from_mm >= LEAST_MM);
    found
}

fn mm(point: Point) -> (f64, f64) {
    point.to_mm()
}

/// The shares of a straight stretch at which it crosses a border.
fn crossings(outlines: &Outlines, from: (f64, f64), to: (f64, f64)) -> Vec<f64> {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    // Across the stretch, and along it as a share: a chord that changes sides crosses.
    let turned = |point: &Point| {
        let (x, y) = (mm(*point).0 - from.0, mm(*point).1 - from.1);
        (x * dy - y * dx, x * dx + y * dy)
    };
    let square = dx * dx + dy * dy;
    let mut shares = Vec::new();
    for line in outlines.lines.values() {
        let turned: Vec<(f64, f64)> = line.iter().map(turned).collect();
        for pair in turned.windows(2).filter(|pair| (pair[0].0 <= 0.0) != (pair[1].0 <= 0.0)) {
            let along = pair[0].1 - pair[0].0 / (pair[1].0 - pair[0].0) * (pair[1].1 - pair[0].1);
            shares.extend(Some(along / square).filter(|share| *share > 0.0 && *share < 1.0));
        }
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::outlines;
    use crate::pattern::sample::accepted;

    #[test]
    fn a_line_over_a_grid_meets_its_areas_in_order_and_whole() {
        let work = accepted(6, 4);
        let outlines = outlines(&work.pattern, work.panel);
        let (width, height) = (work.panel.width.0, work.panel.height.0);
        let line = [Point::new(0, height / 8), Point::new(width - 1, height / 8)];
        let found = profile(&outlines, &line);
        assert!(found.len() >= 6, "{found:?}");
        assert!(found.windows(2).all(|pair| (pair[1].from_mm - pair[0].to_mm).abs() < 0.4), "{found:?}");
        let bent = [line[0], Point::new(width / 2, height / 8), line[1]];
        let same: Vec<AreaId> = profile(&outlines, &bent).iter().map(|stretch| stretch.area).collect();
        assert_eq!(
            same,
            found.iter().map(|stretch| stretch.area).collect::<Vec<_>>(),
            "a corner in it changes nothing"
        );
        let all: f64 = found.iter().map(|stretch| stretch.to_mm - stretch.from_mm).sum();
        assert!((all - f64::from(width) / 1000.0).abs() < 1.0, "{all}");
    }
}
