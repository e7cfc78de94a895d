//! Patterns at random: a grid whose lines are unevenly spaced and whose junctions are shaken, with shadow and ground among
//! the pieces. Straight borders; the least cell is about 4 mm wide, so that many numbers find no room.

use super::*;

/// A small counter-based generator (Steele, Lea, Flood 2014, SplitMix64).
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % most
    }
}

/// A job of about `across` × `down` pieces.
pub fn job(seed: u64, across: u32, down: u32) -> (Work, Arc<Outlines>) {
    let mut dice = Dice(seed);
    let columns = lines(&mut dice, across);
    let rows = lines(&mut dice, down);
    let (wide, high) = (columns[across as usize], rows[down as usize]);
    let mut work = Work { panel: Size { width: Um(wide), height: Um(high) }, ..Work::default() };
    woods(&mut work);
    let mut points = Vec::new();
    for (j, &y) in rows.iter().enumerate() {
        for (i, &x) in columns.iter().enumerate() {
            let shake = |dice: &mut Dice, at: i32, end: i32| {
                if at == 0 || at == end { at } else { at + dice.below(1600) as i32 - 800 }
            };
            let at = Point::new(shake(&mut dice, x, wide), shake(&mut dice, y, high));
            work.pattern.junctions.insert(JunctionId((j * columns.len() + i) as u32 + 1), at);
            points.push(at);
        }
    }
    let mut outlines = Outlines::default();
    let stride = across + 1;
    let cell = |x: Option<u32>, y: Option<u32>| match (x, y) {
        (Some(x), Some(y)) if x < across && y < down => Side::Area(AreaId(y * across + x + 1)),
        _ => Side::Beyond,
    };
    for y in 0..=down {
        for x in 0..=across {
            let from = y * stride + x;
            if x < across {
                let sides = [cell(Some(x), y.checked_sub(1)), cell(Some(x), Some(y))];
                border(&mut work, &mut outlines, (&points, from, from + 1, sides));
            }
            if y < down {
                let sides = [cell(Some(x), Some(y)), cell(x.checked_sub(1), Some(y))];
                border(&mut work, &mut outlines, (&points, from, from + stride, sides));
            }
        }
    }
    for y in 0..down {
        for x in 0..across {
            let corners = [(0, 0), (1, 0), (1, 1), (0, 1)];
            let ring = corners.map(|(dx, dy)| points[((y + dy) * stride + x + dx) as usize]).to_vec();
            area(&mut work, &mut outlines, (AreaId(y * across + x + 1), ring), &mut dice);
        }
    }
    (work, Arc::new(outlines))
}

/// Unevenly spaced lines, µm.
fn lines(dice: &mut Dice, count: u32) -> Vec<i32> {
    let mut at = 0;
    let mut lines = vec![0];
    for _ in 0..count {
        at += 5_600 + if dice.below(3) == 0 { 0 } else { dice.below(26_000) as i32 };
        lines.push(at);
    }
    lines
}

fn border(
    work: &mut Work,
    outlines: &mut Outlines,
    (points, from, to, [left, right]): (&[Point], u32, u32, [Side; 2]),
) {
    let (a, b) = (points[from as usize], points[to as usize]);
    let third = |n: i32| Point::new(a.x + (b.x - a.x) * n / 3, a.y + (b.y - a.y) * n / 3);
    let curve = vec![Cubic([a, third(1), third(2), b])];
    let id = BorderId(work.pattern.borders.len() as u32 + 1);
    let edge = [left, right].contains(&Side::Beyond);
    outlines.lines.insert(id, vec![a, b]);
    let ends = Ends::Between(JunctionId(from + 1), JunctionId(to + 1));
    let origin = if edge { Origin::Edge } else { Origin::Traced };
    let gap = if !edge && id.0.is_multiple_of(17) { Um(1000) } else { Um(0) };
    work.pattern.borders.insert(id, Border { ends, curve, left, right, gap, ink: Um(0), from: origin });
}

fn area(work: &mut Work, outlines: &mut Outlines, (id, ring): (AreaId, Vec<Point>), dice: &mut Dice) {
    let mean = |axis: fn(&Point) -> i32| ring.iter().map(axis).sum::<i32>() / 4;
    let centre = Point::new(mean(|p| p.x), mean(|p| p.y));
    let side = |a: Point, b: Point| {
        let ((ax, ay), (bx, by), (cx, cy)) = (a.to_mm(), b.to_mm(), centre.to_mm());
        super::super::room::from_segment(((ax, ay), (bx, by)), (cx, cy)) * 1000.0
    };
    let radius = (0..4).map(|i| side(ring[i], ring[(i + 1) % 4])).fold(f64::MAX, f64::min);
    let widest = Circle { centre, radius };
    outlines.areas.insert(id, Outline { rings: vec![ring], borders: Vec::new(), area_mm2: 100.0, widest });
    let becomes = match dice.below(14) {
        0 => Becomes::Shadow,
        1 => Becomes::Ground,
        _ => Becomes::Piece(Number(id.0)),
    };
    work.pattern.areas.insert(id, Area { becomes, at: centre });
    if let Becomes::Piece(number) = becomes {
        let values = PieceValues {
            wood: Some(Chosen::act(WoodId(["maple", "cherry", "walnut"][id.0 as usize % 3].into()))),
            grain: Some(Chosen::act(Axis::degrees(f64::from(id.0 * 37 % 180)))),
            height: Some(Chosen::act(Um::mm(10.0 + f64::from(id.0 % 9)))),
            thickness: Some(Chosen::act(Um::mm(10.0))),
            raiser: Some(Chosen::act(Um::mm(f64::from(id.0 % 9)))),
        };
        work.pieces.insert(number, Piece { area: id, values, state: State::Planned });
    }
}
