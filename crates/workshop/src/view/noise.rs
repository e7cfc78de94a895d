//! Smooth random values on an integer lattice, the same on every machine: the hash is of integers alone.

/// A well mixed 32-bit hash of a lattice point (finaliser after Ellis, "lowbias32": low bias measured by its author).
pub(super) fn hash(x: i32, y: i32, seed: u32) -> u32 {
    let key = (x as u32).wrapping_mul(0x9e37_79b1) ^ (y as u32).wrapping_mul(0x85eb_ca77).rotate_left(13);
    mix(key ^ mix(seed))
}

/// The same for a point of space.
pub(super) fn hash3([x, y, z]: [i32; 3], seed: u32) -> u32 {
    let key = (x as u32).wrapping_mul(0x9e37_79b1)
        ^ (y as u32).wrapping_mul(0x85eb_ca77).rotate_left(13)
        ^ (z as u32).wrapping_mul(0xc2b2_ae3d).rotate_left(21);
    mix(key ^ seed.wrapping_mul(0x27d4_eb2f))
}

fn mix(mut h: u32) -> u32 {
    h ^= h >> 16;
    h = h.wrapping_mul(0x7feb_352d);
    h ^= h >> 15;
    h = h.wrapping_mul(0x846c_a68b);
    h ^ (h >> 16)
}

/// Another hash from the same throw.
pub(super) fn mixed(hash: u32, by: u32) -> u32 {
    mix(hash ^ by.wrapping_mul(0x9e37_79b1))
}

/// The hash as 0 to 1.
pub(super) fn share(x: i32, y: i32, seed: u32) -> f32 {
    unit(hash(x, y, seed))
}

/// A hash as 0 to 1.
pub(super) fn unit(hash: u32) -> f32 {
    (hash >> 8) as f32 / 16_777_216.0
}

/// Value noise, −1 to 1, mean 0: lattice values blended by the quintic of Perlin (2002).
pub(super) fn noise(x: f32, y: f32, seed: u32) -> f32 {
    let ((i, fx), (j, fy)) = (cell(x), cell(y));
    let (fx, fy) = (fade(fx), fade(fy));
    let row = |j| mix_between(share(i, j, seed), share(i + 1, j, seed), fx);
    2.0 * mix_between(row(j), row(j + 1), fy) - 1.0
}

/// The same in space.
pub(super) fn noise3([x, y, z]: [f32; 3], seed: u32) -> f32 {
    let ((i, fx), (j, fy), (k, fz)) = (cell(x), cell(y), cell(z));
    let (fx, fy, fz) = (fade(fx), fade(fy), fade(fz));
    let at = |i, j, k| unit(hash3([i, j, k], seed));
    let row = |j, k| mix_between(at(i, j, k), at(i + 1, j, k), fx);
    let sheet = |k| mix_between(row(j, k), row(j + 1, k), fy);
    2.0 * mix_between(sheet(k), sheet(k + 1), fz) - 1.0
}

/// The same along a line.
pub(super) fn noise1(x: f32, seed: u32) -> f32 {
    let (i, fx) = cell(x);
    2.0 * mix_between(share(i, 0, seed), share(i + 1, 0, seed), fade(fx)) - 1.0
}

/// The same in straight pieces: it climbs and falls by no more than 2 over a cell.
pub(super) fn ramps(x: f32, seed: u32) -> f32 {
    let (i, fx) = cell(x);
    2.0 * mix_between(share(i, 0, seed), share(i + 1, 0, seed), fx) - 1.0
}

/// Gradient noise in space (Perlin 2002), about −1 to 1, mean 0: its contours follow no axis of the lattice, as those of value
/// noise do.
pub(super) fn swell([x, y, z]: [f32; 3], seed: u32) -> f32 {
    let ((i, fx), (j, fy), (k, fz)) = (cell(x), cell(y), cell(z));
    let (u, v, w) = (fade(fx), fade(fy), fade(fz));
    let at = |di: i32, dj: i32, dk: i32| {
        slope(hash3([i + di, j + dj, k + dk], seed), [fx - di as f32, fy - dj as f32, fz - dk as f32])
    };
    let row = |dj, dk| mix_between(at(0, dj, dk), at(1, dj, dk), u);
    let sheet = |dk| mix_between(row(0, dk), row(1, dk), v);
    mix_between(sheet(0), sheet(1), w)
}

/// A place along one of the twelve ways to the edges of a cube.
fn slope(hash: u32, [x, y, z]: [f32; 3]) -> f32 {
    let (one, other) = match (hash >> 28) % 3 {
        0 => (x, y),
        1 => (y, z),
        _ => (z, x),
    };
    let signed = |value: f32, bit: u32| if hash & (1 << bit) == 0 { value } else { -value };
    signed(one, 20) + signed(other, 21)
}

/// The lattice cell of a place, and the place within it, 0 to 1.
pub(super) fn cell(at: f32) -> (i32, f32) {
    let low = at.floor();
    (low as i32, at - low)
}

/// A smooth step from 0 to 1 without a kink at either end.
pub(super) fn fade(t: f32) -> f32 {
    t * t * t * (t * (t * 6.0 - 15.0) + 10.0)
}

/// The same from `low` to `high`, flat outside.
pub(super) fn step(low: f32, high: f32, at: f32) -> f32 {
    fade(((at - low) / (high - low)).clamp(0.0, 1.0))
}

pub(super) fn mix_between(a: f32, b: f32, share: f32) -> f32 {
    a + (b - a) * share
}
