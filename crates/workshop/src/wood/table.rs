//! The tables of woods and finishes: read, checked row by row, given codes.
//!
//! A maker may bring a table of the same columns, so every fault names its row and column. Columns are found by name;
//! ones that are not known are passed over.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use csv::{ReaderBuilder, StringRecord, Trim};
use measure::colour::Lab;

use super::code::give_codes;
use crate::work::{Figure, Finish, Refusal, Shift, Sourced, Way, Wood, WoodId};

static WOODS: LazyLock<BTreeMap<WoodId, Wood>> = LazyLock::new(|| {
    read_woods(include_str!("../../../../data/woods.csv")).expect("the table of woods is read in a test")
});

static FINISHES: LazyLock<BTreeMap<String, Finish>> = LazyLock::new(|| {
    read_finishes(include_str!("../../../../data/finishes.csv")).expect("the table of finishes is read in a test")
});

/// The table of woods that comes with spelk (`data/woods.csv`).
pub fn table() -> BTreeMap<WoodId, Wood> {
    WOODS.clone()
}

/// The table of finishes that comes with spelk (`data/finishes.csv`).
pub fn finishes() -> BTreeMap<String, Finish> {
    FINISHES.clone()
}

/// A finish of the table.
pub(super) fn finish(key: &str) -> Option<&'static Finish> {
    FINISHES.get(key)
}

/// Reads a table of woods as comma-separated text. A fault refuses the whole table and names row and column.
pub fn read_woods(text: &str) -> Result<BTreeMap<WoodId, Wood>, Refusal> {
    let mut woods = BTreeMap::new();
    for row in rows(text)? {
        let wood = wood(&row)?;
        if woods.contains_key(&wood.id) {
            return Err(row.fault("key", &format!("“{}” stands in the table twice", wood.id)));
        }
        woods.insert(wood.id.clone(), wood);
    }
    give_codes(&mut woods);
    Ok(woods)
}

/// Reads a table of finishes as comma-separated text.
pub fn read_finishes(text: &str) -> Result<BTreeMap<String, Finish>, Refusal> {
    let mut finishes = BTreeMap::new();
    for row in rows(text)? {
        let finish = Finish {
            id: row.text("key")?,
            name: row.text("name")?,
            shift: Shift {
                stray: thousandths(row.number("stray_light", 0.0..=0.2)?),
                path: thousandths(row.number("path", 0.2..=5.0)?),
            },
            source: row.text("source")?,
        };
        finishes.insert(finish.id.clone(), finish);
    }
    Ok(finishes)
}

fn wood(row: &Row) -> Result<Wood, Refusal> {
    let colour = Lab::new(
        row.number("colour_l", 0.0..=100.0)?,
        row.number("colour_a", -60.0..=60.0)?,
        row.number("colour_b", -60.0..=80.0)?,
    );
    Ok(Wood {
        id: WoodId(row.text("key")?),
        name: row.text("name")?,
        latin: row.text("latin")?,
        code: String::new(),
        colour: Sourced { value: colour, source: row.text("colour_source")? },
        measured: row.yes("colour_measured")?,
        spread: hundredths(row.number("spread_delta_e", 0.0..=30.0)?),
        density: row.sourced("density_kg_per_m3", "density_source", 50.0..=2000.0)?,
        hardness: row.sourced("hardness_janka_newton", "hardness_source", 100.0..=30_000.0)?,
        shrinkage: shrinkage(row)?,
        light: light(row)?,
        texture: row.words("texture", "texture_source")?,
        oiliness: row.words("oiliness", "oiliness_source")?,
        figure: Figure {
            ring: hundredths(row.number("ring_spacing_mm", 0.1..=50.0)?),
            contrast: row.number("ring_contrast_percent", 0.0..=100.0)? as u32,
            pores: row.number("pores_percent", 0.0..=100.0)? as u32,
        },
        hazard: row.words("hazard", "hazard_source")?,
        protected: row.words("protection", "protection_source")?,
    })
}

