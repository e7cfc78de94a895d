//! Packing of states and edits: Zstandard (RFC 8878), a state against the one before it.
//!
//! A state of 800 pieces is about 1 MB of JSON, and one edit changes some tens of bytes of it. With the state before
//! as prefix the edit takes about a hundred bytes.

use std::io::{self, Read, Write};

use zstd::stream::{read, write};
use zstd::zstd_safe::CParameter;

/// Higher levels take more time for little: nearly all of a state is found in the one before it.
const LEVEL: i32 = 3;
/// The largest state that we unpack, bytes: some hundred times a large job. Guards against a crafted file.
const MOST: u64 = 1 << 28;
/// Bounds of the search window, as powers of two. Past the upper one a decoder asks for leave; below the lower one
/// nothing is saved.
const WINDOW: (u32, u32) = (10, 27);

/// Packs `bytes`, given what the reader will have: `before`, or nothing.
pub(crate) fn pack(bytes: &[u8], before: &[u8]) -> io::Result<Vec<u8>> {
    let mut encoder = write::Encoder::with_ref_prefix(Vec::new(), LEVEL, before)?;
    let reach = (bytes.len() + before.len()).max(1).next_power_of_two().ilog2();
    encoder.set_parameter(CParameter::WindowLog(reach.clamp(WINDOW.0, WINDOW.1)))?;
    // Without it, level 3 loses sight of a prefix longer than its own hash table.
    encoder.set_parameter(CParameter::EnableLongDistanceMatching(true))?;
    encoder.write_all(bytes)?;
    encoder.finish()
}

/// Unpacks what was packed with the same `before`.
pub(crate) fn unpack(packed: &[u8], before: &[u8]) -> io::Result<Vec<u8>> {
    let mut decoder = read::Decoder::with_ref_prefix(packed, before)?;
    decoder.window_log_max(WINDOW.1)?;
    let mut bytes = Vec::new();
    decoder.take(MOST).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// In hexadecimal.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_edit_of_a_large_state_packs_small_and_comes_back() {
        let before: Vec<u8> =
            (0..200_000).flat_map(|i: u32| format!("{},", i.wrapping_mul(2_654_435_761)).into_bytes()).collect();
        let mut after = before.clone();
        after.splice(1_000_000..1_000_003, *b"changed");
        let packed = pack(&after, &before).unwrap();
        assert!(packed.len() < 2_000, "{} bytes", packed.len());
        assert_eq!(unpack(&packed, &before).unwrap(), after);
    }

    #[test]
    fn nothing_packs() {
        assert_eq!(unpack(&pack(b"", b"").unwrap(), b"").unwrap(), b"");
    }
}
