//! The pattern on a page at any scale: borders as their own cubics, shadow and ground marked, labels placed.
//!
//! A place of the panel becomes a place of the page in f64 before the pen rounds to f32, so neighbouring tiles agree.
//! An open gap is drawn as two lines, the flattened border moved to each side; where it turns sharper than the gap is
//! wide the lines may overlap.

use measure::length::Um;
use measure::plane::{Point, thinned};

use super::facts::{Facts, Row};
use super::flags::Ground;
use super::hatch::{GROUND, SHADOW};
use super::insets::{Inset, Lost, insets, name_place, struck};
use super::labels::{Labels, Shown, Written};
use super::letters::{PT_MM, Style, size};
use super::lines::Lines;
use super::paper::{Rect, Spot};
use super::pen::{Line, Pen, Rgb, Trail, weight};
use super::room::{OFF_MM, Room, clipped};
use super::words::trimmed;
use crate::work::{Area, AreaId, Axis, Becomes, Border, BorderId, LineBecomes, LooseLine, Origin};

/// A place of the panel on the page: shown through a window, scaled about a corner.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lens {
    /// The part of the page that shows the panel.
    pub window: Rect,
    /// The place of the panel at the window's upper left corner, mm.
    pub from: Spot,
    /// mm on the page for a mm of the panel.
    pub scale: f64,
    /// Width of the panel where it is seen from behind, left and right exchanged; places are mirrored before `from`.
    pub mirror: Option<f64>,
}

impl Lens {
    /// The whole panel in the middle of `space`, as large as it goes, leaving `rim` mm for flags.
    pub fn whole(panel: (f64, f64), space: Rect, rim: f64) -> Lens {
        let scale = ((space.w - 2.0 * rim) / panel.0).min((space.h - 2.0 * rim) / panel.1).min(1.0);
        let from = (panel.0 / 2.0 - space.w / 2.0 / scale, panel.1 / 2.0 - space.h / 2.0 / scale);
        Lens { window: space, from, scale, mirror: None }
    }

    /// What a tile shows at true scale.
    pub fn tile(window: Rect, shows: Rect) -> Lens {
        Lens { window, from: (shows.x, shows.y), scale: 1.0, mirror: None }
    }

    /// A part of the page, so many times larger, in a window of its own.
    pub fn zoomed(&self, window: Rect, (shows, times): (Rect, f64)) -> Lens {
        let from = |at: f64, corner: f64, from: f64| (at - corner) / self.scale + from;
        let from = (from(shows.x, self.window.x, self.from.0), from(shows.y, self.window.y, self.from.1));
        Lens { window, from, scale: self.scale * times, ..*self }
    }

    fn across(&self, x: f64) -> f64 {
        self.mirror.map_or(x, |width| width - x)
    }

    pub fn page(&self, (x, y): Spot) -> Spot {
        let x = self.across(x);
        (self.window.x + (x - self.from.0) * self.scale, self.window.y + (y - self.from.1) * self.scale)
    }

    /// The place of the panel that a place of the page shows.
    pub fn panel(&self, (x, y): Spot) -> Spot {
        let x = self.across((x - self.window.x) / self.scale + self.from.0);
        (x, (y - self.window.y) / self.scale + self.from.1)
    }

    /// A rectangle of the panel on the page.
    pub fn rect(&self, rect: Rect) -> Rect {
        let (x, y) = self.page((if self.mirror.is_some() { rect.right() } else { rect.x }, rect.y));
        Rect::new(x, y, rect.w * self.scale, rect.h * self.scale)
    }

    fn point(&self, at: Point) -> Spot {
        self.page(at.to_mm())
    }
}

/// The pattern seen through a lens.
pub(super) struct Drawing<'a> {
    pub facts: &'a Facts<'a>,
    pub lens: Lens,
    /// Where words may stand.
    pub words: Rect,
}

