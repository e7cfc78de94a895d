//! A fingerprint of plain values, the same on every machine and in every run.
//!
//! FNV-1a, 64 bits (Fowler, Noll, Vo). The standard library's hasher gives no such promise. It guards memos and
//! proposals against staleness, never against malice.

use std::hash::{Hash, Hasher};

use serde::{Deserialize, Serialize};

/// What a value hashed to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Stamp(#[serde(with = "hex")] pub u64);

/// The fingerprint of `value`.
pub fn stamp<T: Hash + ?Sized>(value: &T) -> Stamp {
    let mut hasher = Fnv(0xcbf2_9ce4_8422_2325);
    value.hash(&mut hasher);
    Stamp(hasher.finish())
}

struct Fnv(u64);

impl Hasher for Fnv {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for &b in bytes {
            self.0 = (self.0 ^ u64::from(b)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    }

    // The default writes native bytes; fix the order so that big- and little-endian machines agree.
    fn write_u16(&mut self, v: u16) {
        self.write(&v.to_le_bytes());
    }
    fn write_u32(&mut self, v: u32) {
        self.write(&v.to_le_bytes());
    }
    fn write_u64(&mut self, v: u64) {
        self.write(&v.to_le_bytes());
    }
    fn write_usize(&mut self, v: usize) {
        self.write(&(v as u64).to_le_bytes());
    }
    fn write_i32(&mut self, v: i32) {
        self.write_u32(v as u32);
    }
    fn write_i64(&mut self, v: i64) {
        self.write_u64(v as u64);
    }
    fn write_isize(&mut self, v: isize) {
        self.write_u64(v as i64 as u64);
    }
}

/// Sixteen hexadecimal digits: JSON readers lose integers above 2^53.
mod hex {
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    pub fn serialize<S: Serializer>(value: &u64, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&format!("{value:016x}"))
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<u64, D::Error> {
        let text = String::deserialize(from)?;
        u64::from_str_radix(&text, 16).map_err(|_| D::Error::custom("a stamp is sixteen hexadecimal digits"))
    }
}
