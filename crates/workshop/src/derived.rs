//! Values that follow from the job, kept in memory only and keyed by what they rest on.

use std::collections::BTreeMap;
use std::sync::Arc;

use measure::length::Um;
use measure::{Stamp, stamp};

use crate::pattern::{Fine, Outlines, outlines_after};
use crate::picture::{ColourCount, Colours, Cutout, Finest, Labels, Raster, Shown, Tree, colours, without_ink};
use crate::work::{AreaId, InkChoice, TraceChoices, Work};
use crate::{saw, stock};

/// How far from its edge a piece's colour is taken, so that drawn lines and soft edges do not count.
const RIM_MM: f64 = 1.0;

/// A memo beside `Work`, passed in by the caller and never stored. A value is made again when what it rests on changed.
#[derive(Default)]
pub struct Derived {
    raster: Option<Arc<Raster>>,
    /// The scan or photograph of a drawing on paper, decoded.
    paper: Option<Arc<Raster>>,
    /// The picture without its strokes.
    bare: Option<(Stamp, Arc<Raster>)>,
    /// The merge tree of the last trace, keyed by the picture and the choices that it was grown under.
    pub(crate) tree: Option<(Stamp, Arc<Tree>)>,
    /// The finest regions of that tree and their borders, for sketches.
    pub(crate) finest: Option<(Stamp, Arc<(Finest, Fine)>)>,
    /// The picture made ready for marks of the subject.
    pub(crate) cutout: Option<(Stamp, Arc<Cutout>)>,
    outlines: Option<(Stamp, Arc<Outlines>)>,
    colours: Option<(Stamp, Arc<Colours>)>,
    /// The outlines that the colours were taken in, and the picture and panel of them.
    coloured: Option<(Stamp, Arc<Outlines>)>,
    /// Narrow places, by outline.
    pub(crate) narrow: saw::Narrow,
    colour_count: Option<(Stamp, Arc<ColourCount>)>,
    bought: stock::Bought,
    /// Photographs of boards, by hash, as the caller hands them in.
    photographs: BTreeMap<String, Arc<Raster>>,
    /// The same as they look under a finish after years, by what that rests on.
    pub(crate) shown: BTreeMap<Stamp, Arc<Shown>>,
}

impl Derived {
    /// Hands in the decoded picture of the job as it is framed, or `None` when it has none.
    pub fn with_picture(raster: Option<Arc<Raster>>) -> Derived {
        Derived { raster, ..Derived::default() }
    }

    /// Hands in the picture as it is framed now; what was derived from another is forgotten.
    pub fn set_picture(&mut self, raster: Option<Arc<Raster>>) {
        let same = match (&self.raster, &raster) {
            (Some(known), Some(new)) => Arc::ptr_eq(known, new),
            (known, new) => known.is_none() && new.is_none(),
        };
        if !same {
            *self = Derived { photographs: std::mem::take(&mut self.photographs), ..Derived::with_picture(raster) };
        }
    }

    /// The decoded picture, of which no more is left than fills the panel.
    pub fn picture(&self) -> Option<&Arc<Raster>> {
        self.raster.as_ref()
    }

    /// Hands in the scan or photograph of the drawing that the job is traced from, decoded.
    pub fn set_paper(&mut self, paper: Option<Arc<Raster>>) {
        self.paper = paper;
    }

    /// The drawing that was handed in.
    pub fn paper(&self) -> Option<&Arc<Raster>> {
        self.paper.as_ref()
    }

    /// Hands in the photographs of the job's boards, decoded, by their hashes: the view shows them where pieces lie on them.
    pub fn set_photographs(&mut self, photographs: BTreeMap<String, Arc<Raster>>) {
        self.photographs = photographs;
    }

    /// A photograph that was handed in.
    pub(crate) fn photograph(&self, hash: &str) -> Option<&Arc<Raster>> {
        self.photographs.get(hash)
    }

