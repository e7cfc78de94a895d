//! Colour after years on a wall.
//!
//! Each wood has a shift of its raw colour in the end (`light_*` in the table: browning woods fall in L*, paling ones rise,
//! yellowing ones gain b*), reached as 1 − e^(−t/τ): fast at first. Pine and beech under UV reached 48 % of their change of
//! 150 minutes within the first 30 (AFXZ 62-2-2020), which 1 − e^(−t/τ) gives at τ = 48 minutes; what that is in a room
//! nobody said, so τ is from memory. Where it fails: light, heat and air differ from wall to wall, some woods (jatoba,
//! massaranduba) turn back a little after a fast start, and most shifts are from memory. So half of the shift counts as
//! doubt in `sure`.

use measure::colour::Lab;

use crate::work::Wood;

/// After this many years 63 % of the change is there, in a room without direct sun. From memory: walnut is said to turn in
/// two to five years of indirect light.
const SETTLES_YEARS: f64 = 3.0;

/// How long contrast is to hold, years.
pub const HOLDS_YEARS: f64 = 20.0;

/// A raw colour after `years`.
pub fn aged(raw: Lab, wood: &Wood, years: f64) -> Lab {
    let Some(light) = wood.light.as_ref().filter(|_| years > 0.0) else { return raw };
    let share = 1.0 - libm::exp(-years / SETTLES_YEARS);
    let shift = light.value;
    Lab::new((raw.l + share * shift.l).clamp(1.0, 99.0), raw.a + share * shift.a, raw.b + share * shift.b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wood::table;
    use crate::work::WoodId;

    fn wood(key: &str) -> Wood {
        table()[&WoodId(key.into())].clone()
    }

    #[test]
    fn fast_at_first() {
        let cherry = wood("cherry-black");
        let raw = cherry.colour.value;
        let moved = |years: f64| raw.delta_e_1976(aged(raw, &cherry, years));
        assert_eq!(moved(0.0), 0.0);
        assert!(moved(1.0) > moved(3.0) - moved(2.0) && moved(2.0) > moved(20.0) - moved(10.0));
        // The course of pine and beech under UV: after a fifth of the time, 48 % of the change (AFXZ 62-2-2020).
        let (fifth, whole) = (0.625 * SETTLES_YEARS, 3.125 * SETTLES_YEARS);
        assert!((moved(fifth) / moved(whole) - 0.48).abs() < 0.02, "{}", moved(fifth) / moved(whole));
    }

    /// Directions as published or told in the trade, named beside each row of the table.
    #[test]
    fn browning_and_paling_woods_differ() {
        let change = |key: &str| wood(key).light.expect("it is in the table").value;
        assert!(change("cherry-black").l < 0.0, "cherry darkens to red-brown");
        assert!(change("walnut-black").l > 0.0, "walnut turns lighter");
        assert!(change("padauk-african").l < 0.0 && change("padauk-african").a < 0.0, "padauk loses its red");
        assert!(change("maple-hard").b > 0.0, "maple yellows");
        assert!(change("osage-orange").b < 0.0, "osage orange turns from yellow to russet");
        assert!(table().values().all(|wood| wood.light.as_ref().is_some_and(|light| !light.source.is_empty())));
    }
}
