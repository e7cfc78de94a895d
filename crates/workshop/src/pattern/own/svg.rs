//! The curves of an SVG in µm. SVG 1.1 and 2 (W3C): shapes, path data, groups, transforms, viewBox, units of CSS.
//!
//! Only the geometry of what is seen (`look`) is read: texts and scripts are not, and nothing is fetched or run. What would draw
//! something that is not in the file, or draw it again elsewhere, is refused rather than left out unseen.

use kurbo::{Affine, BezPath, Circle, Ellipse, PathEl, Rect, RoundedRect, Shape};
use measure::length::Um;
use measure::plane::{Cubic, Point};
use roxmltree::{Document, Node, ParsingOptions};

use super::doctype::{self, Typed};
use super::look::{Look, Sheets};
use super::ribbon::{self, Part};
use crate::work::{Refusal, Size, Way};

/// The most bytes, parts and curves that are read.
const BYTES_MOST: usize = 32 << 20;
const NODES_MOST: u32 = 200_000;
const CURVES_MOST: usize = 100_000;
/// Groups in groups deeper than this are none that a drawing program makes.
const DEEP_MOST: usize = 64;
/// The least and greatest side of a panel, µm.
const SIDES: std::ops::RangeInclusive<f64> = 10_000.0..=3_000_000.0;
/// How far beside the panel a drawing may go, in its sides.
const BESIDE: f64 = 4.0;
/// Circles and arcs become cubics to this, µm: a quarter of what a curve may lie from its chords.
const ROUND_UM: f64 = 2.5;

/// What was read.
pub struct Drawing {
    /// Every line drawn without lifting the pen, as its curves, in the order of the file.
    pub lines: Vec<Vec<Cubic>>,
    /// Its size.
    pub panel: Size,
    /// Whether it says that itself.
    pub says_size: bool,
    /// What of it is not read though it may be seen, in sentences.
    pub besides: Vec<String>,
}

/// Reads a drawing; `width` serves where it does not say how large it is.
pub fn read(text: &str, width: Option<Um>) -> Result<Drawing, Refusal> {
    if text.len() > BYTES_MOST {
        return Err(refused("The drawing is larger than 32 MB.", "Keep the lines to be sawn alone."));
    }
    let (text, allow_dtd) = match doctype::typed(text, BYTES_MOST) {
        Typed::Plain(text) => (text, false),
        Typed::Words(text) => (text.into(), true),
        Typed::Growing => {
            let what = "The drawing's document type declares entities that stand for more than a few plain words.";
            return Err(refused(what, "Save it as plain SVG."));
        }
        Typed::Endless => {
            return Err(refused(
                "The drawing is no whole SVG: its document type does not end.",
                "Save it again as plain SVG.",
            ));
        }
    };
    let options = ParsingOptions { allow_dtd, nodes_limit: NODES_MOST, ..ParsingOptions::default() };
    let document = Document::parse_with_options(&text, options).map_err(|error| match error {
        roxmltree::Error::NodesLimitReached => {
            refused("The drawing has more than 200,000 parts.", "Keep the lines to be sawn alone.")
        }
        roxmltree::Error::DtdDetected => {
            refused("The drawing has more than one document type.", "Save it again as plain SVG.")
        }
        error => refused(&format!("The drawing is no whole SVG: {error}."), "Save it again as plain SVG."),
    })?;
    let root = document.root_element();
    if root.tag_name().name() != "svg" {
        return Err(refused("That is no SVG drawing.", "Save it as plain SVG."));
    }
    let (panel, place, says_size) = sized(root, width)?;
    let sheets = Sheets::of(&document).ok_or_else(|| {
        refused("The drawing has more than 1,000 rules of style, or entangled ones.", "Save it again as plain SVG.")
    })?;
    let mut reader = Reader { lines: Vec::new(), count: 0, foreign: 0, panel, sheets };
    if let Some(look) = reader.sheets.look(root, Look::plain()) {
        for child in root.children().filter(Node::is_element) {
            reader.element(child, (place, look), 0)?;
        }
    }
    let foreign = "What is laid into the drawing in another language (foreignObject, mostly text) holds no outlines and is left out.";
    let besides = (reader.foreign > 0).then(|| foreign.into()).into_iter().collect();
    Ok(Drawing { lines: reader.lines, panel, says_size, besides })
}

