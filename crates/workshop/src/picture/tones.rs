//! The picture's colours gathered into tones.
//!
//! Colours are counted in small bins, area by area; k-means in L*a*b* (Lloyd 1982) gathers the bins by weight. It starts from the
//! bins that lie worst, each in turn, and afterwards a tone that is hardly missed is moved to where the error is largest,
//! while that helps; so the result needs no dice. Colours finer than a bin (an eighth of sRGB's byte steps) are not parted.

use std::collections::BTreeMap;

use measure::colour::Lab;

use super::read::OPAQUE;
use super::tone_names::named;
use super::{Labels, Raster};
use crate::work::AreaId;

/// Bits of each channel that a bin keeps.
const BITS: u32 = 5;

/// Bins in all.
const BINS: usize = 1 << (3 * BITS);

/// Most rounds of k-means; it ends earlier when nothing moves.
const ROUNDS: u32 = 60;

/// A tone, and everywhere it occurs.
#[derive(Clone, Debug, PartialEq)]
pub struct Tone {
    /// A plain colour word, each but once; of two alike the lesser bears a number.
    pub name: String,
    /// Its mean colour.
    pub colour: Lab,
    /// Pixels of the picture.
    pub pixels: u64,
    /// Pixels by area; of a picture without a pattern, area 0.
    pub of: BTreeMap<AreaId, u64>,
}

/// The colours of a picture, counted area by area.
#[derive(Clone, Debug, Default)]
pub struct ColourCount {
    /// Area, bin, pixels; by area, then bin.
    cells: Vec<(AreaId, u16, u64)>,
    /// By bin, the mean colour of its pixels.
    colours: Vec<Lab>,
}

impl ColourCount {
    /// Counts the opaque pixels of `raster`, each in the area that `labels` says.
    pub fn new(raster: &Raster, labels: &Labels) -> ColourCount {
        let mut sums = vec![([0u64; 3], 0u64); BINS];
        let mut cells = Vec::new();
        let mut scratch = vec![0u64; BINS];
        for (label, members) in by_label(labels).iter().enumerate() {
            let mut touched = Vec::new();
            for &at in members {
                let [r, g, b, alpha] = raster.pixels[at as usize];
                if alpha < OPAQUE {
                    continue;
                }
                let bin = bin([r, g, b]);
                if scratch[bin] == 0 {
                    touched.push(bin);
                }
                scratch[bin] += 1;
                let (sum, count) = &mut sums[bin];
                [r, g, b].iter().zip(sum).for_each(|(v, sum)| *sum += u64::from(*v));
                *count += 1;
            }
            touched.sort_unstable();
            for bin in touched {
                cells.push((AreaId(label as u32), bin as u16, std::mem::take(&mut scratch[bin])));
            }
        }
        ColourCount { cells, colours: sums.into_iter().map(|(sum, count)| mean(sum, count)).collect() }
    }

    /// At most `count` tones of the areas that are `wanted`, the largest first.
    pub fn tones(&self, count: usize, wanted: impl Fn(AreaId) -> bool) -> Vec<Tone> {
        let mut weights = vec![0u64; BINS];
        let cells = || self.cells.iter().filter(|cell| wanted(cell.0));
        cells().for_each(|cell| weights[usize::from(cell.1)] += cell.2);
        let bins: Vec<usize> = (0..BINS).filter(|bin| weights[*bin] > 0).collect();
        let colours: Vec<Weighed> = bins.iter().map(|bin| (self.colours[*bin], weights[*bin] as f64)).collect();
        let gathered = gather(&colours, count);
        let mut tones: Vec<Tone> = gathered.middles.iter().map(|colour| blank(*colour)).collect();
        let mut tone_of = vec![0; BINS];
        bins.iter().zip(&gathered.of).for_each(|(bin, tone)| tone_of[*bin] = *tone);
        for &(area, bin, pixels) in cells() {
            let tone = &mut tones[tone_of[usize::from(bin)]];
            tone.pixels += pixels;
            *tone.of.entry(area).or_default() += pixels;
        }
        tones.sort_by(|a, b| b.pixels.cmp(&a.pixels).then(a.colour.l.total_cmp(&b.colour.l)));
        let names = named(&tones.iter().map(|tone| tone.colour).collect::<Vec<_>>());
        tones.iter_mut().zip(names).for_each(|(tone, name)| tone.name = name);
        tones
    }
}

fn blank(colour: Lab) -> Tone {
    Tone { name: String::new(), colour, pixels: 0, of: BTreeMap::new() }
}

/// The pixels of each label.
fn by_label(labels: &Labels) -> Vec<Vec<u32>> {
    let count = labels.of.iter().max().map_or(0, |most| *most as usize + 1);
    let mut members = vec![Vec::new(); count];
    labels.of.iter().enumerate().for_each(|(at, label)| members[*label as usize].push(at as u32));
    members
}

fn bin(rgb: [u8; 3]) -> usize {
    rgb.iter().fold(0, |bin, v| bin << BITS | usize::from(v >> (8 - BITS)))
}

fn mean(sum: [u64; 3], count: u64) -> Lab {
    let count = count.max(1);
    Lab::from_rgb(sum.map(|v| ((v + count / 2) / count) as u8))
}

/// A colour and its weight.
type Weighed = (Lab, f64);

struct Gathered {
    middles: Vec<Lab>,
    /// By colour, the nearest middle.
    of: Vec<usize>,
    error: f64,
}

fn gather(colours: &[Weighed], count: usize) -> Gathered {
    let mut best = settle(colours, begin(colours, count));
    // Each tone may be moved once or twice; more tries found nothing better on photographs.
    for _ in 0..2 * count {
        let Some(moved) = jump(colours, &best) else { break };
        let other = settle(colours, moved);
        if other.error >= best.error * (1.0 - 1e-9) {
            break;
        }
        best = other;
    }
    best
}

