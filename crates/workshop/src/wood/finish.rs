//! How a raw colour looks under a finish.
//!
//! For each linear channel R_f = ((R − f) / (1 − f))^c: the finish takes away the white light f that a raw surface
//! scatters and lengthens the way of light in the wood by c. The classical models of wetting turn a* or b* the wrong
//! way in most woods. Where it fails: three channels stand for a spectrum, and below R = f a wood turns black.

use measure::colour::Lab;

use crate::work::{Finish, Shift, Wood, Work};

/// The colour of a wood under a finish.
pub fn finished(raw: Lab, finish: &Finish) -> Lab {
    let Shift { stray, path } = finish.shift;
    if (stray, path) == (0, 1000) {
        return raw;
    }
    let (f, c) = (f64::from(stray) / 1000.0, f64::from(path) / 1000.0);
    Lab::from_linear(raw.to_linear().map(|r| libm::pow((r.max(f) - f) / (1.0 - f), c)))
}

/// The job's finish: the maker's own by its samples, or one of the table; none when the job names one that the table has not.
pub(crate) fn finish_of(work: &Work) -> Option<&Finish> {
    let own = work.choices.own_finish.as_ref().filter(|own| own.id == work.choices.finish);
    own.or_else(|| super::table::finish(&work.choices.finish))
}

/// The colour of a wood under the job's finish; raw when that is not known.
pub fn look(work: &Work, wood: &Wood) -> Lab {
    let raw = wood.colour.value;
    finish_of(work).map_or(raw, |finish| finished(raw, finish))
}

/// How a raw colour of a wood looks under the job's finish after `years` on a wall.
pub fn aged_look((work, wood): (&Work, &Wood), raw: Lab, years: f64) -> Lab {
    super::findings::seeing(work, years).look(wood, raw)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wood::{finishes, table};
    use crate::work::WoodId;

    /// Moya and others measured ten species under wax and polyurethane: L* fell, a* and b* rose in every one.
    #[test]
    fn every_wood_turns_deeper_and_warmer_under_every_finish() {
        for finish in finishes().values().filter(|finish| finish.id != "none") {
            for wood in table().values() {
                let (raw, seen) = (wood.colour.value, finished(wood.colour.value, finish));
                let deeper = seen.l < raw.l && seen.a > raw.a && seen.b > raw.b;
                assert!(deeper, "{} under {}: {raw:?} {seen:?}", wood.id, finish.id);
            }
        }
    }

    /// Les/Wood 18732: cherry under one to three coats of wax moved by ΔE*ab 8.41, 11.29 and 11.59.
    #[test]
    fn cherry_moves_as_measured() {
        let raw = table()[&WoodId("cherry-black".into())].colour.value;
        let moved = raw.delta_e_1976(finished(raw, &finishes()["wax"]));
        assert!((8.0..=12.0).contains(&moved), "{moved}");
    }
}