fn refused(what: &str, way: &str) -> Refusal {
    Refusal::new(what).way(Way::advice(way))
}

/// The panel, the way from the drawing's units to µm, and whether the drawing says the size itself: at least one side, and a
/// view box for the other. `wanted` serves as the width where it does not.
fn sized(root: Node, wanted: Option<Um>) -> Result<(Size, Affine, bool), Refusal> {
    let view = root.attribute("viewBox").map(numbers);
    let high = view.as_deref().and_then(|view| match view {
        [_, _, w, h] if *w > 0.0 && *h > 0.0 => Some(h / w),
        _ => None,
    });
    let no_size = || match (high, wanted) {
        (Some(_), _) => refused(
            "The drawing does not say how large it is.",
            "Give its page a width and a height in mm or inches and save it again, or say its width: spelk start DRAWING.svg \
             --width 420mm.",
        ),
        (None, Some(_)) => refused(
            "The drawing does not say how large it is, and without a view box the width that you gave does not tell its height.",
            "Give its page a width and a height in mm or inches, and save it again.",
        ),
        (None, None) => refused(
            "The drawing does not say how large it is.",
            "Give its page a width and a height in mm or inches, and save it again.",
        ),
    };
    let side = |name: &str| root.attribute(name).and_then(length_um);
    let (width, height, says) = match (side("width"), side("height"), high, wanted) {
        (Some(width), Some(height), ..) => (width, height, true),
        (Some(width), None, Some(high), _) => (width, width * high, true),
        (None, Some(height), Some(high), _) => (height / high, height, true),
        (None, None, Some(high), Some(wanted)) => (f64::from(wanted.0), f64::from(wanted.0) * high, false),
        _ => return Err(no_size()),
    };
    if !SIDES.contains(&width) || !SIDES.contains(&height) {
        if !says {
            return Err(refused(
                "At the width that you gave a side of the drawing is shorter than 10 mm or longer than 3 m.",
                "Give another width.",
            ));
        }
        return Err(refused(
            "A side of the drawing is shorter than 10 mm or longer than 3 m.",
            "Give its page the panel's size.",
        ));
    }
    let panel = Size { width: Um(width.round() as i32), height: Um(height.round() as i32) };
    let Some(view) = view else { return Ok((panel, Affine::scale(PX_UM), says)) };
    let [x, y, w, h] = view[..] else { return Err(no_size()) };
    if !(w > 0.0 && h > 0.0) {
        return Err(no_size());
    }
    let (mut sx, mut sy) = (width / w, height / h);
    if root.attribute("preserveAspectRatio").is_none_or(|how| how.trim() != "none") {
        (sx, sy) = (sx.min(sy), sx.min(sy));
    }
    let (left, top) = ((width - w * sx) / 2.0, (height - h * sy) / 2.0);
    Ok((panel, Affine::new([sx, 0.0, 0.0, sy, left - x * sx, top - y * sy]), says))
}

/// A CSS pixel: 1/96 inch (CSS Values and Units 3, section 5.2).
const PX_UM: f64 = 25_400.0 / 96.0;

/// An absolute length of CSS in µm.
fn length_um(text: &str) -> Option<f64> {
    let text = text.trim();
    let unit = text.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '+' | '-'));
    let (number, unit) = match text.strip_suffix(unit) {
        Some(number) => (number.parse::<f64>().ok()?, unit),
        None => return None,
    };
    let um = match unit {
        "mm" => 1000.0,
        "cm" => 10_000.0,
        "in" => 25_400.0,
        "pt" => 25_400.0 / 72.0,
        "pc" => 25_400.0 / 6.0,
        "px" | "" => PX_UM,
        _ => return None,
    };
    Some(number * um).filter(|um| um.is_finite())
}

fn numbers(text: &str) -> Vec<f64> {
    text.split(|c: char| c == ',' || c.is_whitespace())
        .filter(|s| !s.is_empty())
        .map_while(|s| s.parse().ok())
        .collect()
}

