//! Own drawings: the lines of an SVG, or on paper, become the pattern as they are.
//!
//! The curves are laid over one another and parted where they meet (`measure::plane::arranged`); each face is an area. A curve
//! that nothing cut keeps its control points. Small gaps are closed; lines that part nothing are left out and told.
//! The outline of a thick stroke becomes its centre line, and near-twin lines become one.

mod doctype;
mod look;
mod map;
mod paper;
mod ribbon;
mod svg;
#[cfg(test)]
mod tests;
mod weld;

pub use paper::{fitted, own_from_paper};

use measure::length::{Um, mm_text};
use measure::plane::{Arrangement, Crowded, Cubic, Loose, Point, arranged};

use super::prove;
use crate::work::{LineBecomes, LooseLine, Pattern, Refusal, Size, Spot, Way};

/// Ends this near to another line are closed against it, µm: about half a pencil line.
const GAP_UM: f64 = 250.0;
/// As many loose ends are named; the rest are counted.
const LOOSE_NAMED: usize = 8;
/// How wide a line is sawn or burnt that says no width, µm: two kerfs. Common practice, no source.
const SLOT_UM: i32 = 800;
/// More areas than this are no pattern for a scroll saw.
const AREAS_MOST: usize = 4000;

/// A pattern drawn by the maker.
#[derive(Clone, Debug)]
pub struct Own {
    /// The draft: every area is a piece without a number.
    pub draft: Pattern,
    /// The panel, as the drawing says.
    pub panel: Size,
    /// Whether the drawing itself says how large that is.
    pub says_size: bool,
    /// Lines that part nothing.
    pub loose: Vec<LooseLine>,
    /// What else was left out, in sentences.
    pub besides: Vec<String>,
}

impl Own {
    /// What was left out, in sentences; `None` when nothing was.
    pub fn left_out(&self) -> Option<String> {
        let all: Vec<String> = left_out(&self.loose).into_iter().chain(self.besides.iter().cloned()).collect();
        (!all.is_empty()).then(|| all.join(" "))
    }
}

/// Which lines were left out since they part nothing, in a sentence, those first that were most likely drawn to part something, and how
/// many as writing; `None` when none were.
pub fn left_out(lines: &[LooseLine]) -> Option<String> {
    let left = lines.iter().filter(|line| line.becomes == LineBecomes::LeftOut);
    let (written, mut left): (Vec<&LooseLine>, Vec<&LooseLine>) = left.partition(|line| line.writing);
    left.sort_by_key(|line| line.rank());
    let ends: Vec<Point> = left.into_iter().flat_map(LooseLine::places).collect();
    let (first, more) = (ends.iter().take(LOOSE_NAMED), ends.len().saturating_sub(LOOSE_NAMED));
    let places: Vec<String> = first.map(|p| format!("{:.0} × {:.0}", Um(p.x).to_mm(), Um(p.y).to_mm())).collect();
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let what = "Lines that part nothing are left out; their loose ends, or the middles of those that only lead from line to \
                line, mm from the left and from the top:";
    let ends = (!places.is_empty()).then(|| format!("{what} {}{more}.", places.join("; ")));
    let writing = match written.len() {
        0 => None,
        1 => Some("One small stroke that touches no line is left out as writing.".into()),
        count => Some(format!("{count} small strokes that touch no line, such as digits, are left out as writing.")),
    };
    let all: Vec<String> = ends.into_iter().chain(writing).collect();
    (!all.is_empty()).then(|| all.join(" "))
}

/// Whether bytes are a drawing, not an image of pixels: mark-up begins with `<`. One that is compressed, or written in UTF-16, is
/// taken for a drawing too, so that it is refused as what it is.
pub fn is_drawing(bytes: &[u8]) -> bool {
    if is_zipped(bytes) || is_wide(bytes) {
        return true;
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    bytes.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'<')
}

/// Compressed by gzip (RFC 1952), as an SVGZ is.
fn is_zipped(bytes: &[u8]) -> bool {
    bytes.starts_with(&[0x1f, 0x8b])
}

/// Written in UTF-16: with its mark, or beginning with a `<` of two bytes.
fn is_wide(bytes: &[u8]) -> bool {
    let begins: [&[u8]; 4] = [&[0xff, 0xfe], &[0xfe, 0xff], b"<\0", b"\0<"];
    begins.iter().any(|begin| bytes.starts_with(begin))
}

