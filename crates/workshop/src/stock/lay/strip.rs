//! The strip form of the search: one bed of a given height and no given length. For measuring against open sets alone.

use measure::{Dice, Watch};

use super::form::Form;
use super::layout::Bed;
use super::ring::{Spot, loosened, upright};
use super::separate::Separator;
use super::shrink::{Shrink, Stand, Task};
use super::start::start;

/// Lengths of a strip, µm: of the first layout and of the best, with where each outline lies in it.
pub struct Strip {
    /// The length of the first layout.
    pub first: f64,
    /// The length of the best.
    pub best: f64,
    /// Places assessed.
    pub spent: u64,
    /// Turn in hundredths of a degree, and the shift after it, µm.
    pub lies: Vec<(i32, [f64; 2])>,
}

/// Lays outlines (µm; turns in hundredths of a degree) on a strip `high` µm high, as short as `effort` thousand assessed
/// places a worker allow.
pub fn strip(outlines: &[(Vec<Spot>, Vec<i32>)], high: f64, effort: u64, (seed, watch): (u64, Watch)) -> Strip {
    let (forms, centres): (Vec<Form>, Vec<Spot>) = outlines.iter().map(|(ring, turns)| form(ring, turns)).unzip();
    let long = forms.iter().map(|form| form.across).sum();
    let bed = Bed {
        bounds: [0.0, 0.0, long, high],
        bars: Vec::new(),
        grain: 0,
        axis: 0,
        begun: true,
        shut: false,
        least: 0.0,
    };
    let beds = vec![bed];
    let found = start(&forms, (&beds, &[0]), &vec![None; forms.len()], &mut Dice::new(seed));
    let places = found.into_iter().map(|place| place.expect("a strip as long as all pieces has room")).collect();
    let mut stand = Stand { beds, places };
    let mut separator = Separator::new(&forms, vec![true; forms.len()], &stand.beds, &stand.places, seed);
    let first = (0..forms.len()).map(|p| separator.layout().bounds(p)[2]).fold(0.0, f64::max);
    stand.beds[0].bounds[2] = first;
    let task = Task { stand, ends: vec![first], worth: vec![1], watch };
    let mut shrink = Shrink::new(separator, &forms, task);
    while shrink.spell(effort * 1_000) {}
    let (spent, stand) = (shrink.spent(), shrink.best());
    let lie = |(place, centre): (&super::form::Place, &Spot)| {
        let (sin, cos) = super::form::sin_cos(place.turn);
        let away = [centre[0] * cos + centre[1] * sin, centre[1] * cos - centre[0] * sin];
        (place.turn, [place.at[0] - away[0], place.at[1] - away[1]])
    };
    let lies = stand.places.iter().zip(&centres).map(lie).collect();
    Strip { first, best: stand.beds[0].bounds[2], spent, lies }
}

fn form(ring: &[Spot], turns: &[i32]) -> (Form, Spot) {
    let ring = loosened(upright(ring.to_vec()), 0.001, usize::MAX);
    let [left, top, right, bottom] = super::poles::bounds(&ring);
    let centre = [(left + right) / 2.0, (top + bottom) / 2.0];
    let ring = ring.into_iter().map(|p| [p[0] - centre[0], p[1] - centre[1]]).collect();
    (Form::new(ring, turns.iter().map(|&turn| (turn, turn)).collect(), vec![0]), centre)
}