struct Reader<'a> {
    sheets: Sheets<'a>,
    lines: Vec<Vec<Cubic>>,
    /// How many curves have been read; ribbons become fewer.
    count: usize,
    /// How many objects of other languages were passed over.
    foreign: usize,
    panel: Size,
}

impl Reader<'_> {
    fn element(&mut self, node: Node, (place, look): (Affine, Look), deep: usize) -> Result<(), Refusal> {
        let Some(look) = self.sheets.look(node, look).filter(|_| is_asked(node)) else { return Ok(()) };
        let place = place * transform(node.attribute("transform").unwrap_or_default())?;
        let of = |name: &str| node.attribute(name).and_then(user).unwrap_or(0.0);
        let fine = ROUND_UM / place.determinant().abs().sqrt().max(1e-9);
        match node.tag_name().name() {
            "switch" if deep < DEEP_MOST => match shown(node) {
                Some(child) => self.element(child, (place, look), deep + 1),
                None => Ok(()),
            },
            "g" | "a" if deep < DEEP_MOST => {
                for child in node.children().filter(Node::is_element) {
                    self.element(child, (place, look), deep + 1)?;
                }
                Ok(())
            }
            "g" | "a" | "switch" => Err(refused("The drawing has groups in groups without end.", "Ungroup it.")),
            "image" if look.is_hidden() => Ok(()),
            "path" | "line" | "polyline" | "polygon" | "rect" | "circle" | "ellipse" if !look.is_seen() => Ok(()),
            "path" => {
                let data = node.attribute("d").unwrap_or_default();
                let path = BezPath::from_svg(data).map_err(|error| {
                    refused(&format!("A path of the drawing cannot be read: {error}."), "Save it again as plain SVG.")
                })?;
                self.path(path.elements().iter().copied(), place)
            }
            "line" => self.path(joined(&[of("x1"), of("y1"), of("x2"), of("y2")], false), place),
            "polyline" => self.path(joined(&numbers(node.attribute("points").unwrap_or_default()), false), place),
            "polygon" => self.path(joined(&numbers(node.attribute("points").unwrap_or_default()), true), place),
            "rect" => {
                let rect = Rect::new(of("x"), of("y"), of("x") + of("width"), of("y") + of("height"));
                match node.attribute("rx").or(node.attribute("ry")).and_then(user).unwrap_or(0.0) {
                    0.0 => self.path(rect.path_elements(fine), place),
                    round => self.path(RoundedRect::from_rect(rect, round).path_elements(fine), place),
                }
            }
            "circle" => self.path(Circle::new((of("cx"), of("cy")), of("r")).path_elements(fine), place),
            "ellipse" => {
                let round = Ellipse::new((of("cx"), of("cy")), (of("rx"), of("ry")), 0.0);
                self.path(round.path_elements(fine), place)
            }
            "foreignObject" => {
                self.foreign += 1;
                Ok(())
            }
            "use" | "svg" => Err(refused(
                "The drawing shows copies of its parts, or a drawing within the drawing.",
                "Unlink the copies in your drawing program, so that every line is a path of its own.",
            )),
            "image" => Err(refused(
                "The drawing shows a picture or another file, which is not read.",
                "Take it out; a picture can be the start of a job by itself.",
            )),
            // Texts, titles, definitions, styles and scripts draw no line.
            _ => Ok(()),
        }
    }

    fn path(&mut self, path: impl IntoIterator<Item = PathEl>, place: Affine) -> Result<(), Refusal> {
        let (mut start, mut last) = (kurbo::Point::ZERO, kurbo::Point::ZERO);
        let mut parts = vec![Part::default()];
        for step in path {
            let points = match step {
                PathEl::MoveTo(p) => {
                    (start, last) = (p, p);
                    parts.push(Part::default());
                    continue;
                }
                PathEl::LineTo(p) => [last, last, p, p],
                PathEl::QuadTo(c, p) => {
                    let cubic = kurbo::QuadBez::new(last, c, p).raise();
                    [cubic.p0, cubic.p1, cubic.p2, cubic.p3]
                }
                PathEl::CurveTo(a, b, p) => [last, a, b, p],
                PathEl::ClosePath => [last, last, start, start],
            };
            let straight = matches!(step, PathEl::LineTo(_) | PathEl::ClosePath);
            let curve = self.curve(points.map(|p| place * p), straight)?;
            self.count += 1;
            let part = parts.last_mut().expect("it begins with one");
            part.curves.extend(curve);
            last = points[3];
            part.closed = last == start;
        }
        parts.retain(|part| !part.curves.is_empty());
        self.lines.extend(ribbon::curves(parts));
        Ok(())
    }

    fn curve(&self, points: [kurbo::Point; 4], straight: bool) -> Result<Option<Cubic>, Refusal> {
        let most = BESIDE * f64::from(self.panel.width.0.max(self.panel.height.0));
        if points.iter().any(|p| !(p.x.abs() <= most && p.y.abs() <= most)) {
            return Err(refused("The drawing has lines far beyond its page.", "Bring all lines on to the page."));
        }
        if self.count >= CURVES_MOST {
            return Err(refused("The drawing has more than 100,000 curves.", "Keep the lines to be sawn alone."));
        }
        let [a, b, c, d] = points.map(|p| Point::new(p.x.round() as i32, p.y.round() as i32));
        let curve = if straight { Cubic::straight(a, d) } else { Cubic([a, b, c, d]) };
        Ok((a != d || b != a || c != a).then_some(curve))
    }
}

