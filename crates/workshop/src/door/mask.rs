//! A mask given for a job already begun, and taken away again: the picture stays where it lies, only its ground changes.

use crate::work::edit::{Edit, picture};
use crate::work::{GroundChoice, PictureRef, Refusal, Way, Work};

/// The edits that put the picture that a mask was laid over, known by its hash, in the place of the job's. What the mask leaves
/// out is ground.
pub fn masked_picture(work: &Work, hash: String) -> Result<Vec<Edit>, Refusal> {
    let before = work.picture.clone().ok_or_else(no_picture)?;
    let unmasked = Some(before.unmasked.clone().unwrap_or_else(|| before.hash.clone()));
    let place = picture::Edit::Place(PictureRef { hash, unmasked, ..before });
    let drop = (work.choices.trace.ground == GroundChoice::Keep).then_some(picture::Edit::Ground(GroundChoice::Drop));
    Ok(std::iter::once(place).chain(drop).map(Edit::Picture).collect())
}

/// The edits that bring the picture back as it was before its mask.
pub fn unmasked_picture(work: &Work) -> Result<Vec<Edit>, Refusal> {
    let before = work.picture.clone().ok_or_else(no_picture)?;
    let hash = before.unmasked.clone().ok_or_else(|| {
        Refusal::new("The picture has no mask to take away.")
            .way(Way::advice("What is transparent in the file itself stays so; mark what becomes wood over it."))
    })?;
    Ok(vec![Edit::Picture(picture::Edit::Place(PictureRef { hash, unmasked: None, ..before }))])
}

fn no_picture() -> Refusal {
    Refusal::new("There is no picture to mask: this pattern is an own drawing.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::apply_all;

    #[test]
    fn another_mask_begins_from_the_whole_picture_and_the_ground_is_dropped() {
        let mut work = Work::default();
        assert!(masked_picture(&work, "b".into()).is_err() && unmasked_picture(&work).is_err());
        let text = r#"{"hash": "a", "width": 300, "height": 200, "author": "me"}"#;
        work.picture = Some(serde_json::from_str(text).unwrap());
        assert!(unmasked_picture(&work).unwrap_err().what.contains("no mask"));
        let before = work.clone();
        work.choices.trace.ground = GroundChoice::Keep;
        for hash in ["b", "c"] {
            let edits = masked_picture(&work, hash.into()).unwrap();
            apply_all(&mut work, &edits).unwrap();
            let picture = work.picture.clone().unwrap();
            assert_eq!(
                (picture.hash.as_str(), picture.unmasked.as_deref(), picture.author.as_str()),
                (hash, Some("a"), "me")
            );
            assert_eq!(work.choices.trace.ground, GroundChoice::Drop);
        }
        let edits = unmasked_picture(&work).unwrap();
        apply_all(&mut work, &edits).unwrap();
        assert_eq!(work, before);
    }
}
