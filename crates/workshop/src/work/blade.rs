//! Blades of the scroll saw.

use measure::length::Um;
use serde::{Deserialize, Serialize};

/// A blade, by its trade number. Numbers are no standard, so a measured blade of the maker's goes before the table.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Blade {
    /// Its trade number, such as 5 or 2/0.
    pub number: String,
    /// From the teeth to the back.
    pub width: Um,
    /// From side to side; nearly the kerf.
    pub thickness: Um,
    /// Teeth an inch, tenths.
    pub teeth: u32,
    /// The thinnest stock that it suits.
    pub from: Um,
    /// The thickest stock that it suits.
    pub to: Um,
    /// Where its size is from.
    pub source: String,
}

impl Blade {
    /// The circle that it turns in without moving on, µm across: its own diagonal.
    pub fn turns_in(&self) -> f64 {
        let (width, thickness) = (f64::from(self.width.0), f64::from(self.thickness.0));
        (width * width + thickness * thickness).sqrt()
    }

    /// The hole that it is threaded through: its diagonal and 0.15 mm (derived, no source), in steps of 0.05 mm.
    pub fn hole(&self) -> Um {
        Um((self.turns_in() as i32 + 150 + 49) / 50 * 50)
    }
}

/// Seconds that go to a piece beside sawing along its line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(default)]
pub struct Times {
    /// Beginning a piece at the blade.
    pub start: u32,
    /// Drilling a hole and threading the blade through it.
    pub hole: u32,
    /// Pattern on, number under it, burr off.
    pub handle: u32,
    /// Fitting along 100 mm of border.
    pub fit: u32,
    /// Glue on, set, held.
    pub glue: u32,
}

impl Default for Times {
    /// From memory, all of them.
    fn default() -> Times {
        Times { start: 30, hole: 90, handle: 180, fit: 60, glue: 120 }
    }
}

/// The maker's saw and blades.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(default)]
pub struct Saw {
    /// From the blade to the frame behind it: a longer piece cannot be swung round.
    pub throat: Um,
    /// The thickest stock that it takes.
    pub thickest: Um,
    /// The maker's own blades, the finest first. They go before those of spelk's table where they suit.
    pub blades: Vec<Blade>,
    /// The maker's own rates in 19 mm stock, mm of line a minute, for woods of a side hardness up to 2500, 5500, 9000 N and
    /// above; empty for those from memory.
    pub rates: Vec<u32>,
    /// Seconds for what is not sawing itself, from memory until the maker gives own ones.
    pub times: Times,
    /// Minutes of sawing that a blade lasts, in usual and in the densest woods; from memory until the maker gives own ones.
    pub blade_life: [u32; 2],
    /// The smallest drum or spindle that edges are sanded on, across.
    pub drum: Um,
    /// Spare wood at a joint that is cut to a finished edge, or let in: 1/16 in, from memory.
    pub spare: Um,
}

impl Default for Saw {
    /// A 16 in saw that takes 2 in, a 1/2 in drum: common sizes, from memory.
    fn default() -> Saw {
        Saw {
            throat: Um(406_400),
            thickest: Um(50_800),
            blades: Vec::new(),
            rates: Vec::new(),
            times: Times::default(),
            blade_life: [20, 7],
            drum: Um(12_700),
            spare: Um(1600),
        }
    }
}
