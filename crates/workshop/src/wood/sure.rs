//! How sure a verdict on two woods is: same, apart, or can't be told.
//!
//! A wood's colour is a cloud: boards differ from each other, and the table may be off for all of them. Both are taken as
//! normal in L*, a*, b*, pushed through finish and years, and the difference of two clouds is judged on its linear part:
//! the step d along the line between the means, and its standard deviation. Two woods are apart when d − 1.645 σ is a
//! visible step (so 5 % of true pairs fall short of it), the same when d + 1.645 σ is not, and else can't be told: that is
//! never a pass, and goes on the list of tests. What lies across the line only adds to a difference, so the verdict
//! "apart" errs to the careful side; the Monte Carlo in the tests counts how often it is wrong.
//!
//! Two pieces of one wood are the same: they may come from one board.

use measure::colour::{Lab, delta_e_2000};

use super::edit::OWN_TEST;
use super::years::aged;
use crate::work::{Finish, Sourced, Wood};

/// The least difference between finished woods that shows across a saw line, ΔE00 (Allegretti and others 2009: 3 to 6 is
/// visible).
pub const VISIBLE: f64 = 3.0;

/// How a colour's variance lies in L*, a* and b*: shares of the standard deviation, their squares sum to 1. Spruce (3.70,
/// 2.13, 1.79) and fir (1.91, 0.97, 1.26) as published, rounded between the two.
const SHARES: [f64; 3] = [0.79, 0.43, 0.44];

/// How far the table may be off for all boards of a wood, ΔE, one standard deviation. Measured by somebody: instrument and
/// light differ, 3 to 5 at two deviations (from memory). From memory: the colours of this table against measured relatives.
/// An own sample beside a grey card: what a photograph of a board is held to.
const OFF_MEASURED: f64 = 2.2;
const OFF_MEMORY: f64 = 6.0;
const OFF_OWN: f64 = 1.5;

/// The spread within the one board that a test piece was sawn from, and its workpieces will be, ΔE: from memory.
const WITHIN_BOARD: f64 = 1.2;

/// One side of the normal distribution beyond which 5 % lie.
const ONE_IN_TWENTY: f64 = 1.645;

/// How sources of a maker's own colours begin.
pub const OWN: &str = "own ";

/// What can be said of two woods side by side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Under a visible step.
    Same,
    /// At least a visible step.
    Apart,
    /// The data do not say: test on offcuts.
    CantTell,
}

impl Verdict {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Same => "same",
            Verdict::Apart => "apart",
            Verdict::CantTell => "can't be told",
        }
    }
}

/// How woods are looked at: under a finish, raw without one, after so many years.
#[derive(Clone, Copy, Debug)]
pub struct Seeing<'a> {
    /// The finish.
    pub finish: Option<&'a Finish>,
    /// Years on a wall.
    pub years: f64,
}

impl Seeing<'_> {
    /// What a wood whose raw colour is `raw` looks like.
    pub fn look(&self, wood: &Wood, raw: Lab) -> Lab {
        let aged = aged(raw, wood, self.years);
        self.finish.map_or(aged, |finish| super::finished(aged, finish))
    }
}

/// How far a wood's true raw colour may lie from the table's: boards, table, and half of what the years change, ΔE.
fn deviation(wood: &Wood, years: f64) -> f64 {
    let between = f64::from(wood.spread) / 100.0;
    let boards = if wood.colour.source.starts_with(OWN_TEST) { between.min(WITHIN_BOARD) } else { between };
    let years = 0.5 * wood.colour.value.delta_e_1976(aged(wood.colour.value, wood, years));
    (boards * boards + origin(wood) * origin(wood) + years * years).sqrt()
}

/// How far the table may be off for all boards of a wood.
fn origin(wood: &Wood) -> f64 {
    match &wood.colour {
        Sourced { source, .. } if source.starts_with(OWN) => OFF_OWN,
        _ if wood.measured => OFF_MEASURED,
        _ => OFF_MEMORY,
    }
}

/// Standard deviations in L*, a*, b*.
fn axes(deviation: f64) -> [f64; 3] {
    SHARES.map(|share| share * deviation)
}

/// One standard deviation of a wood's true raw colour about the table's, in L*, a* and b*.
pub fn spread(wood: &Wood, years: f64) -> [f64; 3] {
    axes(deviation(wood, years))
}

