//! Numbers that look random and are the same on every machine: SplitMix64 (Steele, Lea and Flood 2014). Not for secrets.

/// A row of numbers that its seed settles.
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// The row of a seed.
    pub fn new(seed: u64) -> Dice {
        Dice(seed)
    }

    /// The next 64 bits.
    pub fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 to `n` − 1; `n` is not 0. The bias of the remainder is below n ÷ 2⁶⁴.
    pub fn below(&mut self, n: usize) -> usize {
        (self.roll() % n as u64) as usize
    }

    /// From 0 to 1, 1 left out, in steps of 2⁻⁵³.
    pub fn share(&mut self) -> f64 {
        (self.roll() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// From `least` to `most`.
    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.share()
    }

    /// Of mean 0 and standard deviation 1 (Box and Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let (one, two) = (1.0 - self.share(), self.share());
        (-2.0 * libm::log(one)).sqrt() * libm::cos(std::f64::consts::TAU * two)
    }

    /// Puts a row into another order (Fisher and Yates).
    pub fn shuffle<T>(&mut self, row: &mut [T]) {
        for at in (1..row.len()).rev() {
            row.swap(at, self.below(at + 1));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first numbers of seed 1234567 as published with the reference code of SplitMix64.
    #[test]
    fn the_row_is_the_published_one() {
        let mut dice = Dice::new(1_234_567);
        assert_eq!(dice.roll(), 6_457_827_717_110_365_317);
        assert_eq!(dice.roll(), 3_203_168_211_198_807_973);
    }

    #[test]
    fn the_bell_has_its_mean_and_width() {
        let mut dice = Dice::new(5);
        let row: Vec<f64> = (0..20_000).map(|_| dice.normal()).collect();
        let mean = row.iter().sum::<f64>() / 20_000.0;
        let square = row.iter().map(|v| v * v).sum::<f64>() / 20_000.0;
        assert!(mean.abs() < 0.03 && (square - 1.0).abs() < 0.05, "{mean} {square}");
    }
}
