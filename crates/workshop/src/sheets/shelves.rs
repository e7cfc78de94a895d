//! Boxes on shelves, several below each other where a shelf is high enough.
//!
//! First fit in the order given (Coffman, Garey, Johnson and Tarjan 1980), each shelf cut into columns: a low box goes below
//! another rather than beside it, so that one high box does not leave a page white. The order is the caller's; the highest
//! first fills best.

use super::paper::Spot;

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

/// A page while it is filled: its shelves with the places of their upper ends, and the last one's lower end.
#[derive(Default)]
struct Page {
    shelves: Vec<(f64, Shelf)>,
    used: f64,
}

impl Page {
    fn seat(&mut self, size: (f64, f64), page: (f64, f64), apart: Apart) -> Option<Spot> {
        let on = self.shelves.iter_mut().find_map(|(y, shelf)| Some((shelf.seat(size, page.0, apart)?, *y)));
        if let Some((at, y)) = on {
            return Some((at.0, y + at.1));
        }
        (self.used + size.1 <= page.1).then(|| {
            let (mut shelf, y) = (Shelf::new(size.1), self.used);
            shelf.seat(size, page.0, apart);
            self.shelves.push((y, shelf));
            self.used += size.1 + apart.down;
            (0.0, y)
        })
    }
}

/// Each box's page and place there: the first page with room. A box larger than a page stands alone at its corner.
pub(super) fn paged(sizes: &[(f64, f64)], page: (f64, f64), apart: Apart) -> Vec<(usize, Spot)> {
    let mut pages: Vec<Page> = Vec::new();
    let mut places = Vec::new();
    for &(w, h) in sizes {
        let size = (w.min(page.0), h.min(page.1));
        let seat = pages.iter_mut().enumerate().find_map(|(at, one)| Some((at, one.seat(size, page, apart)?)));
        places.push(seat.unwrap_or_else(|| {
            let mut one = Page::default();
            let seat = one.seat(size, page, apart).expect("an empty page has room");
            pages.push(one);
            (pages.len() - 1, seat)
        }));
    }
    places
}

#[cfg(test)]
mod tests {
    use super::super::paper::Rect;
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
}