/// Lines inside pieces: the two sides of a slot with its end, a burnt line dashed as wide as it is.
pub(super) fn inner<'a>(
    pen: &mut Pen,
    lines: impl IntoIterator<Item = &'a LooseLine>,
    scale: f64,
    page: impl Fn(Point) -> Spot,
) {
    let (mut slots, mut burnt) = (Trail::default(), Vec::new());
    for line in lines {
        let on_page: Vec<Spot> = line.along.iter().map(|p| page(*p)).collect();
        let half = line.width.to_mm() * scale / 2.0;
        match line.becomes {
            LineBecomes::Slot => {
                [half, -half].into_iter().for_each(|by| beside(&on_page, by, &mut slots));
                end(&on_page, half, &mut slots);
            }
            LineBecomes::Burnt => burnt.push((2.0 * half, on_page)),
            LineBecomes::LeftOut => {}
        }
    }
    pen.stroke(weight::GAP, slots);
    for (wide, line) in burnt {
        let mut trail = Trail::default();
        run(&line, &mut trail);
        pen.stroke(Line { pt: wide / PT_MM, ..weight::BURNT }, trail);
    }
}

fn run(line: &[Spot], trail: &mut Trail) {
    let Some((first, rest)) = line.split_first() else { return };
    trail.start(*first);
    rest.iter().for_each(|p| trail.line(*p));
}

/// The square end of a slot.
fn end(line: &[Spot], half: f64, trail: &mut Trail) {
    if let [a, b, ..] = line {
        let (x, y) = (a.0 - b.0, a.1 - b.1);
        let by = half / libm::hypot(x, y).max(1e-9);
        run(&[(a.0 - y * by, a.1 + x * by), (a.0 + y * by, a.1 - x * by)], trail);
    }
}

/// A piece is numbered on a sheet that shows a place of it this far from its border, mm. Less is a hair.
const HAIR_MM: f64 = 1.0;