fn shrinkage(row: &Row) -> Result<Option<Sourced<(u32, u32)>>, Refusal> {
    let (tangential, radial) = ("shrinkage_tangential_percent", "shrinkage_radial_percent");
    if row.cell(tangential)?.is_empty() && row.cell(radial)?.is_empty() {
        return Ok(None);
    }
    let value = (hundredths(row.number(tangential, 0.0..=30.0)?), hundredths(row.number(radial, 0.0..=30.0)?));
    Ok(Some(Sourced { value, source: row.text("shrinkage_source")? }))
}

/// A table of a maker's own may leave the columns on light out.
fn light(row: &Row) -> Result<Option<Sourced<Lab>>, Refusal> {
    if row.cell("light_l")?.is_empty() {
        return Ok(None);
    }
    let value = Lab::new(
        row.number("light_l", -40.0..=40.0)?,
        row.number("light_a", -40.0..=40.0)?,
        row.number("light_b", -40.0..=40.0)?,
    );
    Ok(Some(Sourced { value, source: row.text("light_source")? }))
}

fn hundredths(value: f64) -> u32 {
    (value * 100.0).round() as u32
}

fn thousandths(value: f64) -> u32 {
    (value * 1000.0).round() as u32
}

/// Columns that a maker's own table may leave out.
const MAY_LACK: [&str; 3] = ["light_l", "texture", "oiliness"];

/// One row, the columns found by name.
struct Row {
    columns: StringRecord,
    cells: StringRecord,
    /// Its line in the file, comments and head counted, as an editor shows it.
    line: u64,
}

fn rows(text: &str) -> Result<Vec<Row>, Refusal> {
    let mut reader = ReaderBuilder::new().comment(Some(b'#')).trim(Trim::All).from_reader(text.as_bytes());
    let columns = reader.headers().map_err(|error| unreadable(&error))?.clone();
    reader
        .records()
        .map(|record| {
            let cells = record.map_err(|error| unreadable(&error))?;
            let line = cells.position().map_or(0, csv::Position::line);
            Ok(Row { columns: columns.clone(), cells, line })
        })
        .collect()
}

fn unreadable(error: &csv::Error) -> Refusal {
    let line = error.position().map_or(0, csv::Position::line);
    let what = match error.kind() {
        csv::ErrorKind::UnequalLengths { expected_len, len, .. } => {
            format!("row {line}: it has {len} cells instead of {expected_len}.")
        }
        _ => format!("row {line}: the table cannot be read as comma-separated text."),
    };
    Refusal::new(what).way(Way::advice("Mend that row; a cell that holds a comma stands in double quotes."))
}

impl Row {
    /// A cell; an empty one where a table of a maker's own has not the column and may leave it out.
    fn cell(&self, column: &str) -> Result<&str, Refusal> {
        let at = self.columns.iter().position(|name| name == column);
        if at.is_none() && MAY_LACK.contains(&column) {
            return Ok("");
        }
        let at = at.ok_or_else(|| {
            Refusal::new(format!("The table has no column “{column}”."))
                .way(Way::advice("Name the columns in the first row as in the table that comes with spelk."))
        })?;
        Ok(self.cells.get(at).unwrap_or(""))
    }

    fn text(&self, column: &str) -> Result<String, Refusal> {
        match self.cell(column)? {
            "" => Err(self.fault(column, "the cell is empty")),
            text => Ok(text.into()),
        }
    }

    fn number(&self, column: &str, range: std::ops::RangeInclusive<f64>) -> Result<f64, Refusal> {
        let text = self.text(column)?;
        let value: f64 = text.parse().map_err(|_| self.fault(column, &format!("“{text}” is no number")))?;
        if range.contains(&value) {
            return Ok(value);
        }
        Err(self.fault(column, &format!("{text} is not between {} and {}", range.start(), range.end())))
    }

    fn yes(&self, column: &str) -> Result<bool, Refusal> {
        match self.text(column)?.as_str() {
            "yes" => Ok(true),
            "no" => Ok(false),
            other => Err(self.fault(column, &format!("“{other}” is neither yes nor no"))),
        }
    }

