//! How woods are built: rings, vessels, rays, figure; read from `data/solids.csv`.
//!
//! A wood that the table has not (a maker's own) is taken for one built as its `Figure` hints: strong pores and rings
//! are a ring-porous wood, no pores a conifer, the rest even wood.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use csv::{ReaderBuilder, StringRecord, Trim};

use crate::work::{Figure, WoodId};

/// How one growth ring runs from its early to its late wood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Rings {
    Conifer,
    Porous,
    Half,
    Line,
    Stripe,
    Band,
}

/// What the fibre does besides running along the grain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lean {
    None,
    Ribbon,
    Curl,
    Mottle,
}

/// One wood's build. Lengths in mm, strengths as shares.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Anatomy {
    pub rings: Rings,
    pub pore_mm: f32,
    pub early: f32,
    pub open: f32,
    pub ray_mm: [f32; 2],
    pub rays: f32,
    pub lean: Lean,
    pub leaning: f32,
    pub streaks: f32,
    pub stain: f32,
    pub flat: f32,
}

static TABLE: LazyLock<BTreeMap<WoodId, Anatomy>> = LazyLock::new(|| {
    let text = include_str!("../../../../data/solids.csv");
    let mut reader = ReaderBuilder::new().comment(Some(b'#')).trim(Trim::All).from_reader(text.as_bytes());
    let rows = reader.records().map(|row| row.expect("the table of solids is read in a test"));
    rows.map(|row| (WoodId(row[0].into()), anatomy(&row).expect("the table of solids is read in a test"))).collect()
});

/// The build of a wood.
pub(super) fn of(wood: &WoodId, figure: Figure) -> Anatomy {
    TABLE.get(wood).copied().unwrap_or_else(|| hinted(figure))
}

fn anatomy(row: &StringRecord) -> Option<Anatomy> {
    let number = |at: usize| row.get(at)?.parse::<f32>().ok().filter(|value| (0.0..=2000.0).contains(value));
    let rings = match &row[1] {
        "conifer" => Rings::Conifer,
        "porous" => Rings::Porous,
        "half" => Rings::Half,
        "line" => Rings::Line,
        "stripe" => Rings::Stripe,
        "band" => Rings::Band,
        _ => return None,
    };
    let lean = match &row[8] {
        "none" => Lean::None,
        "ribbon" => Lean::Ribbon,
        "curl" => Lean::Curl,
        "mottle" => Lean::Mottle,
        _ => return None,
    };
    Some(Anatomy {
        rings,
        pore_mm: number(2)? / 1000.0,
        early: number(3)? / 100.0,
        open: number(4)? / 100.0,
        ray_mm: [number(5)?, number(6)? / 1000.0],
        rays: number(7)? / 100.0,
        lean,
        leaning: number(9)? / 100.0,
        streaks: number(10)? / 100.0,
        stain: number(11)? / 100.0,
        flat: number(12)? / 100.0,
    })
}

fn hinted(figure: Figure) -> Anatomy {
    let (rings, pore_mm, early) = match (figure.pores, figure.contrast) {
        (0..=4, _) => (Rings::Conifer, 0.0, 0.0),
        (30.., 30..) => (Rings::Porous, 0.26, 0.9),
        _ => (Rings::Line, 0.06 + 0.002 * figure.pores as f32, 0.0),
    };
    Anatomy {
        rings,
        pore_mm,
        early,
        open: 0.09,
        ray_mm: [0.5, 0.04],
        rays: 0.04,
        lean: Lean::None,
        leaning: 0.0,
        streaks: 0.08,
        stain: 0.0,
        flat: 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_wood_of_the_table_has_its_build() {
        let built: Vec<&WoodId> = TABLE.keys().collect();
        assert_eq!(built, crate::wood::table().keys().collect::<Vec<_>>());
    }

    /// Ring-porous woods as the USDA Wood Handbook (FPL-GTR-190, chapter 3) groups them.
    #[test]
    fn handbook_groups_are_kept() {
        let rings = |key: &str| TABLE[&WoodId(key.into())].rings;
        assert!(["oak-red", "ash-white", "elm-american", "locust-black"].iter().all(|key| rings(key) == Rings::Porous));
        assert!(["maple-hard", "basswood", "cherry-black"].iter().all(|key| rings(key) == Rings::Line));
        assert!(["walnut-black", "butternut"].iter().all(|key| rings(key) == Rings::Half));
        assert!(["douglas-fir", "spruce-sitka"].iter().all(|key| rings(key) == Rings::Conifer));
    }

    #[test]
    fn an_unknown_wood_is_taken_for_what_its_figure_hints() {
        let of = |pores, contrast| of(&WoodId("of my own".into()), Figure { ring: 200, contrast, pores });
        assert_eq!(of(50, 45).rings, Rings::Porous);
        assert_eq!(of(2, 30).rings, Rings::Conifer);
        assert_eq!(of(12, 10).rings, Rings::Line);
    }
}
