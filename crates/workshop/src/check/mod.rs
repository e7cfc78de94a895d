//! Everything that a check finds, gravest first.

use crate::derived::Derived;
use crate::work::{Finding, Work};
use crate::{caution, letters, relief, saw, stock, wood};

/// Findings of the whole job, gravest first, then by kind and place.
pub fn check(work: &Work, derived: &mut Derived) -> Vec<Finding> {
    let outlines = derived.outlines(work);
    let colours = derived.colours(work);
    let mut found = crate::pattern::findings(work, &outlines);
    found.extend(wood::findings(work, &outlines, &colours));
    found.extend(relief::findings(work, &outlines));
    found.extend(saw::findings(work, &outlines, &mut derived.narrow));
    found.extend(stock::findings(work, &outlines));
    found.extend(caution::findings(work));
    found.extend(letters::findings(work));
    found.sort_by(|a, b| (a.grave, a.kind, &a.key).cmp(&(b.grave, b.kind, &b.key)));
    found
}

#[cfg(test)]
mod tests {
    use measure::plane::Point;

    use super::*;
    use crate::pattern::sample::accepted;
    use crate::picture::Raster;
    use crate::work::edit::{Edit, pattern};
    use crate::work::{AreaId, PictureRef};
    use std::sync::Arc;

    fn raster() -> Arc<Raster> {
        let pixel = |i: u32| [(i % 251) as u8, (i / 7 % 249) as u8, (i / 91 % 247) as u8, 255];
        Arc::new(Raster { width: 120, height: 90, pixels: (0..120 * 90).map(pixel).collect() })
    }

    /// What is remembered from before a change gives the same as looking at everything anew.
    #[test]
    fn a_check_after_a_change_equals_a_check_from_nothing() {
        let mut work = accepted(4, 3);
        work.picture = Some(PictureRef {
            hash: "a".into(),
            width: 120,
            height: 90,
            author: "".into(),
            source: "".into(),
            permission: "".into(),
            framing: None,
            unmasked: None,
        });
        let mut kept = Derived::with_picture(Some(raster()));
        check(&work, &mut kept);
        let areas: Vec<AreaId> = work.pattern.areas.keys().copied().collect();
        let mut edits: Vec<pattern::Edit> =
            areas.windows(2).map(|pair| pattern::Edit::Merge(vec![pair[0], pair[1]])).collect();
        edits.extend(areas.iter().map(|area| pattern::Edit::Split {
            area: *area,
            along: vec![Point::new(-500, 2500), Point::new(90_000, 3500)],
        }));
        edits.extend(areas.iter().map(|area| pattern::Edit::Open(*area)));
        let mut done = 0;
        for edit in edits {
            done += usize::from(crate::apply(&mut work, &Edit::Pattern(edit)).is_ok());
            let mut fresh = Derived::with_picture(Some(raster()));
            assert_eq!(check(&work, &mut kept), check(&work, &mut fresh));
            assert_eq!(kept.colours(&work), fresh.colours(&work));
            let widest = |derived: &mut Derived| {
                derived.outlines(&work).areas.values().map(|one| one.widest).collect::<Vec<_>>()
            };
            assert_eq!(widest(&mut kept), widest(&mut fresh));
        }
        assert!(done > 8, "{done} edits could be made");
    }
}