impl Drawing<'_> {
    /// Rings of an area on the page.
    pub fn rings(&self, area: AreaId) -> Vec<Vec<Spot>> {
        let Some(outline) = self.facts.outlines.areas.get(&area) else { return Vec::new() };
        outline.rings.iter().map(|ring| ring.iter().map(|&p| self.lens.point(p)).collect()).collect()
    }

    fn sees(&self, area: AreaId) -> bool {
        self.facts.around_area.get(&area).is_some_and(|&around| self.lens.rect(around).meets(self.near_window()))
    }

    /// What the window shows of an area, with a little beyond, for tint and hatch; `None` when it shows nothing.
    pub fn seen(&self, area: AreaId) -> Option<Vec<Vec<Spot>>> {
        if !self.sees(area) {
            return None;
        }
        let near = self.near_window();
        let whole = near.holds(self.lens.rect(self.facts.around_area[&area]));
        let rings = self.rings(area).into_iter().map(|ring| thinned(&ring, OFF_MM));
        let kept = rings.map(|ring| if whole { ring } else { clipped(&ring, near) });
        Some(kept.filter(|ring| ring.len() > 2).collect())
    }

    /// Fills an area.
    pub fn fill(&self, pen: &mut Pen, area: AreaId, colour: Rgb) {
        let Some(rings) = self.seen(area) else { return };
        let mut trail = Trail::default();
        rings.into_iter().for_each(|ring| trail.ring(ring));
        pen.fill(colour, trail);
    }

    /// Hatches shadow at 45° and ground, wider, at 135°.
    pub fn open_areas(&self, pen: &mut Pen) {
        let mut trail = Trail::default();
        for (&id, area) in &self.facts.work.pattern.areas {
            let hatch = match area.becomes {
                Becomes::Shadow => &SHADOW,
                Becomes::Ground => &GROUND,
                Becomes::Piece(_) | Becomes::Unnumbered => continue,
            };
            if let Some(rings) = self.seen(id) {
                hatch.over(&rings, &mut trail);
            }
        }
        pen.stroke(weight::HATCH, trail);
    }

    /// Every border once, by what it is, and the lines inside pieces.
    pub fn borders(&self, pen: &mut Pen) {
        inner(pen, &self.facts.work.loose_lines, self.lens.scale, |p| self.lens.point(p));
        self.borders_in(pen, |border| {
            Some(if border.gap > Um(0) && border.from != Origin::Edge { weight::GAP } else { pen_of(border) })
        });
    }

    /// The borders that `line` gives a line, a path for each kind of line.
    pub fn borders_in(&self, pen: &mut Pen, line: impl Fn(&Border) -> Option<Line>) {
        let mut trails: Vec<(Line, Trail)> = Vec::new();
        for (id, border) in &self.facts.work.pattern.borders {
            let Some(line) = line(border).filter(|_| self.near(*id)) else { continue };
            let at = trails.iter().position(|(known, _)| *known == line).unwrap_or(trails.len());
            if at == trails.len() {
                trails.push((line, Trail::default()));
            }
            self.trace(*id, border, &mut trails[at].1);
        }
        trails.into_iter().for_each(|(line, trail)| pen.stroke(line, trail));
    }

    fn trace(&self, id: BorderId, border: &Border, trail: &mut Trail) {
        if border.gap > Um(0) && border.from != Origin::Edge {
            let line: Vec<Spot> = self.facts.outlines.lines[&id].iter().map(|&p| self.lens.point(p)).collect();
            let half = border.gap.to_mm() * self.lens.scale / 2.0;
            [half, -half].into_iter().for_each(|by| beside(&line, by, trail));
        } else {
            self.curve(border, trail);
        }
    }

    fn near(&self, border: BorderId) -> bool {
        self.facts.around_border.get(&border).is_some_and(|&hull| self.lens.rect(hull).meets(self.near_window()))
    }

    fn near_window(&self) -> Rect {
        self.lens.window.inset(-2.0)
    }

    /// The cubics of a border that come near the window: on a tile or an inset most of a long border is out of sight.
    fn curve(&self, border: &Border, trail: &mut Trail) {
        let near = self.near_window();
        let mut broken = true;
        for cubic in &border.curve {
            let [a, b, c, d] = cubic.0.map(|p| self.lens.point(p));
            if Rect::bounding([a, b, c, d]).is_some_and(|hull| hull.meets(near)) {
                if std::mem::replace(&mut broken, false) {
                    trail.start(a);
                }
                trail.cubic([b, c, d]);
            } else {
                broken = true;
            }
        }
    }

    /// Flattened borders on the page, for labels to keep off.
    pub fn segments(&self) -> Vec<(Spot, Spot)> {
        let lines = self.facts.outlines.lines.values();
        let pairs =
            lines.flat_map(|line| line.windows(2)).map(|pair| (self.lens.point(pair[0]), self.lens.point(pair[1])));
        pairs.filter(|&(a, b)| super::room::enters(self.lens.window, a, b)).collect()
    }

    /// A piece for labelling, if the sheet shows it; `in_full` with its grain, and its code on flags too.
    pub fn shown(&self, piece: &Row, code: String, in_full: bool) -> Option<Shown> {
        let widest = self.lens.point(self.facts.outline(piece.area).widest.centre);
        let (room, widest) = self.room(self.rings(piece.area), widest)?;
        let room = room.no_wider(self.radius(piece));
        let axis = piece.grain.filter(|_| in_full);
        // A flag has no room for an arrow: it says the grain in degrees.
        let flag_code = match (in_full, axis) {
            (false, _) => String::new(),
            (true, None) => code.clone(),
            (true, Some(axis)) => format!("{code} {}°", grain_degrees(axis)),
        };
        Some(Shown { room, widest, number: piece.number.to_string(), code, flag_code, grain: axis.map(grain_way) })
    }

    /// Radius of a piece's widest circle on the page, mm.
    pub fn radius(&self, piece: &Row) -> f64 {
        self.facts.outline(piece.area).widest.radius / 1000.0 * self.lens.scale
    }

    /// What words may use of an outline, and its widest place.
    fn room(&self, rings: Vec<Vec<Spot>>, widest: Spot) -> Option<(Room, Spot)> {
        let around = Rect::bounding(rings.first()?.iter().copied())?;
        if self.words.holds(around) {
            return Some((Room::new(rings, self.words)?, widest));
        }
        let seen = rings.iter().map(|ring| clipped(ring, self.words)).filter(|ring| ring.len() > 2).collect();
        let room = Room::new(seen, self.words)?;
        if self.words.contains(widest) {
            return Some((room, widest));
        }
        let (widest, clear) = room.widest();
        (clear >= HAIR_MM).then_some((room, widest))
    }

    /// What words stand on.
    pub fn ground(&self, keep: Vec<Rect>) -> Ground {
        let open = |area: &Area| matches!(area.becomes, Becomes::Shadow | Becomes::Ground);
        let areas = self.facts.work.pattern.areas.iter().filter(|(_, area)| open(area));
        let open = areas.filter(|(id, _)| self.sees(**id)).map(|(&id, _)| self.rings(id)).collect();
        let panel = self.lens.rect(Rect::new(0.0, 0.0, self.facts.panel.0, self.facts.panel.1));
        Ground { borders: self.segments(), open, panel, bounds: self.words, keep }
    }

    /// Names shadow and ground where the word, or at least its letter, fits beside what is taken.
    pub fn open_words(&self, labels: &mut Labels) {
        let style = Style::plain(size::LEAST).in_colour([80, 80, 80]);
        for (&id, area) in &self.facts.work.pattern.areas {
            let words = match area.becomes {
                Becomes::Shadow => ["shadow", "S"],
                Becomes::Ground => ["ground", "G"],
                Becomes::Piece(_) | Becomes::Unnumbered => continue,
            };
            let Some(outline) = self.facts.outlines.areas.get(&id) else { continue };
            let focus = self.lens.point(outline.widest.centre);
            let Some((mut room, focus)) = self.room(self.rings(id), focus) else { continue };
            labels.taken.iter().for_each(|rect| room.take(rect.corners()));
            labels.flags.iter().for_each(|flag| room.take(band(flag.leader)));
            let seat = words.iter().find_map(|word| {
                let wide = self.facts.faces.width(style, word);
                Some((word, Rect::around(room.seat((wide + 2.0, style.cap_mm() + 1.6), focus)?, wide, style.cap_mm())))
            });
            let Some((word, rect)) = seat else { continue };
            labels.note(rect, (style, word));
        }
    }

    /// Notes the width of each open gap beside it, where there is room.
    pub fn gap_words(&self, labels: &mut Labels, lines: &Lines) {
        let style = Style::plain(size::LEAST);
        for (id, border) in self.facts.work.pattern.borders.iter().filter(|(_, border)| border.gap > Um(0)) {
            let line = &self.facts.outlines.lines[id];
            let text = self.facts.words.bare(border.gap);
            let (w, h) = (self.facts.faces.width(style, &text), style.cap_mm());
            let half = border.gap.to_mm() * self.lens.scale / 2.0;
            let places = [0.5, 0.3, 0.7, 0.15, 0.85].into_iter().flat_map(|share| {
                let at = self.lens.point(line[((line.len() - 1) as f64 * share) as usize]);
                let (x, y) = (w / 2.0 + half + 1.0, h / 2.0 + half + 1.0);
                [(x, 0.0), (-x, 0.0), (0.0, y), (0.0, -y)].map(|(dx, dy)| Rect::around((at.0 + dx, at.1 + dy), w, h))
            });
            let free = |rect: &Rect| {
                let near = rect.inset(-half - 0.4);
                self.words.holds(near) && labels.leaves(near) && !lines.strike(near)
            };
            if let Some(rect) = places.into_iter().find(free) {
                labels.note(rect, (style, &text));
            }
        }
    }

    /// Places every word of the sheet: pieces by `code`, then shadow and ground, then insets for what found no place. A piece
    /// that `code` has nothing for is not numbered; flags may stand in it.
    pub fn placed(&self, code: impl Fn(&Row) -> Option<String>, in_full: bool, keep: Vec<Rect>) -> Placed {
        let facts = self.facts;
        let mut ground = self.ground(keep);
        let (mut pieces, mut shown): (Vec<(&Row, String)>, Vec<Shown>) = (Vec::new(), Vec::new());
        for piece in &facts.pieces {
            match code(piece) {
                Some(words) => {
                    if let Some(one) = self.shown(piece, words.clone(), in_full) {
                        pieces.push((piece, words));
                        shown.push(one);
                    }
                }
                None if self.sees(piece.area) => ground.open.push(self.rings(piece.area)),
                None => {}
            }
        }
        let dots: Vec<Spot> = shown.iter().map(|shown| shown.widest).collect();
        let mut labels = Labels::place(&facts.faces, shown, &ground);
        self.open_words(&mut labels);
        let lines = Lines::new(&ground.borders, ground.bounds);
        if in_full {
            self.gap_words(&mut labels, &lines);
        }
        let lost = |&at: &usize| Lost { piece: pieces[at].0, code: pieces[at].1.clone(), dot: dots[at] };
        let insets = insets(self, labels.unseated.iter().map(lost).collect(), in_full);
        let mut placed = Placed { labels, areas: pieces.iter().map(|(piece, _)| piece.area).collect(), insets };
        placed.name_insets(facts, &lines);
        placed
    }
}

