//! The job as it might stand, beside how it stands: to look at before it is decided. Nothing of it is stored.

use super::apply_all;
use crate::work::edit::{part, setup};
use crate::work::{Edit, Refusal, VariantId, WoodId, Work};

/// The job on each of these backers.
pub fn on_backers(work: &Work, backers: &[WoodId]) -> Result<Vec<Work>, Refusal> {
    let on = |wood: &WoodId| changed(work, Edit::Setup(setup::Edit::Backer(wood.clone())));
    backers.iter().map(on).collect()
}

/// The job as it stands, then with each of these variants put back.
pub fn with_variants(work: &Work, variants: &[VariantId]) -> Result<Vec<Work>, Refusal> {
    let with = |variant: &VariantId| changed(work, Edit::Part(part::Edit::PutBack(*variant)));
    std::iter::once(Ok(work.clone())).chain(variants.iter().map(with)).collect()
}

fn changed(work: &Work, edit: Edit) -> Result<Work, Refusal> {
    let mut changed = work.clone();
    apply_all(&mut changed, &[edit])?;
    Ok(changed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wood;

    #[test]
    fn each_backer_makes_a_state_of_its_own() {
        let work = Work { woods: wood::table(), ..Work::default() };
        let [one, two] = ["wenge", "maple-hard"].map(|key| WoodId(key.into()));
        let states = on_backers(&work, &[one.clone(), two.clone()]).expect("both are woods of the job");
        assert_eq!(states.iter().map(|state| &state.choices.backer).collect::<Vec<_>>(), [&one, &two]);
        assert!(on_backers(&work, &[WoodId("unobtainium".into())]).is_err());
        assert_eq!(with_variants(&work, &[]).expect("nothing is changed"), [work]);
    }
}