/// Whether what a shape or group asks of its reader is met: no extension is known, and words are read in English.
fn is_asked(node: Node) -> bool {
    let english = |of: &str| of.split(',').any(|tongue| tongue.trim().split('-').next() == Some("en"));
    node.attribute("requiredExtensions").is_none() && node.attribute("systemLanguage").is_none_or(english)
}

/// What a switch shows: the first of its children that can be, one of another language only where nothing else is.
fn shown<'a, 'input>(switch: Node<'a, 'input>) -> Option<Node<'a, 'input>> {
    let children = || switch.children().filter(|child| child.is_element() && is_asked(*child));
    children().find(|child| child.tag_name().name() != "foreignObject").or_else(|| children().next())
}

/// A length in the drawing's own units.
fn user(text: &str) -> Option<f64> {
    let text = text.trim();
    text.parse().ok().or_else(|| length_um(text).map(|um| um / PX_UM))
}

fn joined(numbers: &[f64], closed: bool) -> Vec<PathEl> {
    let points = numbers.chunks_exact(2).map(|p| kurbo::Point::new(p[0], p[1]));
    let step = |(i, p): (usize, kurbo::Point)| if i == 0 { PathEl::MoveTo(p) } else { PathEl::LineTo(p) };
    points.enumerate().map(step).chain(closed.then_some(PathEl::ClosePath)).collect()
}

/// A list of transforms, the first the outermost.
fn transform(text: &str) -> Result<Affine, Refusal> {
    let mut whole = Affine::IDENTITY;
    for part in
        text.split(')').map(|part| part.trim_matches(|c: char| c == ',' || c.is_whitespace())).filter(|p| !p.is_empty())
    {
        let unread =
            || refused(&format!("A transform of the drawing cannot be read: {part}."), "Save it again as plain SVG.");
        let (name, values) = part.split_once('(').ok_or_else(unread)?;
        let values = numbers(values);
        let one = match (name.trim(), &values[..]) {
            ("matrix", [a, b, c, d, e, f]) => Affine::new([*a, *b, *c, *d, *e, *f]),
            ("translate", [x]) => Affine::translate((*x, 0.0)),
            ("translate", [x, y]) => Affine::translate((*x, *y)),
            ("scale", [s]) => Affine::scale(*s),
            ("scale", [x, y]) => Affine::scale_non_uniform(*x, *y),
            ("rotate", [turn]) => Affine::rotate(turn.to_radians()),
            ("rotate", [turn, x, y]) => Affine::rotate_about(turn.to_radians(), kurbo::Point::new(*x, *y)),
            ("skewX", [turn]) => Affine::skew(libm::tan(turn.to_radians()), 0.0),
            ("skewY", [turn]) => Affine::skew(0.0, libm::tan(turn.to_radians())),
            _ => return Err(unread()),
        };
        whole *= one;
    }
    Ok(whole)
}
