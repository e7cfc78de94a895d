//! Colour: sRGB, CIE L*a*b* (D65, 2°), Oklab, CIEDE2000.
//!
//! The matrix between linear sRGB and XYZ is derived here from the primaries and the white xy (0.3127, 0.3290) of
//! IEC 61966-2-1, not copied: the printed four-digit matrix moves L*a*b* by up to 0.02. Three channels stand for a
//! spectrum, so nothing here can tell two woods apart that match under one light and differ under another.

mod difference;
mod lab;
mod oklab;
mod srgb;

pub use difference::delta_e_2000;
pub use lab::{Lab, WHITE};
pub use oklab::oklab;
pub use srgb::{from_byte, rgb_from_xyz, to_byte, xyz_from_rgb};