    fn sourced(
        &self,
        column: &str,
        source: &str,
        range: std::ops::RangeInclusive<f64>,
    ) -> Result<Option<Sourced<u32>>, Refusal> {
        if self.cell(column)?.is_empty() {
            return Ok(None);
        }
        let value = self.number(column, range)?.round() as u32;
        Ok(Some(Sourced { value, source: self.text(source)? }))
    }

    fn words(&self, column: &str, source: &str) -> Result<Option<Sourced<String>>, Refusal> {
        if self.cell(column)?.is_empty() {
            return Ok(None);
        }
        Ok(Some(Sourced { value: self.text(column)?, source: self.text(source)? }))
    }

    fn fault(&self, column: &str, what: &str) -> Refusal {
        let key = self.cells.get(0).unwrap_or("");
        Refusal::new(format!("row {} ({key}), column {column}: {what}.", self.line))
            .way(Way::advice("Mend that cell and bring the table in again; nothing was taken from it."))
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn the_table_is_whole() {
        let woods = table();
        assert!(woods.len() >= 60, "{}", woods.len());
        let lightness = |wood: &Wood| wood.colour.value.l;
        assert!(woods.values().any(|wood| lightness(wood) > 82.0) && woods.values().any(|wood| lightness(wood) < 28.0));
        let codes: BTreeSet<&str> = woods.values().map(|wood| wood.code.as_str()).collect();
        assert_eq!(codes.len(), woods.len());
        assert!(woods.contains_key(&WoodId("walnut-black".into())) && finishes().contains_key("wax"));
    }

    /// The surveys of native wood colours that the facts were gathered from hold no L* above 85 or below 24 save the
    /// whitest holly and the blackest ebony, no green (negative a*) and no blue (negative b*).
    #[test]
    fn no_wood_is_blue_or_green() {
        for wood in table().values() {
            let Lab { l, a, b } = wood.colour.value;
            assert!((22.0..=87.0).contains(&l) && a >= 0.0 && b >= 0.0, "{}", wood.id);
        }
    }

    fn with_row(row: &str) -> Refusal {
        let head = "key,name,latin,colour_l,colour_a,colour_b,colour_measured,colour_source,spread_delta_e,\
            density_kg_per_m3,density_source,hardness_janka_newton,hardness_source,shrinkage_tangential_percent,\
            shrinkage_radial_percent,shrinkage_source,ring_spacing_mm,ring_contrast_percent,pores_percent,hazard,\
            hazard_source,protection,protection_source";
        let good = "oak,Oak,Quercus,60,5,20,no,from memory,3,,,,,,,,2,20,20,,,,";
        let text = format!("# own woods\n{head}\n{good}\n{row}\n");
        read_woods(&text).expect_err("the row is bad")
    }

    #[test]
    fn a_bad_row_is_named() {
        let check = |row: &str, says: &str| {
            let refusal = with_row(row);
            assert!(refusal.what.contains("row 4") && refusal.what.contains(says), "{refusal}");
            assert!(!refusal.ways.is_empty());
        };
        check("elm,Elm,Ulmus,sixty,5,20,no,from memory,3,,,,,,,,2,20,20,,,,", "“sixty” is no number");
        check("elm,Elm,Ulmus,160,5,20,no,from memory,3,,,,,,,,2,20,20,,,,", "not between 0 and 100");
        check("elm,Elm,Ulmus,60,5,20,no,,3,,,,,,,,2,20,20,,,,", "colour_source: the cell is empty");
        check("elm,Elm,Ulmus,60,5,20,no,from memory,3,600,,,,,,,2,20,20,,,,", "density_source");
        check("elm,Elm,Ulmus,60,5,20,maybe,from memory,3,,,,,,,,2,20,20,,,,", "neither yes nor no");
        check("oak,Oak,Quercus,60,5,20,no,from memory,3,,,,,,,,2,20,20,,,,", "twice");
        check("elm,Elm", "2 cells instead of");
        assert!(read_woods("name\nOak\n").expect_err("no key").what.contains("no column"));
    }
}