    /// The picture as its areas are coloured: without strokes where ink is closed.
    fn seen(&mut self, work: &Work) -> Option<Arc<Raster>> {
        let raster = self.raster.clone()?;
        if work.choices.trace.ink == InkChoice::Leave {
            return Some(raster);
        }
        let trace = &work.choices.trace;
        let make =
            || without_ink(&raster, work.panel, trace, &work.choices.stock).unwrap_or_else(|| Raster::clone(&raster));
        Some(recall(&mut self.bare, bare_key(work, trace), make))
    }

    /// Keeps what a trace has grown, the picture without its strokes too.
    pub(crate) fn keep(&mut self, work: &Work, choices: &TraceChoices, (key, tree): (Stamp, Arc<Tree>)) {
        if let Some(bare) = &tree.without_ink {
            self.bare = Some((bare_key(work, choices), bare.clone()));
        }
        self.tree = Some((key, tree));
    }

    /// The outlines of the pattern's areas.
    pub fn outlines(&mut self, work: &Work) -> Arc<Outlines> {
        let key = stamp(&(&work.pattern, work.panel));
        let before = self.outlines.as_ref().map(|(_, before)| before.clone()).unwrap_or_default();
        recall(&mut self.outlines, key, || outlines_after(&work.pattern, work.panel, &before))
    }

    /// What is still to be bought; only what changed is laid anew.
    pub fn missing(&mut self, work: &Work) -> Vec<stock::Missing> {
        let outlines = self.outlines(work);
        stock::missing(work, &outlines, &mut self.bought)
    }

    /// The picture's colour in each area; empty without a picture.
    pub fn colours(&mut self, work: &Work) -> Arc<Colours> {
        let key = stamp(&(&work.pattern, work.panel, &work.picture, ink(work)));
        let outlines = self.outlines(work);
        let Some(raster) = self.seen(work) else { return Arc::default() };
        let under = stamp(&(&work.picture, work.panel, ink(work)));
        let before = match (&self.coloured, &self.colours) {
            (Some((known, outlines)), Some((_, colours))) if *known == under => {
                Some((outlines.clone(), colours.clone()))
            }
            _ => None,
        };
        self.coloured = Some((under, outlines.clone()));
        recall(&mut self.colours, key, || {
            let same = |id: AreaId| {
                let (then, _) = before.as_ref()?;
                (then.areas.get(&id)?.rings == outlines.areas.get(&id)?.rings).then_some(id)
            };
            let labels = outlines.labels(raster.width, raster.height);
            let rim = RIM_MM * f64::from(raster.width) / work.panel.width.to_mm();
            let mut all = colours(&raster, &labels, rim as usize, |id| same(id).is_none());
            if let Some((_, known)) = &before {
                all.extend(outlines.areas.keys().filter_map(|id| Some((same(*id)?, *known.get(id)?))));
            }
            all
        })
    }

    /// The picture's colours counted in each area; all in area 0 where there is no pattern; empty without a picture.
    pub fn colour_count(&mut self, work: &Work) -> Arc<ColourCount> {
        let key = stamp(&(&work.pattern, work.panel, &work.picture, ink(work)));
        let Some(raster) = self.seen(work) else { return Arc::default() };
        let outlines = self.outlines(work);
        let whole = || Labels { width: raster.width, height: raster.height, of: vec![0; raster.pixels.len()] };
        recall(&mut self.colour_count, key, || {
            let bare = work.pattern.areas.is_empty();
            let labels = if bare { whole() } else { outlines.labels(raster.width, raster.height) };
            ColourCount::new(&raster, &labels)
        })
    }
}

/// What the picture without its strokes rests on.
fn bare_key(work: &Work, choices: &TraceChoices) -> Stamp {
    stamp(&(&work.picture, work.panel, choices.bridge, work.choices.stock.least_width))
}

/// What the job says of ink.
fn ink(work: &Work) -> (InkChoice, Um) {
    (work.choices.trace.ink, work.choices.trace.bridge)
}