/// All words of a sheet, and what is shown larger.
#[derive(Clone)]
pub(super) struct Placed {
    pub labels: Labels,
    /// Areas of the pieces shown.
    pub areas: Vec<AreaId>,
    pub insets: Vec<Inset>,
}

impl Placed {
    /// Pieces whose grain arrow found no room, on the sheet or in its insets.
    pub fn bare(&self) -> Vec<AreaId> {
        let here = self.labels.bare.iter().map(|at| self.areas[*at]);
        here.chain(self.insets.iter().flat_map(|inset| inset.bare.iter().copied())).collect()
    }

    /// The same places with other codes, none wider than those that they were found for.
    pub fn recoded(&self, facts: &Facts, code: impl Fn(&Row) -> String) -> Placed {
        let mut placed = self.clone();
        let inset_words = placed.insets.iter_mut().flat_map(|inset| &mut inset.labels.inside);
        let mut of = String::new();
        // A number stands in the heavier weight, the code of its piece after it.
        for word in placed.labels.inside.iter_mut().chain(inset_words) {
            if word.style.bold {
                of = facts
                    .pieces
                    .iter()
                    .find(|piece| piece.number.to_string() == word.text)
                    .map(&code)
                    .unwrap_or_default();
            } else {
                let wider = facts.faces.width(word.style, &word.text) - facts.faces.width(word.style, &of);
                word.at.0 += wider / 2.0;
                word.text.clone_from(&of);
            }
        }
        placed
    }

