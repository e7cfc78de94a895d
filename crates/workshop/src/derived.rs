//! Values that follow from the job, kept in memory only and keyed by what they rest on.

use std::sync::Arc;

use measure::{Stamp, stamp};

use crate::pattern::{Outlines, outlines};
use crate::picture::{ColourCount, Colours, Labels, Raster, Tree, colours};
use crate::work::Work;

/// A memo beside `Work`, passed in by the caller and never stored. A value is made again when what it rests on changed.
#[derive(Default)]
pub struct Derived {
    raster: Option<Arc<Raster>>,
    /// The merge tree of the last trace, keyed by the picture and the choices that it was grown under.
    pub(crate) tree: Option<(Stamp, Arc<Tree>)>,
    outlines: Option<(Stamp, Arc<Outlines>)>,
    colours: Option<(Stamp, Arc<Colours>)>,
    colour_count: Option<(Stamp, Arc<ColourCount>)>,
}

impl Derived {
    /// Hands in the decoded picture of the job, or `None` when it has none.
    pub fn with_picture(raster: Option<Arc<Raster>>) -> Derived {
        Derived { raster, ..Derived::default() }
    }

    /// The decoded picture.
    pub fn picture(&self) -> Option<&Arc<Raster>> {
        self.raster.as_ref()
    }

    /// The outlines of the pattern's areas.
    pub fn outlines(&mut self, work: &Work) -> Arc<Outlines> {
        let key = stamp(&(&work.pattern, work.panel));
        recall(&mut self.outlines, key, || outlines(&work.pattern, work.panel))
    }

    /// The picture's colour in each area; empty without a picture.
    pub fn colours(&mut self, work: &Work) -> Arc<Colours> {
        let key = stamp(&(&work.pattern, work.panel, &work.picture));
        let outlines = self.outlines(work);
        let raster = self.raster.clone();
        recall(&mut self.colours, key, || match raster {
            Some(raster) => colours(&raster, &outlines.labels(raster.width, raster.height)),
            None => Colours::default(),
        })
    }

    /// The picture's colours counted in each area; all in area 0 where there is no pattern; empty without a picture.
    pub fn colour_count(&mut self, work: &Work) -> Arc<ColourCount> {
        let key = stamp(&(&work.pattern, work.panel, &work.picture));
        let Some(raster) = self.raster.clone() else { return Arc::default() };
        let outlines = self.outlines(work);
        let whole = || Labels { width: raster.width, height: raster.height, of: vec![0; raster.pixels.len()] };
        recall(&mut self.colour_count, key, || {
            let bare = work.pattern.areas.is_empty();
            let labels = if bare { whole() } else { outlines.labels(raster.width, raster.height) };
            ColourCount::new(&raster, &labels)
        })
    }
}

fn recall<T>(memo: &mut Option<(Stamp, Arc<T>)>, key: Stamp, make: impl FnOnce() -> T) -> Arc<T> {
    match memo {
        Some((known, value)) if *known == key => value.clone(),
        _ => memo.insert((key, Arc::new(make()))).1.clone(),
    }
}
