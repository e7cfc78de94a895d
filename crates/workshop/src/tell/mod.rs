//! The job as JSON for outside readers: a contract, described in `ARCHITECTURE.md`. Lengths in mm, angles in degrees,
//! colours in L*a*b*; what is undecided is null.

mod boards;
mod tones;

pub use tones::{Gathered, tones};

use measure::colour::Lab;
use measure::length::Um;
use measure::plane::Point;
use serde_json::{Value, json};

use crate::check;
use crate::derived::Derived;
use crate::pattern::{Outlines, lies_in};
use crate::picture::Colours;
use crate::wood;
use crate::work::{
    Area, AreaId, Becomes, Border, BorderId, By, Chosen, Ends, LooseLine, Number, PartId, Piece, Swallowed, Wood, Work,
};

/// Version of the contract.
const CONTRACT: u32 = 1;

/// The whole job as JSON.
pub fn tell(work: &Work, derived: &mut Derived) -> Value {
    let (outlines, colours) = (derived.outlines(work), derived.colours(work));
    json!({
        "spelk": CONTRACT,
        "title": work.choices.title,
        "panel_mm": [mm(work.panel.width), mm(work.panel.height)],
        "limits": limits(work),
        "junctions": work.pattern.junctions.iter().map(|(id, at)| json!({"id": id, "at_mm": point(*at)})).collect::<Vec<_>>(),
        "borders": work.pattern.borders.iter().map(|(id, border)| tell_border(*id, border, &outlines)).collect::<Vec<_>>(),
        "areas": work.pattern.areas.iter().map(|(id, area)| tell_area(*id, area, &outlines, &colours)).collect::<Vec<_>>(),
        "swallowed": work.swallowed.iter().map(|one| tell_swallowed(one, &outlines)).collect::<Vec<_>>(),
        "lines": work.loose_lines.iter().map(|line| tell_line(line, &outlines)).collect::<Vec<_>>(),
        "pieces": work.pieces.iter().map(|(number, piece)| tell_piece(work, *number, piece, &outlines)).collect::<Vec<_>>(),
        "retired": work.retired.iter().map(|(number, gone)| json!({"number": number, "into": gone.into})).collect::<Vec<_>>(),
        "tones": tones::of_all(work, derived),
        "parts": work.parts.iter().map(|(id, part)| json!({
            "id": id, "name": part.name, "pieces": part.pieces, "within": part.within,
            "tones": tones::of_part(work, derived, *id),
        })).collect::<Vec<_>>(),
        "woods": woods_in_use(work).map(|wood| tell_wood(work, wood)).collect::<Vec<_>>(),
        "wood_tests": wood::offcuts(work, &outlines, &colours),
        "relations": work.relations.iter().map(|(id, relation)| json!({
            "id": id, "says": relation.says, "strength": relation.strength, "by": relation.by,
        })).collect::<Vec<_>>(),
        "marks": work.marks.iter().map(|(whom, depth)| json!({"whom": whom, "depth": depth})).collect::<Vec<_>>(),
        "laying": boards::laying(&work.choices.laying),
        "boards": work.boards.iter().map(|(id, board)| boards::of_one(*id, board)).collect::<Vec<_>>(),
        "layout": boards::layout(work, &outlines),
        "missing": boards::missing(derived.missing(work)),
        "crosscuts": boards::crosscuts(work),
        "planing": boards::planing(work),
        "findings": check(work, derived),
    })
}

fn mm(length: Um) -> f64 {
    length.to_mm()
}

fn point(at: Point) -> [f64; 2] {
    let (x, y) = at.to_mm();
    [x, y]
}

fn points(line: &[Point]) -> Vec<[f64; 2]> {
    line.iter().copied().map(point).collect()
}

/// Thousandths are well under what an eye or an instrument tells apart.
fn lab(colour: Lab) -> [f64; 3] {
    [colour.l, colour.a, colour.b].map(|v| (v * 1000.0).round() / 1000.0)
}

fn limits(work: &Work) -> Value {
    let stock = &work.choices.stock;
    let list = |lengths: &[Um]| lengths.iter().copied().map(mm).collect::<Vec<_>>();
    json!({
        "least_width_mm": mm(stock.least_width),
        "least_area_mm2": stock.least_area_mm2,
        "readable_step_mm": mm(stock.readable_step),
        "thicknesses_mm": list(&stock.thicknesses),
        "raisers_mm": list(&stock.raisers),
        "lowest_mm": mm(stock.lowest),
        "highest_mm": mm(stock.highest),
    })
}

