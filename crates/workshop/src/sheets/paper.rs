//! Papers by name, and the rectangles that pages are laid out in. All lengths mm, y down from the top of the page.

use crate::work::{Refusal, Way};

/// A paper by its name (`a5` to `a0`, `letter`, `legal`, `tabloid`, `roll-610mm`), with its size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paper {
    /// Its name, as typed.
    pub name: &'static str,
    /// Across, mm.
    pub width_mm: f64,
    /// Down, mm.
    pub height_mm: f64,
    /// Comes from a roll: pattern sheets are as long as the panel needs.
    pub roll: bool,
}

/// Every paper known, upright. A sizes: ISO 216. Letter and tabloid: ASME Y14.1 sizes A and B (8.5 × 11 in, 11 × 17 in).
/// Legal: 8.5 × 14 in, common practice, no source. Rolls: widths of the A sizes, and 24, 36 and 42 in: common practice, no
/// source.
pub const PAPERS: &[Paper] = &[
    upright("a5", 148.0, 210.0),
    upright("a4", 210.0, 297.0),
    upright("a3", 297.0, 420.0),
    upright("a2", 420.0, 594.0),
    upright("a1", 594.0, 841.0),
    upright("a0", 841.0, 1189.0),
    upright("letter", 215.9, 279.4),
    upright("legal", 215.9, 355.6),
    upright("tabloid", 279.4, 431.8),
    roll("roll-297mm", 297.0),
    roll("roll-420mm", 420.0),
    roll("roll-594mm", 594.0),
    roll("roll-610mm", 610.0),
    roll("roll-841mm", 841.0),
    roll("roll-914mm", 914.0),
    roll("roll-1067mm", 1067.0),
];

const fn upright(name: &'static str, width_mm: f64, height_mm: f64) -> Paper {
    Paper { name, width_mm, height_mm, roll: false }
}

/// A roll; sheets other than the pattern are cut from it in the proportion of A paper, lying.
const fn roll(name: &'static str, width_mm: f64) -> Paper {
    Paper { name, width_mm, height_mm: width_mm * std::f64::consts::FRAC_1_SQRT_2, roll: true }
}

/// The paper called `name`, in any case.
pub fn paper(name: &str) -> Result<Paper, Refusal> {
    let wanted = name.trim().to_ascii_lowercase();
    PAPERS.iter().copied().find(|paper| paper.name == wanted).ok_or_else(|| {
        let known: Vec<_> = PAPERS.iter().map(|paper| paper.name).collect();
        let shown: String = name.trim().chars().filter(|c| !c.is_control()).take(40).collect();
        Refusal::new(format!("No paper is called “{shown}”."))
            .way(Way::advice(format!("Choose one of {}.", known.join(", "))))
    })
}

/// What a length of roll needs beyond the panel: margins, head, foot, and white beside the work, mm.
const ROLL_ENDS_MM: f64 = 80.0;

impl Paper {
    /// The sheet with its long side level.
    pub(super) fn lying(self) -> Paper {
        if self.width_mm < self.height_mm { self.turned() } else { self }
    }

    /// A length of roll for a panel of `length` mm.
    pub(super) fn unrolled(self, length: f64) -> Paper {
        Paper { height_mm: length + ROLL_ENDS_MM, ..self }
    }

    /// The same sheet lying on its side.
    pub(super) fn turned(self) -> Paper {
        Paper { width_mm: self.height_mm, height_mm: self.width_mm, ..self }
    }
}

/// A point on a page, mm from its upper left corner.
pub(super) type Spot = (f64, f64);

/// An upright rectangle, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rect {
    pub x: f64,
    pub y: f64,
    pub w: f64,
    pub h: f64,
}

impl Rect {
    pub fn new(x: f64, y: f64, w: f64, h: f64) -> Rect {
        Rect { x, y, w, h }
    }

    /// The rectangle of this size around a centre.
    pub fn around((x, y): Spot, w: f64, h: f64) -> Rect {
        Rect { x: x - w / 2.0, y: y - h / 2.0, w, h }
    }

    pub fn right(self) -> f64 {
        self.x + self.w
    }

    pub fn bottom(self) -> f64 {
        self.y + self.h
    }

    pub fn centre(self) -> Spot {
        (self.x + self.w / 2.0, self.y + self.h / 2.0)
    }

    /// Smaller by `by` on every side; larger where it is negative.
    pub fn inset(self, by: f64) -> Rect {
        Rect { x: self.x + by, y: self.y + by, w: self.w - 2.0 * by, h: self.h - 2.0 * by }
    }

    pub fn contains(self, (x, y): Spot) -> bool {
        x >= self.x && x <= self.right() && y >= self.y && y <= self.bottom()
    }

    /// Whether `other` lies wholly inside.
    pub fn holds(self, other: Rect) -> bool {
        self.contains((other.x, other.y)) && self.contains((other.right(), other.bottom()))
    }

    pub fn meets(self, other: Rect) -> bool {
        self.x < other.right() && other.x < self.right() && self.y < other.bottom() && other.y < self.bottom()
    }

    pub fn corners(self) -> [Spot; 4] {
        [(self.x, self.y), (self.right(), self.y), (self.right(), self.bottom()), (self.x, self.bottom())]
    }

    /// The least rectangle around `points`; `None` without any.
    pub fn bounding(points: impl IntoIterator<Item = Spot>) -> Option<Rect> {
        let mut points = points.into_iter();
        let first = points.next()?;
        let (low, high) = points.fold((first, first), |(low, high), p| {
            ((f64::min(low.0, p.0), f64::min(low.1, p.1)), (f64::max(high.0, p.0), f64::max(high.1, p.1)))
        });
        Some(Rect::new(low.0, low.1, high.0 - low.0, high.1 - low.1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 216: each A size is the one before it halved across its long side, rounded down to whole mm.
    #[test]
    fn a_sizes_halve() {
        let sizes: Vec<Paper> = ["a0", "a1", "a2", "a3", "a4", "a5"].map(|name| paper(name).unwrap()).to_vec();
        for pair in sizes.windows(2) {
            assert_eq!(pair[1].height_mm, pair[0].width_mm);
            assert_eq!(pair[1].width_mm, (pair[0].height_mm / 2.0).floor());
        }
    }

    #[test]
    fn an_unknown_paper_lists_the_known_ones() {
        let refusal = paper("B9\u{7}").unwrap_err();
        assert!(refusal.to_string().contains("“B9”") && refusal.to_string().contains("tabloid"));
        assert_eq!(paper(" Letter ").unwrap().width_mm, 215.9);
    }
}
