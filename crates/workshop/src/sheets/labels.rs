//! Where the words of a sheet stand: numbers, wood codes, thicknesses and grain arrows inside pieces. A number that does not
//! fit at the least size stands beside the work or in open shadow or ground (`flags`), or in an inset (`insets`).
//!
//! Inside labels are seated first, largest type first. Seats are searched on a grid: a label may miss a seat between its
//! places, and reads upright or upward only.

use super::flags::{Flag, Flags, Ground, hits};
use super::letters::{Faces, Style, size};
use super::paper::{Rect, Spot};
use super::room::{Quad, Room, enters, rotate};

/// White kept around words inside a piece, mm; and the least, for a number that would else need a flag.
const CLEAR_MM: f64 = 0.7;
const CLOSE_MM: f64 = 0.35;

/// A piece as one sheet shows it, in page mm.
pub(super) struct Shown {
    pub room: Room,
    /// The widest place of the whole piece.
    pub widest: Spot,
    pub number: String,
    /// Wood code and thickness; empty where the sheet does not show them.
    pub code: String,
    /// What a flag shows after the number; empty for nothing.
    pub flag_code: String,
    /// Direction of the grain on the page (cosine, sine; y down).
    pub grain: Option<Spot>,
}

/// One line of words.
#[derive(Clone, Debug)]
pub(super) struct Written {
    pub style: Style,
    /// The left end of its baseline; its middle when it is turned.
    pub at: Spot,
    /// Reads upward.
    pub turned: bool,
    pub text: String,
}

/// All words of a sheet.
#[derive(Clone, Default)]
pub(super) struct Labels {
    pub inside: Vec<Written>,
    /// Ends of each grain arrow.
    pub arrows: Vec<(Spot, Spot)>,
    pub flags: Vec<Flag>,
    /// What words cover, for whatever is placed after them.
    pub taken: Vec<Rect>,
    /// What each inside label covers, with its piece's place among those shown.
    pub seated: Vec<(usize, Rect)>,
    /// Names of shadow and ground, and widths of gaps, each with what it covers.
    pub notes: Vec<(Rect, Written)>,
    /// Pieces, by their place among those shown, that found no place here.
    pub unseated: Vec<usize>,
    /// Pieces, in the same way, whose label left no room for a grain arrow.
    pub bare: Vec<usize>,
    pub(super) arrow_quads: Vec<Quad>,
}

/// A way to set a piece's label.
struct Setting {
    number: f64,
    code: Option<f64>,
    clear: f64,
    turned: bool,
}

/// From the roomiest to the tightest. A smaller one is taken while it makes room for the grain arrow, as long as the code
/// stays.
const SETTINGS: [Setting; 6] = [
    Setting { number: 12.0, code: Some(size::SMALL), clear: CLEAR_MM, turned: false },
    Setting { number: size::BODY, code: Some(size::LEAST), clear: CLEAR_MM, turned: false },
    Setting { number: size::BODY, code: None, clear: CLEAR_MM, turned: false },
    Setting { number: size::LEAST, code: None, clear: CLEAR_MM, turned: false },
    Setting { number: size::LEAST, code: None, clear: CLOSE_MM, turned: false },
    Setting { number: size::LEAST, code: None, clear: CLOSE_MM, turned: true },
];

/// A label that has found its seat, and the arrow that fits beside it.
struct Seated {
    rect: Rect,
    written: Vec<Written>,
    arrow: Option<(Spot, f64)>,
    has_code: bool,
}

impl Labels {
    /// Places every piece's label.
    pub fn place(faces: &Faces, mut shown: Vec<Shown>, ground: &Ground) -> Labels {
        let mut labels = Labels { taken: ground.keep.clone(), ..Labels::default() };
        let mut homeless = Vec::new();
        for (at, piece) in shown.iter_mut().enumerate() {
            ground.keep.iter().for_each(|rect| piece.room.take(rect.corners()));
            if !labels.seat(faces, (at, piece)) {
                homeless.push(at);
            }
        }
        Flags::new(ground).place(faces, &shown, homeless, &mut labels);
        labels
    }

    /// Adds a word that belongs to no piece.
    pub fn note(&mut self, rect: Rect, (style, text): (Style, &str)) {
        let word = Written { style, at: (rect.x, rect.bottom()), turned: false, text: text.to_owned() };
        self.notes.push((rect, word));
        self.taken.push(rect.inset(-0.4));
    }