fn square(a: Lab, b: Lab) -> f64 {
    (a.l - b.l) * (a.l - b.l) + (a.a - b.a) * (a.a - b.a) + (a.b - b.b) * (a.b - b.b)
}

/// The heaviest colour, then each time the one whose error weighs most.
fn begin(colours: &[Weighed], count: usize) -> Vec<Lab> {
    let mut middles: Vec<Lab> = Vec::new();
    let mut far = vec![1.0f64; colours.len()];
    while middles.len() < count {
        let error = |i: usize| far[i] * colours[i].1;
        let Some(worst) = (0..colours.len()).max_by(|a, b| error(*a).total_cmp(&error(*b)).then(b.cmp(a))) else {
            break;
        };
        if error(worst) <= 0.0 {
            break;
        }
        let first = middles.is_empty();
        middles.push(colours[worst].0);
        for (far, colour) in far.iter_mut().zip(colours) {
            let now = square(colour.0, colours[worst].0);
            *far = if first { now } else { far.min(now) };
        }
    }
    middles
}

/// Lloyd's rounds: each colour to its nearest middle, each middle to its colours' mean.
fn settle(colours: &[Weighed], mut middles: Vec<Lab>) -> Gathered {
    let mut of = vec![usize::MAX; colours.len()];
    for _ in 0..ROUNDS {
        let nearest = |colour: Lab| -> usize {
            let far = |m: usize| square(colour, middles[m]);
            (0..middles.len()).min_by(|a, b| far(*a).total_cmp(&far(*b))).unwrap_or(0)
        };
        let now: Vec<usize> = colours.iter().map(|colour| nearest(colour.0)).collect();
        if now == of {
            break;
        }
        of = now;
        for (m, sum) in sums(colours, &of, middles.len()).into_iter().enumerate().filter(|(_, sum)| sum[3] > 0.0) {
            middles[m] = Lab::new(sum[0] / sum[3], sum[1] / sum[3], sum[2] / sum[3]);
        }
    }
    let error = colours.iter().zip(&of).map(|(c, m)| c.1 * square(c.0, middles[*m])).sum();
    Gathered { middles, of, error }
}

fn sums(colours: &[Weighed], of: &[usize], count: usize) -> Vec<[f64; 4]> {
    let mut sums = vec![[0.0; 4]; count];
    for (&(colour, weight), &m) in colours.iter().zip(of) {
        let add = [colour.l * weight, colour.a * weight, colour.b * weight, weight];
        sums[m].iter_mut().zip(add).for_each(|(sum, add)| *sum += add);
    }
    sums
}

/// The middles with the one that is missed least moved to the colour that lies worst in the tone of most error.
fn jump(colours: &[Weighed], from: &Gathered) -> Option<Vec<Lab>> {
    let count = from.middles.len();
    let (mut missed, mut error) = (vec![0.0; count], vec![0.0; count]);
    for (&(colour, weight), &m) in colours.iter().zip(&from.of) {
        let own = square(colour, from.middles[m]);
        let others = (0..count).filter(|o| *o != m).map(|o| square(colour, from.middles[o]));
        missed[m] += weight * (others.fold(f64::INFINITY, f64::min) - own);
        error[m] += weight * own;
    }
    let least = (0..count).min_by(|a, b| missed[*a].total_cmp(&missed[*b]))?;
    let most = (0..count).filter(|m| *m != least).max_by(|a, b| error[*a].total_cmp(&error[*b]))?;
    let spread = |i: &usize| colours[*i].1 * square(colours[*i].0, from.middles[most]);
    let worst = (0..colours.len()).filter(|i| from.of[*i] == most).max_by(|a, b| spread(a).total_cmp(&spread(b)))?;
    let mut middles = from.middles.clone();
    middles[least] = colours[worst].0;
    Some(middles)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Six planted colours in stripes of known widths, each in an area of its own parity.
    #[test]
    fn a_planted_palette_comes_back_with_its_areas() {
        let planted = [[20, 18, 16], [230, 220, 190], [120, 60, 30], [60, 110, 60], [40, 60, 130], [190, 40, 40]];
        let widths = [10u32, 25, 5, 30, 20, 10];
        let of = |x: u32| (0..6).find(|i| x < widths[..=*i].iter().sum()).unwrap();
        let pixels = (0..4000u32).map(|i| planted[of(i % 100)]).map(|[r, g, b]| [r, g, b, 255]).collect();
        let raster = Raster { width: 100, height: 40, pixels };
        let labels = Labels { width: 100, height: 40, of: (0..4000).map(|i| 1 + u32::from(i >= 2000)).collect() };
        let count = ColourCount::new(&raster, &labels);
        let tones = count.tones(6, |_| true);
        assert_eq!(tones.len(), 6);
        for (rgb, width) in planted.iter().zip(widths) {
            let tone = tones.iter().find(|tone| square(tone.colour, Lab::from_rgb(*rgb)) < 1e-9).unwrap();
            assert_eq!(
                (tone.pixels, &tone.of),
                (40 * u64::from(width), &[1, 2].map(|a| (AreaId(a), 20 * u64::from(width))).into())
            );
        }
        let names: std::collections::BTreeSet<&str> = tones.iter().map(|tone| tone.name.as_str()).collect();
        assert_eq!(names.len(), 6, "{names:?}");
        assert_eq!(count.tones(20, |_| true).len(), 6, "there are no more colours");
        let part = count.tones(2, |area| area == AreaId(2));
        assert_eq!((part.len(), part.iter().map(|tone| tone.pixels).sum::<u64>()), (2, 2000));
        assert!(count.tones(3, |_| false).is_empty());
    }
}
