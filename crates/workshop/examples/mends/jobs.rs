//! Seeded jobs of 25 pieces whose heights stood well until something changed: facts that came out otherwise, musts that
//! came later, heights that were pinned.

use std::collections::BTreeSet;

use measure::Watch;
use measure::length::Um;
use measure::plane::Point;
use workshop::Derived;
use workshop::work::edit::{Edit, relief};
use workshop::work::{
    Area, AreaId, Ask, Becomes, By, Chosen, Number, Part, PartId, Piece, PieceValues, Refusal, Says, State, Strength,
    Values, Whom, Work,
};

/// Pieces of a job.
const PIECES: u32 = 25;

/// SplitMix64 (Steele, Lea, Flood 2014).
struct Dice(u64);

impl Dice {
    /// From `least` to `most`, both possible.
    fn within(&mut self, least: i32, most: i32) -> i32 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        least + ((z ^ (z >> 31)) % (most - least + 1) as u64) as i32
    }

    fn piece(&mut self) -> Number {
        Number(self.within(1, PIECES as i32) as u32)
    }
}

/// The job of a seed, with what changed. Musts follow one hidden set of heights, so that only changes contradict.
pub fn job(seed: u64) -> Work {
    let mut dice = Dice(seed);
    let mut work = bare();
    let hidden: Vec<i32> = (0..=PIECES).map(|_| 3_000 * dice.within(4, 15)).collect();
    for _ in 0..dice.within(15, 45) {
        say(&mut work, &hidden, &mut dice);
    }
    if let Ok(values) = answer(&work, &Ask::WorkOutHeights) {
        put(&mut work, &values);
    }
    for _ in 0..dice.within(2, 6) {
        change(&mut work, &mut dice);
    }
    work
}

fn bare() -> Work {
    let mut work = Work::default();
    for number in 1..=PIECES {
        work.pattern
            .areas
            .insert(AreaId(number), Area { becomes: Becomes::Piece(Number(number)), at: Point::new(0, 0) });
        let piece = Piece { area: AreaId(number), values: PieceValues::default(), state: State::Planned };
        work.pieces.insert(Number(number), piece);
    }
    for (id, pieces) in [(1, 1..=4), (2, 5..=7), (3, 8..=12)] {
        let pieces: BTreeSet<Number> = pieces.map(Number).collect();
        work.parts.insert(PartId(id), Part { name: format!("part {id}"), pieces, within: None });
    }
    work.next.number = PIECES + 1;
    work
}

/// Says something of two pieces, or of a part and a piece; what the door refuses stays unsaid.
fn say(work: &mut Work, hidden: &[i32], dice: &mut Dice) {
    let (low, high) = (dice.piece(), dice.piece());
    let rise = hidden[high.0 as usize] - hidden[low.0 as usize];
    let (one, other) = if rise < 0 { (low, high) } else { (high, low) };
    let (one, other) = (Whom::Piece(one), Whom::Piece(other));
    let by = Um(500 * dice.within(0, 12));
    let must = dice.within(1, 3) == 1 && by.0 <= rise.abs();
    let strength = if must { Strength::Must } else { Strength::Wish(dice.within(1, 20) as u32) };
    let says = match dice.within(1, 7) {
        1 | 2 => Says::AtLeast { above: one, below: other, by },
        3 => Says::AtLeast { above: Whom::Part(PartId(dice.within(1, 3) as u32)), below: other, by },
        4 => Says::About { above: one, below: other, by },
        5 => Says::Level(one, other),
        6 => Says::Within(one, Um(1000 * dice.within(12, 24)), Um(1000 * dice.within(25, 45))),
        _ => {
            let row = vec![one, other, Whom::Piece(dice.piece())];
            Says::Climbs { row, from: Um(18_000), to: Um(30_000) }
        }
    };
    // Only what the hidden heights keep is a must.
    let kept = matches!(says, Says::AtLeast { above: Whom::Piece(_), .. });
    let strength = if kept { strength } else { Strength::Wish(dice.within(1, 20) as u32) };
    // A pair that shares a piece is refused, and the job is as it was.
    let _ = workshop::apply(work, &Edit::Relief(relief::Edit::Relate { says, strength }));
}

/// A piece comes out otherwise, is pinned elsewhere, is left open, is set; or a must is added.
fn change(work: &mut Work, dice: &mut Dice) {
    let (number, other) = (dice.piece(), dice.piece());
    let stood = work.pieces[&number].values.height.map_or(20_000, |height| height.value.0);
    let height = Um((stood + 500 * dice.within(-9, 9)).clamp(12_000, 45_000));
    match dice.within(1, 6) {
        1 => {
            let piece = work.pieces.get_mut(&number).expect("it is there");
            piece.state = State::Cut;
            piece.values.height = Some(Chosen { value: height, by: By::Fact });
        }
        2 => {
            // One that is set already is refused.
            let _ = workshop::apply(
                work,
                &Edit::Relief(relief::Edit::Build { whom: Whom::Piece(number), thickness: height, raiser: Um(0) }),
            );
        }
        3 => {
            // As above.
            let _ = workshop::apply(work, &Edit::Relief(relief::Edit::Unpin(Whom::Piece(number))));
        }
        4 => work.pieces.get_mut(&number).expect("it is there").state = State::Set,
        _ => {
            let by = Um(500 * dice.within(2, 10));
            let says = Says::AtLeast { above: Whom::Piece(number), below: Whom::Piece(other), by };
            // A piece to itself is refused.
            let _ = workshop::apply(work, &Edit::Relief(relief::Edit::Relate { says, strength: Strength::Must }));
        }
    }
}

fn answer(work: &Work, ask: &Ask) -> Result<Values, Refusal> {
    workshop::propose(work, &mut Derived::with_picture(None), ask, Watch::silent()).map(|proposal| proposal.values)
}

fn put(work: &mut Work, values: &Values) {
    let Values::Heights(heights) = values else { panic!("heights were asked for") };
    for (number, landed) in heights {
        let values = &mut work.pieces.get_mut(number).expect("it is there").values;
        values.height = Some(Chosen::act(landed.height));
        values.thickness = Some(Chosen::act(landed.thickness));
        values.raiser = Some(Chosen::act(landed.raiser));
    }
}

/// The job mended; `None` when the musts cannot hold.
pub fn mended(work: &Work) -> Option<Work> {
    let values = answer(work, &Ask::MendHeights).ok()?;
    let mut after = work.clone();
    put(&mut after, &values);
    Some(after)
}

/// Pieces moved, and how far in sum, µm.
pub fn moves(before: &Work, after: &Work) -> [i64; 2] {
    let height = |work: &Work, number| work.pieces[number].values.height.map(|height| i64::from(height.value.0));
    let far = before.pieces.keys().filter_map(|number| Some((height(before, number)? - height(after, number)?).abs()));
    let far: Vec<i64> = far.filter(|far| *far > 0).collect();
    [far.len() as i64, far.iter().sum()]
}
