//! Smooth random values on an integer lattice, the same on every machine: the hash is of integers alone.

/// A well mixed 32-bit hash of a lattice point (finaliser after Ellis, "lowbias32": low bias measured by its author).
pub(super) fn hash(x: i32, y: i32, seed: u32) -> u32 {
    let key = (x as u32).wrapping_mul(0x9e37_79b1) ^ (y as u32).wrapping_mul(0x85eb_ca77).rotate_left(13);
    mix(key ^ mix(seed))
}

fn mix(mut h: u32) -> u32 {
    h ^= h >> 16;
    h = h.wrapping_mul(0x7feb_352d);
    h ^= h >> 15;
    h = h.wrapping_mul(0x846c_a68b);
    h ^ (h >> 16)
}

/// The hash as 0 to 1.
pub(super) fn share(x: i32, y: i32, seed: u32) -> f32 {
    (hash(x, y, seed) >> 8) as f32 / 16_777_216.0
}

/// Value noise, −1 to 1, mean 0: lattice values blended by the quintic of Perlin (2002).
pub(super) fn noise(x: f32, y: f32, seed: u32) -> f32 {
    let (left, top) = (x.floor(), y.floor());
    let (i, j) = (left as i32, top as i32);
    let (fx, fy) = (fade(x - left), fade(y - top));
    let row = |j| mix_between(share(i, j, seed), share(i + 1, j, seed), fx);
    2.0 * mix_between(row(j), row(j + 1), fy) - 1.0
}

/// A smooth step from 0 to 1 without a kink at either end.
pub(super) fn fade(t: f32) -> f32 {
    t * t * t * (t * (t * 6.0 - 15.0) + 10.0)
}

pub(super) fn mix_between(a: f32, b: f32, share: f32) -> f32 {
    a + (b - a) * share
}
