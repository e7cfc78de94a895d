//! A finish's two numbers from the maker's own pair of samples, raw and finished.
//!
//! R_f = ((R − f)/(1 − f))^c for three linear channels, two unknowns: for each f of a row, c is the least-squares slope of
//! ln R_f over ln((R − f)/(1 − f)); the pair with the least ΔE00 is taken. Where it fails: one wood says nothing of the
//! stray light of another, and a stain or a filler is no finish in this sense, which shows as a remainder.

use measure::colour::{Lab, delta_e_2000};

use super::finished;
use crate::work::{Finish, Refusal, Shift, Way};

/// Past this remainder, ΔE00, the pair is not what a clear finish does.
const REMAINDER_MOST: f64 = 3.0;

/// Stray light that is tried, thousandths.
const STRAY_MOST: u32 = 60;

/// Linear light below this is noise of any instrument.
const DARKEST: f64 = 1e-4;

/// The finish of a pair of samples, and the ΔE00 that it leaves.
pub fn fit_finish(name: &str, raw: Lab, seen: Lab) -> Result<(Finish, f64), Refusal> {
    if seen.l >= raw.l {
        return Err(Refusal::new(format!(
            "The finished sample (L* {:.1}) is not darker than the raw one (L* {:.1}): no clear finish does that.",
            seen.l, raw.l
        ))
        .way(Way::advice("See whether the two samples are exchanged, and whether both stood in the same light.")));
    }
    let fits = (0..=STRAY_MOST).filter_map(|stray| {
        let finish = with(name, Shift { stray, path: path(raw, seen, f64::from(stray) / 1000.0)? });
        Some((delta_e_2000(finished(raw, &finish), seen), finish))
    });
    match fits.min_by(|a, b| a.0.total_cmp(&b.0)) {
        Some((left, finish)) if left <= REMAINDER_MOST => Ok((finish, left)),
        Some((left, _)) => Err(Refusal::new(format!(
            "No clear finish turns the raw sample into the finished one: ΔE {left:.1} would remain."
        ))
        .way(Way::advice("Take both samples from one board in one light; a stain is a colour of its own wood."))),
        None => {
            Err(Refusal::new("The samples are too dark to fit a finish by.").way(Way::advice("Take a paler wood.")))
        }
    }
}

fn with(name: &str, shift: Shift) -> Finish {
    let source = "own samples, raw and finished".into();
    Finish { id: "own".into(), name: name.into(), shift, source }
}

/// The exponent that fits best for a stray light, thousandths.
fn path(raw: Lab, seen: Lab, stray: f64) -> Option<u32> {
    let (mut over, mut under) = (0.0, 0.0);
    for (r, s) in raw.to_linear().into_iter().zip(seen.to_linear()) {
        let from = libm::log((r - stray).max(DARKEST) / (1.0 - stray));
        over += from * libm::log(s.max(DARKEST));
        under += from * from;
    }
    let path = 1000.0 * over / under;
    (200.0..=5000.0).contains(&path).then_some(path.round() as u32)
}

/// The raw colour that looks like `seen` under a finish: what a finished sample says of its wood.
pub fn unfinished(seen: Lab, finish: &Finish) -> Lab {
    let (f, c) = (f64::from(finish.shift.stray) / 1000.0, f64::from(finish.shift.path) / 1000.0);
    Lab::from_linear(seen.to_linear().map(|r| libm::pow(r.max(0.0), 1.0 / c) * (1.0 - f) + f))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wood::{finishes, table};

    /// The maker's pair is reproduced to ΔE 1, for every wood and finish of the tables; and with noise of an instrument.
    #[test]
    fn a_pair_is_reproduced() {
        for finish in finishes().values().filter(|finish| finish.id != "none") {
            for wood in table().values() {
                let raw = wood.colour.value;
                let seen = finished(raw, finish);
                let noisy = Lab::new(seen.l + 0.4, seen.a - 0.3, seen.b + 0.3);
                for pair in [seen, noisy] {
                    let (fitted, left) = fit_finish("own oil", raw, pair).expect("a clear finish");
                    assert!(left <= 1.0, "{} {}: {left}", finish.id, wood.id);
                    assert!((left - delta_e_2000(finished(raw, &fitted), pair)).abs() < 1e-9);
                }
                let back = unfinished(seen, finish);
                assert!(back.delta_e_1976(raw) < 0.5 || raw.l < 30.0, "{} {}", finish.id, wood.id);
            }
        }
    }

    #[test]
    fn what_no_finish_does_is_refused() {
        let raw = Lab::new(60.0, 10.0, 22.0);
        for seen in [Lab::new(65.0, 10.0, 22.0), Lab::new(45.0, -25.0, -20.0)] {
            assert!(!fit_finish("own", raw, seen).expect_err("no clear finish").ways.is_empty());
        }
    }
}