/// The difference of two woods as they are seen, and what can be said of it.
pub fn judge(one: &Wood, two: &Wood, seeing: Seeing) -> (f64, Verdict) {
    let looks = |raws: [Lab; 2]| delta_e_2000(seeing.look(one, raws[0]), seeing.look(two, raws[1]));
    let raws = [one.colour.value, two.colour.value];
    let step = looks(raws);
    if one.id == two.id {
        return (step, Verdict::Same);
    }
    let mut variance = 0.0;
    for (side, wood) in [one, two].into_iter().enumerate() {
        for (axis, sd) in spread(wood, seeing.years).into_iter().enumerate() {
            let (mut more, mut less) = (raws, raws);
            more[side] = shifted(raws[side], axis, sd);
            less[side] = shifted(raws[side], axis, -sd);
            let slope = 0.5 * (looks(more) - looks(less));
            variance += slope * slope;
        }
    }
    (step, verdict(step, variance.sqrt()))
}

fn verdict(step: f64, sd: f64) -> Verdict {
    if step - ONE_IN_TWENTY * sd >= VISIBLE {
        Verdict::Apart
    } else if step + ONE_IN_TWENTY * sd.max(1.0) < VISIBLE {
        Verdict::Same
    } else {
        Verdict::CantTell
    }
}

/// A colour moved along one of its three numbers.
fn shifted(colour: Lab, axis: usize, by: f64) -> Lab {
    let mut numbers = [colour.l, colour.a, colour.b];
    numbers[axis] += by;
    Lab::new(numbers[0].clamp(1.0, 99.0), numbers[1], numbers[2])
}

#[cfg(test)]
mod tests {
    use measure::Dice;

    use super::*;
    use crate::wood::{finishes, table};

    /// A wood as true boards of it are, when the table may be off: drawn anew each time.
    fn drawn(wood: &Wood, dice: &mut Dice) -> Lab {
        let [l, a, b] = axes(deviation(wood, 0.0)).map(|sd| sd * dice.normal());
        let raw = wood.colour.value;
        Lab::new((raw.l + l).clamp(1.0, 99.0), raw.a + a, raw.b + b)
    }

    /// Bar: with true colours drawn from each wood's spread, at most 5 % of the pairs called apart are under the visible
    /// step. A fixed seed; raw and under each finish, every pair of the table, ten draws each.
    #[test]
    fn of_the_pairs_called_apart_few_are_not() {
        let (mut dice, woods) = (Dice::new(2000), table());
        for finish in finishes().values() {
            let seeing = Seeing { finish: Some(finish), years: 0.0 };
            let (mut called, mut wrong, mut nearest, mut nearest_wrong) = (0, 0, 0, 0);
            for one in woods.values() {
                for two in woods.values().filter(|two| two.id > one.id) {
                    let (step, verdict) = judge(one, two, seeing);
                    if verdict != Verdict::Apart {
                        continue;
                    }
                    for _ in 0..3 {
                        let (a, b) = (drawn(one, &mut dice), drawn(two, &mut dice));
                        let under = delta_e_2000(seeing.look(one, a), seeing.look(two, b)) < VISIBLE;
                        (called, wrong) = (called + 1, wrong + usize::from(under));
                        if step < 12.0 {
                            (nearest, nearest_wrong) = (nearest + 1, nearest_wrong + usize::from(under));
                        }
                    }
                }
            }
            assert!(called > 1000, "the verdict is given at all: {called}");
            assert!(wrong * 20 <= called, "{}: {wrong} of {called}", finish.id);
            assert!(nearest_wrong * 20 <= nearest, "{}: {nearest_wrong} of the {nearest} nearest", finish.id);
        }
    }

    #[test]
    fn what_nobody_measured_can_seldom_be_told() {
        let woods = table();
        let wood = |key: &str| &woods[&crate::work::WoodId(key.into())];
        let raw = Seeing { finish: None, years: 0.0 };
        assert_eq!(judge(wood("holly-american"), wood("wenge"), raw).1, Verdict::Apart);
        assert_eq!(judge(wood("wenge"), wood("wenge"), raw).1, Verdict::Same);
        assert_eq!(judge(wood("cherry-black"), wood("alder-red"), raw).1, Verdict::CantTell);
        let mut own = [wood("cherry-black").clone(), wood("alder-red").clone()];
        for wood in &mut own {
            (wood.spread, wood.colour.source) = (50, "own sample beside a grey card".into());
        }
        own[1].colour.value = Lab::new(own[0].colour.value.l + 9.0, own[0].colour.value.a, own[0].colour.value.b);
        assert_eq!(judge(&own[0], &own[1], raw).1, Verdict::Apart, "a sample of one's own settles it");
    }
}
