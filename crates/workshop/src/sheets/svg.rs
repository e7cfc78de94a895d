//! The pattern as SVG in millimetres (SVG 1.1): `areas`, `borders` and `numbers` as groups, every border once, and `lines` sawn or burnt inside pieces.

use std::fmt::Write;

use measure::plane::Point;

use super::facts::Facts;
use super::words::trimmed;
use crate::work::{Becomes, LineBecomes, Origin};

/// Writes the pattern.
pub(super) fn pattern(facts: &Facts) -> String {
    let (w, h) = (trimmed(facts.panel.0, 3), trimmed(facts.panel.1, 3));
    let mut out = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" \
         width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\">\n<title>{}</title>\n",
        escaped(&facts.title)
    );
    areas(facts, &mut out);
    borders(facts, &mut out);
    lines(facts, &mut out);
    numbers(facts, &mut out);
    out.push_str("</svg>\n");
    out
}

fn areas(facts: &Facts, out: &mut String) {
    out.push_str("<g id=\"areas\" stroke=\"none\" fill-rule=\"evenodd\">\n");
    for (id, area) in &facts.work.pattern.areas {
        let Some(outline) = facts.outlines.areas.get(id) else { continue };
        let (class, number) = match area.becomes {
            Becomes::Piece(number) => ("piece", format!(" data-number=\"{number}\"")),
            Becomes::Shadow => ("shadow", String::new()),
            Becomes::Ground => ("ground", String::new()),
            Becomes::Unnumbered => ("draft", String::new()),
        };
        let path: Vec<String> = outline.rings.iter().map(|ring| ring_path(ring)).collect();
        let fill = fill_of(facts, *id, area.becomes);
        put(
            out,
            &format!("<path id=\"area-{id}\" class=\"{class}\"{number} fill=\"{fill}\" d=\"{}\"/>", path.join(" ")),
        );
    }
    out.push_str("</g>\n");
}

fn fill_of(facts: &Facts, id: crate::work::AreaId, becomes: Becomes) -> String {
    let colour = facts.piece(id).and_then(|piece| facts.wood(piece)?.colour);
    match (becomes, colour) {
        (_, Some([r, g, b])) => format!("#{r:02x}{g:02x}{b:02x}"),
        (Becomes::Shadow, None) => "#555555".into(),
        (_, None) => "none".into(),
    }
}

fn ring_path(ring: &[Point]) -> String {
    let points: Vec<String> = ring.iter().map(|&p| at(p)).collect();
    format!("M{}Z", points.join("L"))
}

fn borders(facts: &Facts, out: &mut String) {
    out.push_str(
        "<g id=\"borders\" fill=\"none\" stroke=\"#000000\" stroke-width=\"0.2\" stroke-linejoin=\"round\">\n",
    );
    for (id, border) in &facts.work.pattern.borders {
        let Some(first) = border.curve.first() else { continue };
        let mut path = format!("M{}", at(first.0[0]));
        for cubic in &border.curve {
            let [_, b, c, d] = cubic.0;
            write!(path, "C{} {} {}", at(b), at(c), at(d)).expect("a string takes all");
        }
        let class = if border.from == Origin::Edge { "edge" } else { "saw" };
        let gap = match border.gap.0 {
            0 => String::new(),
            _ => format!(" data-gap-mm=\"{}\"", trimmed(border.gap.to_mm(), 3)),
        };
        put(out, &format!("<path id=\"border-{id}\" class=\"{class}\"{gap} d=\"{path}\"/>"));
    }
    out.push_str("</g>\n");
}

/// Lines inside pieces; none where none is sawn or burnt.
fn lines(facts: &Facts, out: &mut String) {
    let kept: Vec<_> = facts.work.loose_lines.iter().filter(|line| line.becomes != LineBecomes::LeftOut).collect();
    if kept.is_empty() {
        return;
    }
    out.push_str("<g id=\"lines\" fill=\"none\" stroke=\"#000000\" stroke-linecap=\"round\">\n");
    for line in kept {
        let class = if line.becomes == LineBecomes::Slot { "slot" } else { "burnt" };
        let path: Vec<String> = line.along.iter().map(|&p| at(p)).collect();
        let wide = trimmed(line.width.to_mm(), 3);
        put(out, &format!("<path class=\"{class}\" stroke-width=\"{wide}\" d=\"M{}\"/>", path.join("L")));
    }
    out.push_str("</g>\n");
}

fn numbers(facts: &Facts, out: &mut String) {
    out.push_str("<g id=\"numbers\" font-family=\"Inter, sans-serif\" text-anchor=\"middle\" fill=\"#000000\">\n");
    let mut pieces: Vec<_> = facts.pieces.iter().collect();
    pieces.sort_by_key(|piece| piece.number);
    for piece in pieces {
        let circle = facts.outline(piece.area).widest;
        let high = (circle.radius / 1000.0 * 0.9).clamp(1.0, 4.0);
        let (x, y) = circle.centre.to_mm();
        let baseline = trimmed(y + high * super::letters::CAP / 2.0, 3);
        put(
            out,
            &format!(
                "<text x=\"{}\" y=\"{baseline}\" font-size=\"{}\">{}</text>",
                trimmed(x, 3),
                trimmed(high, 2),
                piece.number
            ),
        );
    }
    out.push_str("</g>\n");
}

fn put(out: &mut String, line: &str) {
    out.push_str(line);
    out.push('\n');
}

/// A place, mm to the micrometre: exact.
fn at(p: Point) -> String {
    format!("{},{}", micro(p.x), micro(p.y))
}

fn micro(um: i32) -> String {
    trimmed(f64::from(um) / 1000.0, 3)
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
