//! What a job asks of the maker's time, and how many blades.
//!
//! Beside the line itself every piece is begun at the blade, its holes are drilled and threaded, it is handled (pattern on,
//! number under it, burr off), fitted to its neighbours along their borders, and glued. No published figure was found for
//! any of these but whole works of 15 to 30 min a piece (derived from what makers say); each is from memory and gives way
//! to the maker's own. A blade's life is said as 15 to 30 min of sawing in 19 mm hardwood, 5 to 10 in the densest woods:
//! from memory too. Shaping and finishing are not in here: they take longer than all of this.

use std::collections::BTreeMap;

use super::{Joint, Sawing};
use crate::work::{Number, Times, Work};

/// Minutes by what they go to.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Hours {
    /// At the line, the second time along a fitted joint included.
    pub sawing: f64,
    /// Beginning each piece at the blade.
    pub starts: f64,
    /// Drilling holes and threading the blade.
    pub drilling: f64,
    /// Pattern on, number under it, burr off.
    pub handling: f64,
    /// Fitting along borders.
    pub fitting: f64,
    /// Glue on, set, held.
    pub gluing: f64,
}

impl Hours {
    /// All minutes.
    pub fn all(&self) -> f64 {
        self.sawing + self.starts + self.drilling + self.handling + self.fitting + self.gluing
    }
}

/// The minutes of all pieces of decided thickness, by what they go to.
pub fn hours(work: &Work, plan: &BTreeMap<Number, Sawing>, joints: &[Joint]) -> Hours {
    let Times { start, hole, handle, fit, glue } = work.choices.saw.times;
    let minutes = |seconds: u32, count: f64| f64::from(seconds) / 60.0 * count;
    let known: Vec<(&Number, &Sawing)> = plan.iter().filter(|(_, sawing)| sawing.minutes.is_some()).collect();
    let (count, holes) = (known.len() as f64, known.iter().map(|(_, sawing)| f64::from(sawing.holes)).sum::<f64>());
    let again = |joint: &Joint| {
        plan.get(&joint.later).filter(|_| joint.meets.is_some()).and_then(|sawing| sawing.along(joint.length))
    };
    let both =
        |joint: &&Joint| [joint.first, joint.later].iter().all(|n| plan.get(n).is_some_and(|s| s.minutes.is_some()));
    // The sum of no floats is -0.0, which would be printed so.
    let decimetres = joints.iter().filter(both).map(|joint| joint.length.to_mm() / 100.0).sum::<f64>() + 0.0;
    let holes: f64 = holes + 0.0;
    Hours {
        sawing: known.iter().filter_map(|(_, sawing)| sawing.minutes).sum::<f64>()
            + joints.iter().filter_map(again).sum::<f64>()
            + 0.0,
        starts: minutes(start, count),
        drilling: minutes(hole, holes),
        handling: minutes(handle, count),
        fitting: minutes(fit, decimetres),
        gluing: minutes(glue, count),
    }
}

/// How many blades of each kind the sawing wears out: at least one of each that is used. By number, in the plan's order.
pub fn blades_used(work: &Work, plan: &BTreeMap<Number, Sawing>) -> Vec<(String, u32)> {
    let mut worn: BTreeMap<(i32, &str), f64> = BTreeMap::new();
    for sawing in plan.values() {
        let [usual, dense] = work.choices.saw.blade_life.map(|minutes| f64::from(minutes.max(1)));
        let life = if sawing.dense { dense } else { usual };
        *worn.entry((sawing.blade.width.0, &sawing.blade.number)).or_default() += sawing.minutes.unwrap_or(0.0) / life;
    }
    worn.into_iter().map(|((_, number), worn)| (number.to_owned(), worn.ceil().max(1.0) as u32)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::outlines;
    use crate::pattern::sample::accepted;
    use crate::saw::{self, joints, plan};
    use crate::work::edit::saw::Edit;
    use crate::work::{Chosen, Saw};
    use measure::length::Um;

    fn job() -> Work {
        let mut work = accepted(3, 2);
        for piece in work.pieces.values_mut() {
            piece.values.thickness = Some(Chosen::hand(Um(19_000)));
        }
        work
    }

    fn told(work: &Work) -> (Hours, Vec<Joint>, BTreeMap<Number, Sawing>) {
        let outlines = outlines(&work.pattern, work.panel);
        let plan = plan(work, &outlines);
        let joints = joints(work, &outlines, &plan);
        (hours(work, &plan, &joints), joints, plan)
    }

    #[test]
    fn nothing_to_saw_takes_nought_minutes_and_no_less() {
        let mut work = job();
        work.pieces.values_mut().for_each(|piece| piece.values.thickness = None);
        let Hours { sawing, starts, drilling, handling, fitting, gluing } = told(&work).0;
        let all = [sawing, starts, drilling, handling, fitting, gluing].map(|minutes| format!("{minutes:.0}"));
        assert_eq!(all, ["0"; 6]);
    }

    /// Each kind of minute by itself: only its own rate is left, at a minute.
    #[test]
    fn every_minute_has_its_own_rate() {
        let nothing = Times { start: 0, hole: 0, handle: 0, fit: 0, glue: 0 };
        let with = |times: Times| {
            let mut work = job();
            work.choices.saw = Saw { times, ..Saw::default() };
            let (hours, joints, plan) = told(&work);
            (hours, joints.iter().map(|joint| joint.length.to_mm() / 100.0).sum::<f64>(), plan.len() as f64)
        };
        let (none, decimetres, pieces) = with(nothing);
        assert!(none.sawing > 1.0 && none.all() == none.sawing);
        let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} {b}");
        close(with(Times { start: 60, ..nothing }).0.all() - none.sawing, pieces);
        close(with(Times { handle: 60, ..nothing }).0.handling, pieces);
        close(with(Times { glue: 60, ..nothing }).0.gluing, pieces);
        close(with(Times { fit: 60, ..nothing }).0.fitting, decimetres);
        // An island in an island: two holes to drill.
        close(with(Times { hole: 60, ..nothing }).0.drilling, 2.0);
    }

    #[test]
    fn a_fitted_joint_is_sawn_twice_and_what_is_undecided_counts_for_nothing() {
        let mut work = job();
        let (before, joints, plan) = told(&work);
        let joint = &joints[0];
        saw::apply(&mut work, &Edit::CutTo { piece: joint.later, to: joint.first }).expect("they touch");
        let more = told(&work).0.sawing - before.sawing;
        let sawing = &plan[&joint.later];
        let share = joint.length.to_mm() / sawing.line.to_mm() * sawing.minutes.expect("it is decided");
        assert!((more - share).abs() < 1e-6, "{more} {share}");
        for piece in work.pieces.values_mut() {
            piece.values.thickness = None;
        }
        assert_eq!(told(&work).0.all(), 0.0);
    }

    #[test]
    fn blades_wear_out_by_the_minute_and_one_is_the_least() {
        let mut work = job();
        let minutes = told(&work).0.sawing;
        let count = |work: &Work| blades_used(work, &told(work).2).iter().map(|(_, count)| count).sum::<u32>();
        work.choices.saw.blade_life = [10_000, 10_000];
        assert_eq!(count(&work), blades_used(&work, &told(&work).2).len() as u32);
        work.choices.saw.blade_life = [1, 1];
        assert!((f64::from(count(&work)) - minutes).abs() < 3.0, "a blade a minute");
    }
}
