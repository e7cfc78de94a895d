//! What is chosen for at once: a piece by itself, or the pieces of one tone.
//!
//! With one to three woods a tone, pieces of like colour in the picture are gathered into tones, and a tone of several
//! woods into bands of equal lightness: light, base, shade. Tones are gathered here, lightest area first, each piece to the
//! nearest leader within `SAME_TONE`. Where it fails: a tone that shades off slowly is cut where its leader's reach ends.

use std::collections::BTreeMap;

use measure::colour::delta_e_2000;

use super::problem::Open;
use crate::work::Number;

/// Colours of the picture nearer than this are one tone, ΔE00. Wider and a tone loses its own shading to one wood; narrower
/// and each piece is a tone.
const SAME_TONE: f64 = 6.0;

/// A tone whose lightness spans less than this has one band only.
const FLAT: f64 = 4.0;

/// Pieces that get one wood.
pub struct Group {
    /// The pieces, by number.
    pub pieces: Vec<Number>,
    /// The tone that it belongs to, and its band there from the dark end.
    pub tone: (usize, usize),
}

/// The pieces gathered for `per_tone` woods a tone; 0 leaves each by itself.
pub fn groups(open: &[Open], per_tone: usize) -> Vec<Group> {
    if per_tone == 0 {
        let alone = |(at, piece): (usize, &Open)| Group { pieces: vec![piece.number], tone: (at, 0) };
        return open.iter().enumerate().map(alone).collect();
    }
    tones(open).iter().enumerate().flat_map(|(at, tone)| bands(open, tone, per_tone, at)).collect()
}

/// Places of pieces by tone: the heaviest piece that is left leads, and takes all that are near it.
fn tones(open: &[Open]) -> Vec<Vec<usize>> {
    let mut order: Vec<usize> = (0..open.len()).collect();
    order.sort_by(|a, b| open[*b].weight.total_cmp(&open[*a].weight).then(a.cmp(b)));
    let mut tones: Vec<Vec<usize>> = Vec::new();
    for at in order {
        let far = |tone: &Vec<usize>| delta_e_2000(open[tone[0]].tone, open[at].tone);
        let near = (0..tones.len()).map(|tone| (far(&tones[tone]), tone)).min_by(|a, b| a.0.total_cmp(&b.0));
        match near {
            Some((distance, tone)) if distance <= SAME_TONE => tones[tone].push(at),
            _ => tones.push(vec![at]),
        }
    }
    tones
}

fn bands(open: &[Open], tone: &[usize], most: usize, name: usize) -> Vec<Group> {
    let lightness = |at: &usize| open[*at].tone.l;
    let (dark, pale) = tone.iter().map(lightness).fold((f64::MAX, f64::MIN), |(lo, hi), l| (lo.min(l), hi.max(l)));
    let count = if pale - dark < FLAT { 1 } else { most };
    let mut bands: BTreeMap<usize, Vec<Number>> = BTreeMap::new();
    for at in tone {
        let share = (lightness(at) - dark) / (pale - dark).max(1e-9);
        bands.entry(((share * count as f64) as usize).min(count - 1)).or_default().push(open[*at].number);
    }
    bands.into_iter().map(|(band, pieces)| Group { pieces, tone: (name, band) }).collect()
}
