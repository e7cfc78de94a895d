//! Three pieces in a row before an opening.

use super::*;
use crate::pattern::{Meeting, Outline};
use crate::work::{Area, Chosen, Piece, PieceValues, State};
use measure::plane::{Circle, Point};

fn job() -> (Work, Outlines, Colours) {
    let (mut work, mut outlines) = (Work { woods: crate::wood::table(), ..Work::default() }, Outlines::default());
    let woods = ["maple-hard", "cherry-black", "wenge"];
    let tones = [Lab::new(85.0, 2.0, 15.0), Lab::new(60.0, 14.0, 25.0), Lab::new(20.0, 4.0, 5.0)];
    let mut colours = Colours::new();
    let at = Point::new(0, 0);
    for n in 1..=4_u32 {
        let becomes = if n < 4 { Becomes::Piece(Number(n)) } else { Becomes::Shadow };
        work.pattern.areas.insert(AreaId(n), Area { becomes, at });
        let widest = Circle { centre: at, radius: 1000.0 };
        let outline = Outline { rings: Vec::new(), borders: Vec::new(), area_mm2: 400.0, widest };
        outlines.areas.insert(AreaId(n), outline);
        if n < 4 {
            let wood = Some(Chosen::act(WoodId(woods[n as usize - 1].into())));
            let values = PieceValues { wood, ..PieceValues::default() };
            work.pieces.insert(Number(n), Piece { area: AreaId(n), values, state: State::Planned });
            colours.insert(AreaId(n), tones[n as usize - 1]);
        }
        for other in [n - 1, if n == 4 { 1 } else { 0 }].into_iter().filter(|other| *other > 0) {
            outlines.meetings.insert((AreaId(other), AreaId(n)), Meeting { borders: Vec::new(), length_mm: 20.0 });
        }
    }
    (work, outlines, colours)
}

fn of(pieces: &[u32], first: First) -> Vec<Alternative> {
    let (work, outlines, colours) = job();
    alternatives(&work, (&outlines, &colours), &pieces.iter().map(|n| Number(*n)).collect(), first)
}

#[test]
fn five_woods_with_their_neighbours_the_nearest_first() {
    let five = of(&[2], First::Even);
    assert_eq!(five.len(), 5);
    assert!(five.windows(2).all(|pair| pair[0].difference <= pair[1].difference));
    for one in &five {
        let beside: Vec<u32> = one.neighbours.iter().map(|neighbour| neighbour.piece.0).collect();
        assert_eq!(beside, [1, 3], "both neighbours, none twice");
        assert!((one.takes_mm2 - 400.0).abs() < 1e-9 && !one.source.is_empty());
    }
    let (work, ..) = job();
    let (one, neighbour) = (&five[0], &five[0].neighbours[1]);
    let seen = |id: &WoodId| look(&work, &work.woods[id]);
    assert!((neighbour.contrast - delta_e_2000(seen(&one.wood), seen(&neighbour.wood))).abs() < 1e-9);
    assert_eq!(of(&[1, 2], First::Even)[0].neighbours.len(), 1, "pieces of the part are no neighbours of it");
    assert!(of(&[9], First::Even).is_empty());
}

#[test]
fn lightness_or_hue_first() {
    let (work, ..) = job();
    let aim = Lab::new(60.0, 14.0, 25.0);
    let off = |first| {
        let seen = |one: &Alternative| look(&work, &work.woods[&one.wood]);
        let sum = |of: &dyn Fn(Lab) -> f64| self::of(&[2], first).iter().map(|one| of(seen(one))).sum::<f64>();
        (sum(&|c| (c.l - aim.l).abs()), sum(&|c| Lab::new(0.0, c.a - aim.a, c.b - aim.b).chroma()))
    };
    let (light, hue) = (off(First::Lightness), off(First::Hue));
    assert!(light.0 < hue.0 && hue.1 < light.1, "{light:?} {hue:?}");
}

#[test]
fn backers_stand_apart_from_what_borders_the_opening() {
    let (mut work, outlines, _) = job();
    let three = backers(&work, &outlines, Becomes::Shadow);
    assert!((3..=4).contains(&three.len()));
    assert!(three[0].told_apart == 1.0 && three.iter().any(|behind| behind.wood == work.choices.backer));
    work.choices.backer = WoodId("wenge".into());
    let wenge = backers(&work, &outlines, Becomes::Shadow).into_iter().find(|behind| behind.wood.0 == "wenge");
    let wenge = wenge.expect("what is chosen now is shown");
    assert_eq!(wenge.nearest, Some((Number(3), 0.0)));
    assert!((wenge.told_apart - 0.5).abs() < 1e-9 && wenge.unsure.contains(&Number(3)), "piece 3 is wenge, too");
}