/// Reads the bytes of an SVG; `width` is that of the panel where the drawing does not say how large it is.
pub fn own_from_svg(bytes: &[u8], width: Option<Um>) -> Result<Own, Refusal> {
    let plainly = |what: &str| Refusal::new(what).way(Way::advice("Save it again as plain, uncompressed SVG."));
    if is_zipped(bytes) {
        return Err(plainly("The file is compressed, as an SVGZ is, and is not read so."));
    }
    if is_wide(bytes) {
        return Err(plainly("The drawing is written in UTF-16, and UTF-8 is read."));
    }
    let text = std::str::from_utf8(bytes).map_err(|_| plainly("The drawing is not written in UTF-8."))?;
    drawn(svg::read(text.trim_start_matches('\u{feff}'), width)?)
}

/// The pattern of lines, each some curves, on a panel.
fn drawn(svg::Drawing { lines, panel, says_size, besides }: svg::Drawing) -> Result<Own, Refusal> {
    let (w, h) = (panel.width.0, panel.height.0);
    let corners = [(0, 0), (w, 0), (w, h), (0, h), (0, 0)].map(|(x, y)| Point::new(x, y));
    let frame = corners.windows(2).map(|ends| Cubic::straight(ends[0], ends[1])).collect();
    let lines: Vec<Vec<Cubic>> = std::iter::once(frame).chain(lines).collect();
    let of = lines.iter().enumerate().flat_map(|(line, curves)| vec![line; curves.len()]).collect();
    let curves = lines.concat();
    let lines = map::Lines { of, shapes: lines.iter().filter_map(|curves| map::Shape::of(curves)).collect() };
    let mut ties = weld::ties(&curves, &lines.of);
    let inside = |p: &Point| (0..=w).contains(&p.x) && (0..=h).contains(&p.y);
    // Cut curves end in whole µm; where that would turn areas inside out, they stay as they were flattened.
    for plain in [false, true] {
        let (found, draft) = tied(&curves, &lines, &mut ties, (panel, plain))?;
        if draft.areas.len() > AREAS_MOST {
            return Err(too_many(draft.areas.len()));
        }
        let loose: Vec<LooseLine> =
            (found.loose.into_iter().map(loose_line).chain(found.bridges.into_iter().map(stalk)))
                .filter(|line| inside(&line.along[0]))
                .collect();
        if draft.areas.len() < 2 {
            let what = format!(
                "Nothing in the drawing is closed: no line runs round a place, or ends within {} of another.",
                mm_text(Um(GAP_UM as i32))
            );
            return Err(Refusal::new(what)
                .at(Spot { at: loose.first().map(|line| line.along[0]), ..Spot::default() })
                .way(Way::advice("Draw each line on to another line, or to the edge of the page.")));
        }
        if prove(&draft, panel).is_empty() {
            return Ok(Own { draft, panel, says_size, loose, besides });
        }
    }
    Err(Refusal::new("The lines of the drawing run over each other so closely that no pattern could be made of them.")
        .way(Way::advice("Take doubled lines out, and draw it again.")))
}

/// Arranges curves and the ties that they need, and makes areas of them.
fn tied(
    curves: &[Cubic],
    lines: &map::Lines,
    ties: &mut Vec<Cubic>,
    (panel, plain): (Size, bool),
) -> Result<(Arrangement, Pattern), Refusal> {
    loop {
        let found = match arranged(&[curves, ties].concat(), GAP_UM, plain) {
            Ok(found) => found,
            // Without ties, lines that nearly touch stay as they were drawn.
            Err(_) if !ties.is_empty() => {
                ties.clear();
                continue;
            }
            Err(error) => return Err(crowded(error)),
        };
        match map::pattern(&found.edges, lines, ties.len(), panel) {
            Ok(draft) => return Ok((found, draft)),
            Err(needed) => *ties = needed.into_iter().map(|source| ties[source - curves.len()]).collect(),
        }
    }
}

/// Only the geometry of an SVG is read: its lines have no width.
fn loose_line(Loose { along, both }: Loose) -> LooseLine {
    LooseLine { along, both, hangs: false, writing: false, width: Um(SLOT_UM), becomes: LineBecomes::LeftOut }
}

/// A line that leads from one line to another and parts nothing.
fn stalk(along: Vec<Point>) -> LooseLine {
    LooseLine { hangs: true, ..loose_line(Loose { along, both: false }) }
}

fn too_many(areas: usize) -> Refusal {
    Refusal::new(format!("The drawing has {areas} closed areas."))
        .way(Way::advice("A pattern has 50 to 800 pieces: leave the finest lines out."))
}

fn crowded(why: Crowded) -> Refusal {
    let what = match why {
        Crowded::Chords => "The drawing has far more lines than a pattern can hold.",
        Crowded::Pairs => "Far too many lines of the drawing lie over each other.",
    };
    Refusal::new(what).way(Way::advice("Keep the lines to be sawn alone, without shading or hatching."))
}