    /// All words moved over the page.
    pub fn moved(&self, (dx, dy): Spot) -> Labels {
        let mut labels = self.clone();
        let spot = |at: &mut Spot| *at = (at.0 + dx, at.1 + dy);
        let rect = |one: &mut Rect| (one.x, one.y) = (one.x + dx, one.y + dy);
        let flags = labels.flags.iter_mut();
        let words = flags.flat_map(|flag| {
            rect(&mut flag.frame);
            spot(&mut flag.leader.0);
            spot(&mut flag.leader.1);
            &mut flag.words
        });
        let notes = labels.notes.iter_mut().map(|(covers, word)| {
            rect(covers);
            word
        });
        labels.inside.iter_mut().chain(words).chain(notes).for_each(|word| spot(&mut word.at));
        labels
            .arrows
            .iter_mut()
            .flat_map(|(a, b)| [a, b])
            .chain(labels.arrow_quads.iter_mut().flatten())
            .for_each(spot);
        labels.taken.iter_mut().chain(labels.seated.iter_mut().map(|(_, covers)| covers)).for_each(rect);
        labels
    }

    /// Whether a box leaves every word, arrow, leader and dot free.
    pub fn leaves(&self, rect: Rect) -> bool {
        !self.taken.iter().any(|taken| taken.meets(rect))
            && !self.flags.iter().any(|flag| enters(rect, flag.leader.0, flag.leader.1))
            && !self.arrow_quads.iter().any(|quad| hits(rect, quad))
    }

    /// Seats a label inside its piece; false when none fits.
    fn seat(&mut self, faces: &Faces, (at_piece, piece): (usize, &mut Shown)) -> bool {
        let mut best: Option<Seated> = None;
        for setting in &SETTINGS {
            let enough = |seated: &Seated| seated.arrow.is_some() || piece.grain.is_none() || !seated.has_code;
            if best.as_ref().is_some_and(|best| enough(best) || setting.code.is_none()) {
                break;
            }
            let found = seated(faces, piece, setting);
            if best.is_none() || found.as_ref().is_some_and(|found| found.arrow.is_some()) {
                best = found;
            }
        }
        let Some(best) = best else { return false };
        self.inside.extend(best.written);
        self.taken.push(best.rect);
        self.seated.push((at_piece, best.rect));
        if let (Some((at, long)), Some(grain)) = (best.arrow, piece.grain) {
            let ends = [-0.5, 0.5].map(|half| rotate((at.0 + half * long, at.1), grain));
            self.arrows.push((ends[0], ends[1]));
            self.arrow_quads.push(Rect::around(at, long, ARROW_WIDE_MM).corners().map(|p| rotate(p, grain)));
        } else if piece.grain.is_some() {
            self.bare.push(at_piece);
        }
        true
    }
}

/// The label in this setting, if the piece has room for it.
fn seated(faces: &Faces, piece: &Shown, setting: &Setting) -> Option<Seated> {
    let block = Block::new(faces, piece, setting);
    let (w, h) = if setting.turned { (block.h, block.w) } else { (block.w, block.h) };
    let at = piece.room.seat((w + 2.0 * setting.clear, h + 2.0 * setting.clear), piece.widest)?;
    let rect = Rect::around(at, w, h);
    let written = if setting.turned { block.upward(at) } else { block.written(rect).collect() };
    let arrow = arrow(piece, rect.inset(-CLEAR_MM / 2.0).corners());
    Some(Seated { rect, written, arrow, has_code: setting.code.is_some() && !piece.code.is_empty() })
}

/// The longest grain arrow that fits beside the label: its middle in the frame turned back by the grain, its length.
fn arrow(piece: &Shown, label: Quad) -> Option<(Spot, f64)> {
    let grain = piece.grain?;
    let back = (grain.0, -grain.1);
    let mut room = piece.room.turned(back);
    room.take(label.map(|p| rotate(p, back)));
    let focus = rotate(piece.widest, back);
    ARROWS_MM.iter().find_map(|&long| Some((room.seat((long + 1.0, ARROW_WIDE_MM), focus)?, long)))
}

/// Lengths tried for grain arrows, mm: the first that fits is drawn. Under 5 mm its direction no longer reads.
const ARROWS_MM: [f64; 7] = [30.0, 22.0, 16.0, 12.0, 9.0, 6.5, 5.0];
const ARROW_WIDE_MM: f64 = 2.6;

/// Words set as a block, measured before it has a place.
pub(super) struct Block {
    pub w: f64,
    pub h: f64,
    lines: Vec<(Style, String, Spot)>,
}

