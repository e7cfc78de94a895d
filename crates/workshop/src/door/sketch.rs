//! What a pattern of so many pieces would be like, at once: for a slider to be followed.

use std::sync::Arc;

use measure::Watch;
use measure::colour::Lab;
use measure::plane::Point;

use super::propose::{Grown, grown, stop_here};
use crate::derived::Derived;
use crate::pattern::{Fine, fit};
use crate::picture::Finest;
use crate::work::{Refusal, TraceChoices, Work};

/// A pattern to look at. It is never stored: `Ask::Trace` makes the pattern that can be taken, with borders fitted to its
/// own colours and now and then a piece more or less.
#[derive(Clone, Debug, PartialEq)]
pub struct Sketch {
    /// Each piece's rings, the first point not repeated, and its mean colour in the picture.
    pub areas: Vec<(Vec<Vec<Point>>, Lab)>,
    /// Every border.
    pub lines: Vec<Vec<Point>>,
}

/// A sketch of the picture in about `choices.pieces` pieces. The first one grows the merge tree and fits the borders of its
/// finest regions; those after it keep them.
pub fn sketch(work: &Work, derived: &mut Derived, choices: &TraceChoices, watch: Watch) -> Result<Sketch, Refusal> {
    let Grown { key, raster, tree } = grown(work, derived, choices, watch)?;
    let finest = match &derived.finest {
        Some((known, finest)) if *known == key => finest.clone(),
        _ => {
            let finest = Finest::new(&raster, &tree);
            let fine = Fine::new(fit(&finest.regions, work.panel, watch));
            stop_here(watch)?;
            derived.finest.insert((key, Arc::new((finest, fine)))).1.clone()
        }
    };
    let (finest, fine) = &*finest;
    let gathering = finest.gather(&tree, work.panel, choices);
    let gathered = fine.gather(&gathering.into);
    let areas = gathered.rings.into_iter().map(|(name, rings)| (rings, gathering.colours[name as usize])).collect();
    Ok(Sketch { areas, lines: gathered.lines })
}
