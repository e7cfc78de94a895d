//! A pen in millimetres over a PDF page.
//!
//! Coordinates are f64 mm from the upper left corner of the page and become points to a thousandth at the last moment, so a
//! place on the page is true to under 0.3 µm however large the panel is.

use krilla::geom::{Path, PathBuilder, Point, Size, Transform};
use krilla::image::Image;
use krilla::num::NormalizedF32;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{ContentTag, TagGroup, TagKind};

use super::letters::{Faces, PT_MM, Style};
use super::paper::{Rect, Spot};

/// Colour, eight bits a channel, sRGB.
pub(super) type Rgb = [u8; 3];

/// Line weights, each with one meaning.
pub(super) mod weight {
    use super::Line;

    /// The saw follows it.
    pub const SAW: Line = Line { pt: 0.5, colour: [0; 3], dash: &[] };
    /// The edge of the panel.
    pub const EDGE: Line = Line { pt: 1.0, colour: [0; 3], dash: &[] };
    /// One side of an open gap.
    pub const GAP: Line = Line { pt: 0.4, colour: [0; 3], dash: &[] };
    /// A line burnt into a face; drawn as wide as it is.
    pub const BURNT: Line = Line { pt: 2.0, colour: [110, 84, 60], dash: &[3.0, 1.0] };
    /// Grain arrows.
    pub const GRAIN: Line = Line { pt: 0.55, colour: [70, 70, 70], dash: &[] };
    /// From a label to its piece.
    pub const LEADER: Line = Line { pt: 0.4, colour: [0; 3], dash: &[] };
    /// Hatching that names what an area becomes.
    pub const HATCH: Line = Line { pt: 0.25, colour: [140, 140, 140], dash: &[] };
    /// Marks for cutting and joining paper; never sawn.
    pub const PAPER: Line = Line { pt: 0.35, colour: [110, 110, 110], dash: &[2.0, 1.2] };
    /// Corners of what is shown larger elsewhere; never sawn.
    pub const FRAME: Line = Line { pt: 0.7, colour: [110, 110, 110], dash: &[] };
    /// Marks to lay over each other.
    pub const MARK: Line = Line { pt: 0.35, colour: [60, 60, 60], dash: &[] };
    /// Rules of tables.
    pub const RULE: Line = Line { pt: 0.35, colour: [150, 150, 150], dash: &[] };
    /// Bars that prove the printer.
    pub const BAR: Line = Line { pt: 0.6, colour: [0; 3], dash: &[] };
}

/// Weight, colour and dashes (mm) of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Line {
    pub pt: f64,
    pub colour: Rgb,
    pub dash: &'static [f32],
}

/// A path in mm.
#[derive(Default)]
pub(super) struct Trail(PathBuilder);

impl Trail {
    pub fn start(&mut self, at: Spot) {
        let (x, y) = point(at);
        self.0.move_to(x, y);
    }

    pub fn line(&mut self, to: Spot) {
        let (x, y) = point(to);
        self.0.line_to(x, y);
    }

    pub fn cubic(&mut self, [a, b, c]: [Spot; 3]) {
        let ((ax, ay), (bx, by), (cx, cy)) = (point(a), point(b), point(c));
        self.0.cubic_to(ax, ay, bx, by, cx, cy);
    }

    pub fn close(&mut self) {
        self.0.close();
    }

    /// A closed ring.
    pub fn ring(&mut self, points: impl IntoIterator<Item = Spot>) {
        let mut points = points.into_iter();
        let Some(first) = points.next() else { return };
        self.start(first);
        points.for_each(|p| self.line(p));
        self.close();
    }

    /// A circle by four cubics (radial error 0.03 %).
    pub fn circle(&mut self, (x, y): Spot, r: f64) {
        let k = 0.552_284_75 * r;
        self.start((x + r, y));
        self.cubic([(x + r, y + k), (x + k, y + r), (x, y + r)]);
        self.cubic([(x - k, y + r), (x - r, y + k), (x - r, y)]);
        self.cubic([(x - r, y - k), (x - k, y - r), (x, y - r)]);
        self.cubic([(x + k, y - r), (x + r, y - k), (x + r, y)]);
        self.close();
    }

    fn path(self) -> Option<Path> {
        self.0.finish()
    }
}

/// Places are written to this part of a point, 0.35 µm: finer ones say nothing and make the book a third larger.
const PARTS: f64 = 1000.0;

fn point((x, y): Spot) -> (f32, f32) {
    let part = |mm: f64| ((mm / PT_MM * PARTS).round() / PARTS) as f32;
    (part(x), part(y))
}

/// Draws on one page. What is drawn within [`Pen::heard`] is read aloud where pages are heard; all else is only seen.
pub(super) struct Pen<'a, 's> {
    on: &'a mut Surface<'s>,
    pub faces: &'a Faces,
    /// The group that is open, within those around it.
    groups: Vec<TagGroup>,
}

impl<'a, 's> Pen<'a, 's> {
    pub fn new(on: &'a mut Surface<'s>, faces: &'a Faces) -> Pen<'a, 's> {
        Pen { on, faces, groups: vec![TagGroup::new(TagKind::Section(krilla::tagging::Tag::Section))] }
    }

