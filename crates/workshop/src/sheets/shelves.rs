//! Boxes on shelves, several below each other where a shelf is high enough; and boxes on pages.
//!
//! First fit in the order given (Coffman, Garey, Johnson and Tarjan 1980), each shelf cut into columns: a low box goes below
//! another rather than beside it, so that one high box does not leave a page white. The order is the caller's; the highest
//! first fills best.

use super::paper::{Rect, Spot};

/// A shelf that is as wide as the page.
pub(super) struct Shelf {
    pub high: f64,
    columns: Vec<Column>,
}

struct Column {
    x: f64,
    wide: f64,
    used: f64,
}

/// White between boxes, across and down.
#[derive(Clone, Copy)]
pub(super) struct Apart {
    pub across: f64,
    pub down: f64,
}

impl Shelf {
    pub fn new(high: f64) -> Shelf {
        Shelf { high, columns: Vec::new() }
    }

    /// A place for a box, from the shelf's upper left corner, on a shelf of this width.
    pub fn seat(&mut self, (w, h): (f64, f64), width: f64, apart: Apart) -> Option<Spot> {
        if h > self.high {
            return None;
        }
        let high = self.high;
        if let Some(column) = self.columns.iter_mut().find(|c| w <= c.wide && c.used + apart.down + h <= high) {
            let y = column.used + apart.down;
            column.used = y + h;
            return Some((column.x, y));
        }
        let x = self.columns.last().map_or(0.0, |last| last.x + last.wide + apart.across);
        (x + w <= width).then(|| {
            self.columns.push(Column { x, wide: w, used: h });
            (x, 0.0)
        })
    }

    /// What its boxes take of its width.
    pub fn used(&self) -> f64 {
        self.columns.last().map_or(0.0, |last| last.x + last.wide)
    }
}

/// A page while it is filled: every largest rectangle that is still white (Jylänki 2010, maximal rectangles).
struct Page {
    white: Vec<Rect>,
}

impl Page {
    fn new((w, h): (f64, f64)) -> Page {
        Page { white: vec![Rect::new(0.0, 0.0, w, h)] }
    }

    /// The highest place for a box, then the leftmost; taken from the white.
    fn seat(&mut self, (w, h): (f64, f64)) -> Option<Spot> {
        let fits = self.white.iter().filter(|white| w <= white.w + 1e-9 && h <= white.h + 1e-9);
        let seat = fits.min_by(|a, b| a.y.total_cmp(&b.y).then(a.x.total_cmp(&b.x))).map(|white| (white.x, white.y))?;
        let taken = Rect::new(seat.0, seat.1, w, h);
        let split = self.white.iter().flat_map(|white| left_white(*white, taken)).collect::<Vec<_>>();
        let within = |one: &Rect, at: usize| {
            split.iter().enumerate().any(|(other, rect)| other != at && rect.holds(*one) && (rect != one || other < at))
        };
        self.white = split.iter().enumerate().filter(|(at, one)| !within(one, *at)).map(|(_, one)| *one).collect();
        Some(seat)
    }
}

/// What a box leaves of a white rectangle, as largest rectangles.
fn left_white(white: Rect, taken: Rect) -> Vec<Rect> {
    if !white.meets(taken) {
        return vec![white];
    }
    let sides = [
        Rect { w: taken.x - white.x, ..white },
        Rect { x: taken.right(), w: white.right() - taken.right(), ..white },
        Rect { h: taken.y - white.y, ..white },
        Rect { y: taken.bottom(), h: white.bottom() - taken.bottom(), ..white },
    ];
    sides.into_iter().filter(|side| side.w > 1e-9 && side.h > 1e-9).collect()
}

/// Each box's page and place there: the first page with room. A box larger than a page stands alone at its corner.
pub(super) fn paged(sizes: &[(f64, f64)], page: (f64, f64), apart: Apart) -> Vec<(usize, Spot)> {
    // White is packed with each box, so that the last of a row may touch the margin.
    let room = (page.0 + apart.across, page.1 + apart.down);
    let mut pages: Vec<Page> = Vec::new();
    let mut places = Vec::new();
    for &(w, h) in sizes {
        let size = (w.min(page.0) + apart.across, h.min(page.1) + apart.down);
        let seat = pages.iter_mut().enumerate().find_map(|(at, one)| Some((at, one.seat(size)?)));
        places.push(seat.unwrap_or_else(|| {
            let mut one = Page::new(room);
            let seat = one.seat(size).expect("an empty page has room");
            pages.push(one);
            (pages.len() - 1, seat)
        }));
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_on_a_shelf_keep_apart_and_stay_on_it() {
        let mut shelf = Shelf::new(60.0);
        let apart = Apart { across: 6.0, down: 3.0 };
        let boxes = [(20.0, 60.0), (30.0, 25.0), (28.0, 20.0), (10.0, 9.0), (50.0, 10.0), (50.0, 10.0), (50.0, 40.0)];
        let seated = boxes.iter().filter_map(|&size| Some((size, shelf.seat(size, 120.0, apart)?)));
        let placed: Vec<Rect> = seated.map(|((w, h), (x, y))| Rect::new(x, y, w, h)).collect();
        assert_eq!(placed.len(), 6, "two lie below the second, the last has no room");
        for (at, rect) in placed.iter().enumerate() {
            assert!(rect.right() <= 120.0 && rect.bottom() <= 60.0 && rect.right() <= shelf.used());
            assert!(placed[..at].iter().all(|other| !other.meets(Rect { w: rect.w + 2.9, h: rect.h + 2.9, ..*rect })));
        }
    }

    #[test]
    fn boxes_on_pages_keep_apart_and_fill_them() {
        let apart = Apart { across: 6.0, down: 3.0 };
        let page = (190.0, 250.0);
        let sizes: Vec<(f64, f64)> =
            (0..40_u32).map(|i| (30.0 + f64::from(i * 37 % 60), 20.0 + f64::from(i * 53 % 45))).collect();
        let placed: Vec<(usize, Rect)> = (paged(&sizes, page, apart).into_iter().zip(&sizes))
            .map(|((on, (x, y)), (w, h))| (on, Rect::new(x, y, *w, *h)))
            .collect();
        let area: f64 = sizes.iter().map(|(w, h)| w * h).sum();
        let pages = placed.iter().map(|(on, _)| on + 1).max().unwrap_or(0);
        assert!((pages as f64) < area / (page.0 * page.1) * 1.5 + 1.0, "{pages} pages");
        for (at, (on, rect)) in placed.iter().enumerate() {
            assert!(rect.right() <= page.0 + 1e-6 && rect.bottom() <= page.1 + 1e-6);
            let beside = |a: &Rect, b: &Rect| !Rect { w: a.w + 5.9, h: a.h + 2.9, ..*a }.meets(*b);
            let mut others = placed[..at].iter().filter(|(other, _)| other == on);
            assert!(others.all(|(_, one)| beside(one, rect) && beside(rect, one)));
        }
    }
}
