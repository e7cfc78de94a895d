//! A drawing on paper: the areas that its lines close become the pattern.

use measure::Watch;
use measure::length::Um;

use super::{AREAS_MOST, Own, too_many};
use crate::pattern::fit;
use crate::picture::{Closed, Labels, Raster, Sheet, closed, drawing};
use crate::work::{Pattern, Refusal, Size, Stock, Way};

/// Reads the lines of a scan or photograph. Breaks in them up to `bridge` wide are bridged; what is far too small to be sawn out
/// of `stock` is no area, nor are numbers.
pub fn own_from_paper(
    raster: &Raster,
    (sheet, bridge): (&Sheet, Um),
    stock: &Stock,
    watch: Watch,
) -> Result<Own, Refusal> {
    let (clean, panel) = drawing(raster, sheet)?;
    let (draft, closed) = fitted(&clean, (panel, bridge), (stock, None), watch)?;
    let besides = match closed.written {
        0 => None,
        1 => Some("One small closed mark, such as 6 or 8, is left out as writing.".into()),
        count => Some(format!("{count} small closed marks, such as 6 and 8, are left out as writing.")),
    };
    Ok(Own { draft, panel, says_size: false, loose: closed.loose, besides: besides.into_iter().collect() })
}

/// The draft of a drawing made black on white, and what it was fitted to: `held` areas are left as they lie.
pub fn fitted(
    clean: &Raster,
    (panel, bridge): (Size, Um),
    (stock, held): (&Stock, Option<&Labels>),
    watch: Watch,
) -> Result<(Pattern, Closed), Refusal> {
    watch.tell("finding lines", 0.2);
    let closed = closed(clean, (panel, bridge), stock, held)?;
    let count = closed.owners.len();
    if count > AREAS_MOST {
        return Err(too_many(count));
    }
    if count < 2 {
        return Err(Refusal::new("Nothing in the drawing is closed: no line runs round a place.")
            .way(Way::advice("Draw each line on to another line, or have wider breaks bridged.")));
    }
    let draft = fit(&closed.regions, panel, watch);
    if watch.stopped() {
        return Err(Refusal::new("Stopped; nothing was changed."));
    }
    Ok((draft, closed))
}