    /// Puts each inset's number beside its frame where a place is free; the frame's place by the edge's letters and figures
    /// stands with the inset in any case.
    fn name_insets(&mut self, facts: &Facts, lines: &Lines) {
        let style = Style::plain(size::LEAST);
        for inset in &self.insets {
            let text = inset_name(inset);
            let size = (facts.faces.width(style, &text), style.cap_mm());
            let taken = |rect: Rect| {
                let near = rect.inset(-0.4);
                !lines.bounds.holds(near)
                    || lines.strike(near)
                    || !self.labels.leaves(near)
                    || self.insets.iter().any(|other| struck(near, sides(other.shows)))
            };
            if let Some(rect) = name_place(inset.shows, size, &taken) {
                self.labels.note(rect, (style, &text));
            }
        }
    }

    /// Corners of what is shown larger: whole frames would be one more net over the pattern. A corner's line stops short of
    /// words, arrows and leaders, and is left out where hardly more than a speck of it would stay.
    pub fn frames(&self, pen: &mut Pen) {
        for (a, b) in self.insets.iter().flat_map(|inset| corner_lines(inset.shows)) {
            let at = |step: usize| {
                let t = step as f64 / CORNER_STEPS as f64;
                (a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t)
            };
            let free = |step: &usize| {
                let ends = [at(*step), at(*step + 1)];
                Rect::bounding(ends).is_some_and(|stretch| self.labels.leaves(stretch.inset(-CORNER_CLEAR_MM)))
            };
            let steps = (0..CORNER_STEPS).take_while(free).count();
            if 2 * steps >= CORNER_STEPS {
                pen.line(weight::FRAME, a, at(steps));
            }
        }
    }
}

/// Stretches of a corner's line that are drawn or left out, and the white to the next word, mm.
const CORNER_STEPS: usize = 6;
const CORNER_CLEAR_MM: f64 = 0.6;

/// Two short lines from each corner of a frame.
fn corner_lines(rect: Rect) -> impl Iterator<Item = (Spot, Spot)> {
    let long = (rect.w / 4.0).min(4.0);
    let toward = move |from: f64, to: f64| from + (to - from).signum() * long;
    let corners = rect.corners();
    (0..4).flat_map(move |at| {
        let (a, b) = (corners[at], corners[(at + 2) % 4]);
        [(a, (toward(a.0, b.0), a.1)), (a, (a.0, toward(a.1, b.1)))]
    })
}

fn sides(rect: Rect) -> impl Iterator<Item = (Spot, Spot)> {
    let corners = rect.corners();
    (0..4).map(move |at| (corners[at], corners[(at + 1) % 4]))
}

/// What an inset is called on its sheet.
pub(super) fn inset_name(inset: &Inset) -> String {
    format!("i{}", inset.number)
}

/// A leader as wide as a word must keep from it.
fn band((a, b): (Spot, Spot)) -> [Spot; 4] {
    let long = super::room::distance(a, b).max(1e-9);
    let (nx, ny) = ((a.1 - b.1) / long * 0.4, (b.0 - a.0) / long * 0.4);
    [(a.0 + nx, a.1 + ny), (b.0 + nx, b.1 + ny), (b.0 - nx, b.1 - ny), (a.0 - nx, a.1 - ny)]
}

