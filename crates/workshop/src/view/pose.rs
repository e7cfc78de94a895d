//! How a view is taken: from where, in which light, under which finish, showing what.

use crate::work::PartId;

/// How the view is taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// Pixels across, 1 to `WIDEST_VIEW`; the height follows from the panel.
    pub width: u32,
    /// The light.
    pub light: Light,
    /// What of the relief.
    pub show: Show,
    /// Raw or under the job's finish.
    pub surface: Surface,
    /// Years on the wall.
    pub years: u32,
    /// Gloss of the finish, percent: 0 dead matte, 100 high.
    pub gloss: u32,
    /// How far the eye stands to the right (left below 0), degrees, at most `MOST_ASIDE`.
    pub aside: i32,
    /// Seen from this far, mm: what the eye no longer parts is blurred. `None` close up.
    pub away_mm: Option<u32>,
    /// One part alone, all else left out.
    pub part: Option<PartId>,
    /// Only what is glued into place so far.
    pub only_set: bool,
    /// In its frame, if the job has one and the whole of it is shown.
    pub frame: bool,
    /// With some of the wall about that frame.
    pub wall: bool,
}

/// A lamp or window over a soft, even light.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Light {
    /// Where it comes from on the wall, degrees clockwise from above: 270 from the left.
    pub from: u32,
    /// How high it stands off the wall, degrees: 90 straight in front.
    pub height: u32,
    /// Its share of the light on a flat face, percent; the rest comes from all round.
    pub share: u32,
}

/// What the view tells of the relief.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Show {
    /// The woods in the light.
    Picture,
    /// The same in greys: light and dark alone.
    Greys,
}

/// What the woods look like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    /// As sanded.
    Raw,
    /// Under the job's finish.
    Finished,
}

/// The furthest aside, degrees.
pub const MOST_ASIDE: i32 = 30;

impl Default for Light {
    /// From the upper left, a little nearer to the side than to the top: as most pictures are lit.
    fn default() -> Light {
        Light { from: 308, height: 50, share: 62 }
    }
}

impl Default for Pose {
    fn default() -> Pose {
        Pose {
            width: 1600,
            light: Light::default(),
            show: Show::Picture,
            surface: Surface::Finished,
            years: 0,
            gloss: 25,
            aside: 0,
            away_mm: None,
            part: None,
            only_set: false,
            frame: true,
            wall: true,
        }
    }
}
