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

/// `GET /api/woods/judged`: what the woods as they are chosen leave open.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Judged {
    /// Pairs of woods that cannot be told before a test, the longest common border first.
    pub tests: Vec<TestPair>,
    /// Woods as backer, the best first, the one that is chosen now among them.
    pub backers: Vec<BehindSeen>,
    /// Woods of the board behind the ground likewise; none where no ground was dropped.
    pub grounds: Vec<BehindSeen>,
}

/// Two woods to lay side by side under the finish.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct TestPair {
    /// The woods.
    pub woods: [WoodId; 2],
    /// Coats of the job's finish.
    pub coats: u32,
    /// Touching pieces that hang on the answer.
    pub pieces: Vec<[Number; 2]>,
    /// Length of their borders, mm.
    pub border_mm: f64,
    /// ΔE00 by what is known.
    pub difference: f64,
}

/// A wood behind the pieces.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct BehindSeen {
    /// The wood.
    pub wood: WoodId,
    /// Share of the border length along which it is told apart, 0 to 1.
    pub told_apart: f64,
    /// The piece that it is nearest to, and ΔE00.
    pub nearest: Option<(Number, f64)>,
    /// Pieces that it is not sure to be told from.
    pub unsure: Vec<Number>,
}

/// `POST /api/woods/test`: what a photograph shows of finished test pieces.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct TestLook {
    /// The pieces, in the order that they were marked.
    pub pieces: Vec<TestColour>,
}

/// The finished colour of a test piece.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct TestColour {
    /// Its wood.
    pub wood: WoodId,
    /// `#rrggbb`.
    pub colour: String,
    /// L*, a* and b*, thousandths.
    pub lab: [i32; 3],
    /// ΔE00 from what the job has of that wood under its finish.
    pub off: f64,
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
