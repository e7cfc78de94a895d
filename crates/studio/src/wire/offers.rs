//! What the Woods page asks for: woods that come near what is picked, and the picture's tones.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use workshop::work::{Number, WoodId};

/// `POST /api/woods`: which woods would come near these pieces.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct OffersFor {
    /// The pieces.
    pub pieces: Vec<Number>,
}

/// Woods that come near, the best first.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Offers {
    /// The woods.
    pub woods: Vec<Offer>,
}

/// A wood that could be taken.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Offer {
    /// The wood.
    pub wood: WoodId,
    /// ΔE00 to the picture's colour brought into the woods' range.
    pub difference: f64,
    /// Neighbours that it would be told apart from.
    pub apart: Vec<Number>,
    /// Neighbours that it would look the same as.
    pub same: Vec<Number>,
    /// Neighbours of which it can't be told before a test.
    pub untold: Vec<Number>,
    /// Whether there is less on hand than the pieces take.
    pub short: bool,
}

/// `GET /api/tones`: the picture's colours, gathered.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Tones {
    /// The tones.
    pub tones: Vec<Tone>,
}

/// A tone of the picture.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Tone {
    /// A plain colour word.
    pub name: String,
    /// Its colour in the picture, `#rrggbb`.
    pub colour: String,
    /// Its share of all that is not ground.
    pub share: f64,
    /// The pieces of which it makes up the most.
    pub pieces: Vec<Number>,
}