    /// Draws what belongs together for those who hear the page read, in this place among its neighbours.
    pub fn group(&mut self, tag: impl Into<TagKind>, draw: impl FnOnce(&mut Pen)) {
        self.groups.push(TagGroup::new(tag));
        draw(self);
        let group = self.groups.pop().expect("the group was opened above");
        self.around().push(group);
    }

    /// Draws what is read aloud as one; it holds no further group.
    pub fn heard(&mut self, tag: impl Into<TagKind>, draw: impl FnOnce(&mut Pen)) {
        self.group(tag, |pen| pen.leaf(draw));
    }

    /// Draws a stretch of the group that is open.
    pub fn leaf(&mut self, draw: impl FnOnce(&mut Pen)) {
        let stretch = self.on.start_tagged(ContentTag::Other);
        draw(self);
        self.on.end_tagged();
        self.around().push(stretch);
    }

    /// What is heard of the page.
    pub fn all_heard(mut self) -> TagGroup {
        self.groups.pop().expect("the page is a group")
    }

    fn around(&mut self) -> &mut TagGroup {
        self.groups.last_mut().expect("the page is a group")
    }

    pub fn stroke(&mut self, line: Line, trail: Trail) {
        let Some(path) = trail.path() else { return };
        self.on.set_fill(None);
        self.on.set_stroke(Some(stroke(line)));
        self.on.draw_path(&path);
    }

    /// Fills by the even-odd rule, so that holes stay open.
    pub fn fill(&mut self, colour: Rgb, trail: Trail) {
        let Some(path) = trail.path() else { return };
        self.on.set_stroke(None);
        self.on.set_fill(Some(fill(colour)));
        self.on.draw_path(&path);
    }

    pub fn line(&mut self, line: Line, a: Spot, b: Spot) {
        let mut trail = Trail::default();
        trail.start(a);
        trail.line(b);
        self.stroke(line, trail);
    }

    pub fn frame(&mut self, line: Line, rect: Rect) {
        let mut trail = Trail::default();
        trail.ring(rect.corners());
        self.stroke(line, trail);
    }

    pub fn block(&mut self, colour: Rgb, rect: Rect) {
        let mut trail = Trail::default();
        trail.ring(rect.corners());
        self.fill(colour, trail);
    }

    pub fn dot(&mut self, at: Spot, radius: f64) {
        let mut trail = Trail::default();
        trail.circle(at, radius);
        self.fill([0; 3], trail);
    }

    /// A clean text from its left end on the baseline.
    pub fn text(&mut self, style: Style, at: Spot, text: &str) {
        if text.is_empty() {
            return;
        }
        let text = &*self.faces.boxed(text);
        let (font, glyphs) = self.faces.glyphs(style, text);
        let (x, y) = point(at);
        self.on.set_stroke(None);
        self.on.set_fill(Some(fill(style.colour)));
        self.on.draw_glyphs(Point::from_xy(x, y), &glyphs, font, text, style.pt as f32, false);
    }

    pub fn text_to(&mut self, style: Style, (x, y): Spot, text: &str) {
        self.text(style, (x - self.faces.width(style, text), y), text);
    }

    pub fn text_amid(&mut self, style: Style, (x, y): Spot, text: &str) {
        self.text(style, (x - self.faces.width(style, text) / 2.0, y), text);
    }

    /// A text centred in both directions on its capitals, turned a quarter when `upward`.
    pub fn text_upward(&mut self, style: Style, at: Spot, text: &str) {
        let (x, y) = point(at);
        self.on.push_transform(&Transform::from_row(0.0, -1.0, 1.0, 0.0, x, y));
        self.text_amid(style, (0.0, style.cap_mm() / 2.0), text);
        self.on.pop();
    }

    pub fn image(&mut self, image: Image, into: Rect) {
        let (x, y) = point((into.x, into.y));
        let (w, h) = point((into.w, into.h));
        let Some(size) = Size::from_wh(w, h) else { return };
        self.on.push_transform(&Transform::from_translate(x, y));
        self.on.draw_image(image, size);
        self.on.pop();
    }

    /// Draws only inside `window` while `draw` runs.
    pub fn within(&mut self, window: Rect, draw: impl FnOnce(&mut Pen)) {
        let mut trail = Trail::default();
        trail.ring(window.corners());
        let Some(path) = trail.path() else { return };
        self.on.push_clip_path(&path, &FillRule::NonZero);
        draw(self);
        self.on.pop();
    }
}

fn fill([r, g, b]: Rgb) -> Fill {
    Fill { paint: krilla::color::rgb::Color::new(r, g, b).into(), opacity: NormalizedF32::ONE, rule: FillRule::EvenOdd }
}

fn stroke(line: Line) -> Stroke {
    let [r, g, b] = line.colour;
    let dash = (!line.dash.is_empty())
        .then(|| StrokeDash { array: line.dash.iter().map(|mm| mm / PT_MM as f32).collect(), offset: 0.0 });
    Stroke {
        paint: krilla::color::rgb::Color::new(r, g, b).into(),
        width: line.pt as f32,
        line_cap: LineCap::Butt,
        line_join: LineJoin::Round,
        dash,
        ..Stroke::default()
    }
}