impl Labels {
    /// Draws words on white, without arrows: over a picture.
    pub fn numbers(&self, pen: &mut Pen) {
        self.seated.iter().for_each(|(_, rect)| pen.block([255; 3], rect.inset(-0.3)));
        labels(pen, &Labels { arrows: Vec::new(), ..self.clone() });
    }
}

/// Draws placed labels: arrows, then words, then flags over all.
pub(super) fn labels(pen: &mut Pen, labels: &Labels) {
    for &(a, b) in &labels.arrows {
        arrow(pen, a, b);
    }
    labels.inside.iter().for_each(|word| written(pen, word));
    for (rect, word) in &labels.notes {
        pen.block([255; 3], rect.inset(-0.4));
        written(pen, word);
    }
    for flag in &labels.flags {
        pen.line(weight::LEADER, flag.leader.0, flag.leader.1);
        pen.dot(flag.leader.1, 0.45);
    }
    for flag in &labels.flags {
        pen.block([255; 3], flag.frame);
        pen.frame(Line { pt: 0.25, ..weight::LEADER }, flag.frame);
        for word in &flag.words {
            pen.text(word.style, word.at, &word.text);
        }
    }
}

/// Writes a word, upward where it is turned.
pub(super) fn written(pen: &mut Pen, word: &Written) {
    match word.turned {
        true => pen.text_upward(word.style, word.at, &word.text),
        false => pen.text(word.style, word.at, &word.text),
    }
}

/// A line with a head at both ends: grain has an axis, no sense.
pub(super) fn arrow(pen: &mut Pen, a: Spot, b: Spot) {
    let long = super::room::distance(a, b);
    let (ux, uy) = ((b.0 - a.0) / long, (b.1 - a.1) / long);
    let mut trail = Trail::default();
    trail.start(a);
    trail.line(b);
    for (tip, way) in [(a, 1.0), (b, -1.0)] {
        let (x, y) = (tip.0 + way * ux * 1.8, tip.1 + way * uy * 1.8);
        trail.start((x - uy * 0.8, y + ux * 0.8));
        trail.line(tip);
        trail.line((x + uy * 0.8, y - ux * 0.8));
    }
    pen.stroke(weight::GRAIN, trail);
}

/// A grain's whole degrees, counterclockwise from the right: under 180.
pub(super) fn grain_degrees(axis: Axis) -> String {
    format!("{:.0}", axis.to_degrees() % 179.5)
}

/// A grain's direction on the page (cosine, sine): it turns counterclockwise as seen, and y points down.
pub(super) fn grain_way(axis: Axis) -> Spot {
    let (s, c) = libm::sincos(axis.to_degrees().to_radians());
    (c, -s)
}

fn pen_of(border: &Border) -> Line {
    if border.from == Origin::Edge { weight::EDGE } else { weight::SAW }
}

/// A flattened line moved `by` mm to its right, its vertices along the mean of their sides' normals.
fn beside(line: &[Spot], by: f64, trail: &mut Trail) {
    let normal = |a: Spot, b: Spot| {
        let long = super::room::distance(a, b).max(1e-9);
        ((a.1 - b.1) / long, (b.0 - a.0) / long)
    };
    let closed = line.len() > 2 && line[0] == line[line.len() - 1];
    let last = line.len() - 1;
    for at in 0..=last {
        let before = if at > 0 { Some(at - 1) } else { closed.then(|| last - 1) };
        let after = if at < last { Some(at) } else { closed.then_some(0) };
        let sum = [before, after].into_iter().flatten().map(|i| normal(line[i], line[i + 1]));
        let (nx, ny) = sum.fold((0.0, 0.0), |s, n| (s.0 + n.0, s.1 + n.1));
        let long = (nx * nx + ny * ny).sqrt().max(1e-9);
        let to = (line[at].0 + nx / long * by, line[at].1 + ny / long * by);
        if at == 0 { trail.start(to) } else { trail.line(to) }
    }
}

/// `1 : 2.4`, for a drawing that is not at true scale.
pub(super) fn scale_words(scale: f64) -> String {
    if scale >= 1.0 { "1 : 1".into() } else { format!("1 : {}", trimmed(1.0 / scale, 2)) }
}
