//! What an edit changed, why it was refused, and what a check finds.

use std::collections::BTreeSet;

use measure::plane::Point;
use serde::{Deserialize, Serialize};

use super::{AreaId, BoardId, BorderId, Edit, Number, PartId, RelationId, WoodId};

/// What an edit touched, for those who show or derive.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Changes {
    /// Areas whose shape or kind changed, came or went.
    pub areas: BTreeSet<AreaId>,
    /// Borders that changed, came or went.
    pub borders: BTreeSet<BorderId>,
    /// Pieces whose values changed, came or went.
    pub pieces: BTreeSet<Number>,
    /// Relations that changed, came or went.
    pub relations: BTreeSet<RelationId>,
    /// Parts that changed, came or went.
    pub parts: BTreeSet<PartId>,
    /// Boards that changed, came or went, or on which something lies otherwise.
    pub boards: BTreeSet<BoardId>,
    /// Whether the job's settings, picture, marks or variants changed.
    pub settings: bool,
    /// In words, what came of the relations and depth marks that it touched.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub told: Vec<String>,
}

impl Changes {
    /// Takes in what another edit touched.
    pub fn add(&mut self, other: Changes) {
        self.areas.extend(other.areas);
        self.borders.extend(other.borders);
        self.pieces.extend(other.pieces);
        self.relations.extend(other.relations);
        self.parts.extend(other.parts);
        self.boards.extend(other.boards);
        self.settings |= other.settings;
        self.told.extend(other.told);
    }
}

/// Where something is.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(default)]
pub struct Spot {
    /// Pieces.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<Number>>", optional)]
    pub pieces: Vec<Number>,
    /// Areas.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<AreaId>>", optional)]
    pub areas: Vec<AreaId>,
    /// Borders.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<BorderId>>", optional)]
    pub borders: Vec<BorderId>,
    /// Relations.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<RelationId>>", optional)]
    pub relations: Vec<RelationId>,
    /// Woods.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<WoodId>>", optional)]
    pub woods: Vec<WoodId>,
    /// Boards.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<BoardId>>", optional)]
    pub boards: Vec<BoardId>,
    /// A place on the pattern, µm.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub at: Option<Point>,
}

impl Spot {
    /// At these pieces.
    pub fn pieces(pieces: impl IntoIterator<Item = Number>) -> Spot {
        Spot { pieces: pieces.into_iter().collect(), ..Spot::default() }
    }
}

/// A way out: words, and the edits that do it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ts_rs::TS)]
pub struct Way {
    /// What it does, in the maker's words.
    pub says: String,
    /// The edits; empty when it is something to do outside spelk.
    pub edits: Vec<Edit>,
}

impl Way {
    /// A way out that spelk cannot walk for the maker.
    pub fn advice(says: impl Into<String>) -> Way {
        Way { says: says.into(), edits: Vec::new() }
    }

    /// A way out by edits.
    pub fn by(says: impl Into<String>, edits: Vec<Edit>) -> Way {
        Way { says: says.into(), edits }
    }
}

/// Why an edit or an act cannot be. Nothing was changed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ts_rs::TS)]
pub struct Refusal {
    /// What cannot be, and why: one sentence.
    pub what: String,
    /// Where.
    #[serde(rename = "where")]
    pub spot: Spot,
    /// What to do instead.
    pub ways: Vec<Way>,
}

impl Refusal {
    /// A refusal with words alone.
    pub fn new(what: impl Into<String>) -> Refusal {
        Refusal { what: what.into(), spot: Spot::default(), ways: Vec::new() }
    }

    /// The same, at `spot`.
    #[must_use]
    pub fn at(mut self, spot: Spot) -> Refusal {
        self.spot = spot;
        self
    }

    /// The same, with one more way out.
    #[must_use]
    pub fn way(mut self, way: Way) -> Refusal {
        self.ways.push(way);
        self
    }
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.what)?;
        for way in &self.ways {
            write!(f, "\n  - {}", way.says)?;
        }
        Ok(())
    }
}

impl std::error::Error for Refusal {}

/// Something that a check found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ts_rs::TS)]
pub struct Finding {
    /// What kind it is.
    pub kind: Kind,
    /// How grave.
    pub grave: Grave,
    /// Where.
    #[serde(rename = "where")]
    pub spot: Spot,
    /// What is wrong and why it matters, in the trade's words.
    pub why: String,
    /// What mends it.
    pub ways: Vec<Way>,
    /// The same for the same trouble at the same place, so that a page can keep it open.
    pub key: String,
}

