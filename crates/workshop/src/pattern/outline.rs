//! Outlines of areas, derived from the borders; neighbours; the widest circle of each area.

use std::collections::BTreeMap;

use measure::plane::{Circle, Point};

use crate::picture::Labels;
use crate::work::{AreaId, BorderId, Pattern, Size};

/// What is derived from a pattern.
#[derive(Clone, Debug, Default)]
pub struct Outlines {
    /// Each border flattened, from its start to its end (a ring's last point is its first).
    pub lines: BTreeMap<BorderId, Vec<Point>>,
    /// Each area's outline.
    pub areas: BTreeMap<AreaId, Outline>,
    /// Every pair of touching areas (lower id first), whatever the gap.
    pub meetings: BTreeMap<(AreaId, AreaId), Meeting>,
    panel: Size,
}

/// The outline of an area.
#[derive(Clone, Debug)]
pub struct Outline {
    /// Rings of the flattened borders' own points: the outer one first, then the holes. The first point is not
    /// repeated. On the page the outer ring runs clockwise, holes counterclockwise.
    pub rings: Vec<Vec<Point>>,
    /// The borders of each ring in order, and whether each is walked from start to end.
    pub borders: Vec<Vec<(BorderId, bool)>>,
    /// Exact area of the cubics by Green's theorem, mm².
    pub area_mm2: f64,
    /// The widest circle inside, to 10 µm.
    pub widest: Circle,
}

/// Where two areas touch.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Meeting {
    /// The borders that they share.
    pub borders: Vec<BorderId>,
    /// Their common length, mm.
    pub length_mm: f64,
}

impl Outlines {
    /// Which area each pixel of a `width` × `height` raster over the panel lies in, by its centre: the area's id.
    pub fn labels(&self, _width: u32, _height: u32) -> Labels {
        unimplemented!()
    }

    /// The area at a point.
    pub fn at(&self, _point: Point) -> Option<AreaId> {
        unimplemented!()
    }

    /// The panel that the outlines divide.
    pub fn panel(&self) -> Size {
        self.panel
    }
}

/// Derives outlines. The pattern must pass `prove`.
pub fn outlines(_pattern: &Pattern, _panel: Size) -> Outlines {
    unimplemented!()
}