fn tell_border(id: BorderId, border: &Border, outlines: &Outlines) -> Value {
    let (from, to) = match border.ends {
        Ends::Between(from, to) => (Some(from), Some(to)),
        Ends::Ring(_) => (None, None),
    };
    json!({
        "id": id,
        "from": from,
        "to": to,
        "left": border.left.area(),
        "right": border.right.area(),
        "gap_mm": mm(border.gap),
        "ink_mm": mm(border.ink),
        "cubics_mm": border.curve.iter().map(|cubic| points(&cubic.0)).collect::<Vec<_>>(),
        "line_mm": outlines.lines.get(&id).map(|line| points(line)),
    })
}

fn tell_area(id: AreaId, area: &Area, outlines: &Outlines, colours: &Colours) -> Value {
    let outline = outlines.areas.get(&id);
    let (becomes, number) = match area.becomes {
        Becomes::Piece(number) => ("piece", Some(number)),
        Becomes::Unnumbered => ("piece", None),
        Becomes::Shadow => ("shadow", None),
        Becomes::Ground => ("ground", None),
    };
    json!({
        "id": id,
        "becomes": becomes,
        "number": number,
        "rings_mm": outline.map(|outline| outline.rings.iter().map(|ring| points(ring)).collect::<Vec<_>>()),
        "area_mm2": outline.map(|outline| outline.area_mm2),
        "colour_picture_lab": colours.get(&id).copied().map(lab),
    })
}

fn tell_swallowed(one: &Swallowed, outlines: &Outlines) -> Value {
    json!({
        "at_mm": point(one.at),
        "widest_mm": mm(one.widest),
        "area_mm2": f64::from(one.area) / 100.0,
        "in_area": lies_in(outlines, one.at),
    })
}

fn tell_line(line: &LooseLine, outlines: &Outlines) -> Value {
    json!({
        "along_mm": points(&line.along),
        "width_mm": mm(line.width),
        "open_ends": if line.hangs { 0 } else { line.places().count() },
        "becomes": line.becomes,
        "writing": line.writing,
        "in_area": line.place().and_then(|place| lies_in(outlines, place)),
    })
}

fn tell_piece(work: &Work, number: Number, piece: &Piece, outlines: &Outlines) -> Value {
    let values = &piece.values;
    let wood = values.wood.as_ref().and_then(|chosen| work.woods.get(&chosen.value));
    json!({
        "number": number,
        "area": piece.area,
        "part": part_of(work, number),
        "wood": wood.map(|wood| &wood.id),
        "by": values.wood.as_ref().map(|chosen| chosen.by),
        "colour_raw_lab": wood.map(|wood| lab(wood.colour.value)),
        "colour_finished_lab": wood.map(|wood| lab(wood::look(work, wood))),
        "grain_deg": values.grain.map(|grain| grain.value.to_degrees()),
        "height_mm": length(&values.height),
        "height_by": values.height.map(|chosen: Chosen<Um>| -> By { chosen.by }),
        "thickness_mm": length(&values.thickness),
        "raiser_mm": length(&values.raiser),
        "widest_mm": outlines.areas.get(&piece.area).map(|outline| (outline.widest.radius * 2.0).round() / 1000.0),
        "state": piece.state,
    })
}

fn length(chosen: &Option<Chosen<Um>>) -> Option<f64> {
    chosen.as_ref().map(|chosen| mm(chosen.value))
}

fn part_of(work: &Work, number: Number) -> Option<PartId> {
    work.parts.iter().find(|(_, part)| part.pieces.contains(&number)).map(|(id, _)| *id)
}

fn woods_in_use(work: &Work) -> impl Iterator<Item = &Wood> {
    work.woods.values().filter(|wood| pieces_of(work, wood).next().is_some())
}

fn pieces_of<'a>(work: &'a Work, wood: &'a Wood) -> impl Iterator<Item = Number> + 'a {
    let of = |piece: &Piece, wood: &Wood| piece.values.wood.as_ref().is_some_and(|chosen| chosen.value == wood.id);
    work.pieces.iter().filter(move |(_, piece)| of(piece, wood)).map(|(number, _)| *number)
}

fn tell_wood(work: &Work, wood: &Wood) -> Value {
    json!({
        "id": wood.id,
        "name": wood.name,
        "latin": wood.latin,
        "code": wood.code,
        "pieces": pieces_of(work, wood).collect::<Vec<_>>(),
        "colour_raw_lab": lab(wood.colour.value),
        "colour_finished_lab": lab(wood::look(work, wood)),
        "colour_aged_lab": lab(wood::aged_look((work, wood), wood.colour.value, wood::HOLDS_YEARS)),
        "colour_source": wood.colour.source,
        "colour_measured": wood.measured,
    })
}