/// How grave a finding is; the gravest sorts first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum Grave {
    /// It cannot be made so.
    Grave,
    /// It can, but will likely disappoint.
    Doubt,
    /// Good to know at the bench.
    Note,
}

/// Every kind of finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// A piece narrower than the stock allows.
    TooThin,
    /// A piece smaller than the stock allows.
    TooSmall,
    /// A piece lies inside another: the saw must start in a drilled hole.
    Island,
    /// Something in the picture was too fine to saw and lies in a piece now.
    Swallowed,
    /// A line of an own drawing ended in the open and was left out.
    LooseEnd,
    /// Touching pieces that differ in the picture look alike in wood.
    LowContrast,
    /// Touching pieces that differ when finished grow alike with the years.
    Fades,
    /// The backer looks like pieces that border its openings.
    BackerAlike,
    /// Pieces take more of a wood than there is on hand.
    TooLittleWood,
    /// Colours that the data cannot tell apart or together: test on offcuts.
    UnsureColour,
    /// More woods than the job may have.
    TooManyWoods,
    /// A wood whose dust or splinters are known to harm.
    Hazard,
    /// A wood whose trade is restricted.
    Protected,
    /// Relations that cannot all hold.
    NoWay,
    /// A height breaks a must.
    Unmet,
    /// A height that is not thickness plus raiser, or that no stock gives.
    OffStock,
    /// A step between touching pieces too small to read.
    UnreadableStep,
    /// A relation or mark names a part without pieces.
    EmptyPart,
    /// More thicknesses to plane to than wished.
    PlanerSettings,
    /// A border whose step and colour both vanish from where the work is looked at.
    LostBorder,
    /// Pieces stand out of the frame.
    OutOfFrame,
    /// A place narrower than on both sides, where a piece breaks.
    Neck,
    /// A part that stays narrow over a long way and ends free.
    Tongue,
    /// The grain runs across a narrow place.
    ShortGrain,
    /// Longer or thicker than the saw takes.
    BeyondSaw,
    /// Thicker than it is wide.
    Tall,
    /// Too small to be held by fingers at the blade.
    Handling,
    /// Too small underneath to be glued well.
    LittleGlue,
    /// A bend that no blade for the thickness follows.
    TightBend,
    /// An inside corner that no blade for the thickness saws out.
    SharpCorner,
    /// Hollows that neither a disc nor the smallest drum reaches.
    Hollow,
    /// A piece that lies on no board.
    NoBoard,
    /// A piece that can no longer be cut where it lies.
    LiesWrong,
    /// A text with letters that the pattern book's font lacks.
    NoLetters,
}

impl Kind {
    /// What it is, in the maker's words.
    pub fn words(self) -> &'static str {
        match self {
            Kind::TooThin => "Too thin to saw",
            Kind::TooSmall => "Too small to saw",
            Kind::Island => "A piece inside a piece",
            Kind::Swallowed => "Too fine to saw",
            Kind::LooseEnd => "A line that parts nothing",
            Kind::LowContrast => "Neighbours look alike",
            Kind::Fades => "Neighbours grow alike",
            Kind::BackerAlike => "Backer looks like its neighbours",
            Kind::TooLittleWood => "Not enough of a wood",
            Kind::UnsureColour => "Colour not measured",
            Kind::TooManyWoods => "More woods than wanted",
            Kind::Hazard => "Dust or splinters can harm",
            Kind::Protected => "Trade is restricted",
            Kind::NoWay => "Relations that cannot all hold",
            Kind::Unmet => "A height breaks a must",
            Kind::OffStock => "Not to be had from the stock",
            Kind::UnreadableStep => "A step too small to read",
            Kind::EmptyPart => "A part without pieces",
            Kind::PlanerSettings => "More planer settings than wished",
            Kind::LostBorder => "A border that does not show",
            Kind::OutOfFrame => "Out of the frame",
            Kind::Neck => "Narrow enough to break",
            Kind::Tongue => "A long narrow tongue",
            Kind::ShortGrain => "Short grain",
            Kind::BeyondSaw => "Beyond the saw",
            Kind::Tall => "Taller than wide",
            Kind::Handling => "Too small to hold by fingers",
            Kind::LittleGlue => "Little to be glued by",
            Kind::TightBend => "A bend tighter than the blade turns",
            Kind::SharpCorner => "A corner sharper than the blade leaves",
            Kind::Hollow => "Hollows that no drum reaches",
            Kind::NoBoard => "On no board",
            Kind::LiesWrong => "Cannot be cut where it lies",
            Kind::NoLetters => "Prints as boxes",
        }
    }
}