impl Block {
    /// Number above, code below, both centred.
    fn new(faces: &Faces, piece: &Shown, setting: &Setting) -> Block {
        let number = Style::bold(setting.number);
        let mut rows = vec![(number, piece.number.clone())];
        if let Some(pt) = setting.code.filter(|_| !piece.code.is_empty()) {
            rows.push((Style::plain(pt), piece.code.clone()));
        }
        let widths: Vec<f64> = rows.iter().map(|(style, text)| faces.width(*style, text)).collect();
        let w = widths.iter().copied().fold(0.0, f64::max);
        let mut lines = Vec::new();
        let mut y = 0.0;
        for ((style, text), width) in rows.into_iter().zip(widths) {
            y += style.cap_mm() + if lines.is_empty() { 0.0 } else { 1.2 };
            lines.push((style, text, ((w - width) / 2.0, y)));
        }
        Block { w, h: y, lines }
    }

    /// Number and code on one line.
    pub fn flag(faces: &Faces, piece: &Shown) -> Block {
        let (number, code) = (Style::bold(size::LEAST), Style::plain(size::LEAST));
        let h = number.cap_mm();
        let mut w = faces.width(number, &piece.number);
        let mut lines = vec![(number, piece.number.clone(), (0.0, h))];
        if !piece.flag_code.is_empty() {
            lines.push((code, piece.flag_code.clone(), (w + 1.0, h)));
            w += 1.0 + faces.width(code, &piece.flag_code);
        }
        Block { w, h, lines }
    }

    pub fn written(&self, within: Rect) -> impl Iterator<Item = Written> + '_ {
        let (cx, cy) = within.centre();
        let (x, y) = (cx - self.w / 2.0, cy - self.h / 2.0);
        self.lines.iter().map(move |(style, text, at)| Written {
            style: *style,
            at: (x + at.0, y + at.1),
            turned: false,
            text: text.clone(),
        })
    }

    /// Its first line, reading upward through `at`.
    fn upward(&self, at: Spot) -> Vec<Written> {
        let line = self.lines.iter().take(1);
        line.map(|(style, text, _)| Written { style: *style, at, turned: true, text: text.clone() }).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::room::{cross, enters};
    use super::*;

    fn square(x: f64, y: f64, side: f64, number: u32) -> Shown {
        let ring = Rect::new(x, y, side, side).corners().to_vec();
        Shown {
            room: Room::new(vec![ring], WINDOW).unwrap(),
            widest: (x + side / 2.0, y + side / 2.0),
            number: number.to_string(),
            code: "WA 6".into(),
            flag_code: "WA 6".into(),
            grain: Some((1.0, 0.0)),
        }
    }

    /// A page of open ground.
    fn open() -> Ground {
        let open = vec![vec![WINDOW.inset(-5.0).corners().to_vec()]];
        Ground { borders: Vec::new(), open, panel: WINDOW, bounds: WINDOW, keep: Vec::new() }
    }

    const WINDOW: Rect = Rect { x: 0.0, y: 0.0, w: 200.0, h: 200.0 };

    #[test]
    fn large_pieces_hold_their_label_and_arrow() {
        let faces = Faces::new();
        let labels = Labels::place(&faces, vec![square(10.0, 10.0, 40.0, 7)], &open());
        assert_eq!((labels.inside.len(), labels.arrows.len(), labels.flags.len()), (2, 1, 0));
        let piece = Rect::new(10.0, 10.0, 40.0, 40.0);
        assert!(labels.taken.iter().all(|rect| piece.holds(*rect)));
        let (a, b) = labels.arrows[0];
        assert!(piece.contains(a) && piece.contains(b) && (a.1 - b.1).abs() < 1e-9);
        assert!(!enters(labels.taken[0], a, b), "the arrow runs beside the label");
    }

    #[test]
    fn small_pieces_get_flags_that_keep_apart() {
        let faces = Faces::new();
        let shown: Vec<Shown> = (0..9).map(|i| square(90.0 + 2.5 * f64::from(i), 100.0, 2.0, 100 + i)).collect();
        let labels = Labels::place(&faces, shown, &open());
        assert_eq!(labels.flags.len() + labels.unseated.len(), 9);
        assert!(labels.flags.len() >= 3, "{} find a place in the open", labels.flags.len());
        for (at, flag) in labels.flags.iter().enumerate() {
            assert!(WINDOW.holds(flag.frame));
            assert!(labels.flags[..at].iter().all(|other| !other.frame.meets(flag.frame)));
            assert!(labels.flags[..at].iter().all(|other| !cross(other.leader, flag.leader)));
        }
    }
}