fn recall<T>(memo: &mut Option<(Stamp, Arc<T>)>, key: Stamp, make: impl FnOnce() -> T) -> Arc<T> {
    match memo {
        Some((known, value)) if *known == key => value.clone(),
        _ => memo.insert((key, Arc::new(make()))).1.clone(),
    }
}

#[cfg(test)]
mod tests {
    use measure::Watch;

    use super::*;
    use crate::pattern::sample::accepted;
    use crate::work::edit::{Edit, pattern};

    /// What is taken over from before is what would be made anew, whatever was merged or undone.
    #[test]
    fn a_memo_that_follows_edits_is_as_one_made_anew() {
        let pixel = |at: u32| [(at * 37 % 251) as u8, (at * 91 % 253) as u8, (at * 17 % 241) as u8, 255];
        let raster = Arc::new(Raster { width: 96, height: 64, pixels: (0..96 * 64).map(pixel).collect() });
        let mut work = accepted(6, 4);
        let mut followed = Derived::with_picture(Some(raster.clone()));
        let first = work.clone();
        for touching in [0, 4, 11, 17] {
            same_as_anew(&work, &mut followed, &raster);
            let pairs = followed.outlines(&work);
            let (one, other) = *pairs.meetings.keys().nth(touching).unwrap();
            let merge = Edit::Pattern(pattern::Edit::Merge(vec![one, other]));
            crate::apply(&mut work, &merge).unwrap();
        }
        same_as_anew(&work, &mut followed, &raster);
        same_as_anew(&first, &mut followed, &raster);
    }

    /// The colours of a drawing rest on how its lines are taken out now, not on what was traced before.
    #[test]
    fn colours_do_not_tell_what_was_traced_before() {
        let dark = |x: u32, y: u32| y.abs_diff(32) < 2 && !(38..54).contains(&x) || x < 2 || y < 2 || x > 93 || y > 61;
        let paper = |at: u32| [150 + (at * 37 % 101) as u8, 150 + (at * 91 % 103) as u8, 200, 255];
        let pixel = |at: u32| if dark(at % 96, at / 96) { [15, 12, 14, 255] } else { paper(at) };
        let raster = Arc::new(Raster { width: 96, height: 64, pixels: (0..96 * 64).map(pixel).collect() });
        let mut work = accepted(6, 4);
        work.choices.trace.ink = InkChoice::Close;
        let mut followed = Derived::with_picture(Some(raster.clone()));
        let mut bare = Vec::new();
        for bridge in [0.0, 30.0] {
            let other = TraceChoices { bridge: Um::mm(30.0 - bridge), ..work.choices.trace.clone() };
            work.choices.trace.bridge = Um::mm(bridge);
            let tree = crate::picture::tree(&raster, work.panel, &other, &work.choices.stock, Watch::silent()).unwrap();
            followed.keep(&work, &other, (stamp(&bridge.to_bits()), Arc::new(tree)));
            same_as_anew(&work, &mut followed, &raster);
            bare.push(followed.seen(&work).unwrap());
            let anew = Derived::with_picture(Some(raster.clone())).seen(&work).unwrap();
            assert!(bare[bare.len() - 1].pixels == anew.pixels, "bridged to {bridge} mm");
        }
        assert!(bare[0].pixels != bare[1].pixels, "a break that is bridged is taken out");
    }

    fn same_as_anew(work: &Work, followed: &mut Derived, raster: &Arc<Raster>) {
        let mut anew = Derived::with_picture(Some(raster.clone()));
        assert_eq!(*followed.colours(work), *anew.colours(work));
        let (followed, anew) = (followed.outlines(work), anew.outlines(work));
        assert_eq!(followed.lines, anew.lines);
        assert_eq!(followed.meetings, anew.meetings);
        assert_eq!(followed.areas.len(), anew.areas.len());
        for (id, outline) in &anew.areas {
            let found = &followed.areas[id];
            assert_eq!((&found.rings, &found.borders), (&outline.rings, &outline.borders), "{id}");
            assert_eq!((found.area_mm2, found.widest), (outline.area_mm2, outline.widest), "{id}");
        }
    }
}
