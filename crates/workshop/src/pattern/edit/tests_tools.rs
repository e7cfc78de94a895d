//! The drawing tools: each does what it says, moves both sides, keeps the rest, and is refused with a place.

use std::collections::BTreeSet;

use kurbo::ParamCurveNearest;
use measure::length::Um;
use measure::plane::{Cubic, Point, line};

use super::tests::{area_mm2, area_of, derived, edit, points, refusal, whole};
use crate::pattern::sample::{CELL, accepted};
use crate::work::edit::{Edit as Any, bench, pattern::Edit};
use crate::work::{AreaId, Becomes, BorderId, Date, Ends, Fact, Number, Origin, Side, State, Work};

/// The border between the first and the second cell of the first row.
fn upright(work: &Work) -> BorderId {
    let is = |b: &crate::work::Border| {
        let line = line(&b.curve);
        line[0] == Point::new(CELL, 0) && line[line.len() - 1] == Point::new(CELL, CELL)
    };
    *work.pattern.borders.iter().find(|(_, border)| is(border)).expect("the sample has one").0
}

fn p(x: i32, y: i32) -> Point {
    Point::new(x, y)
}

fn on(line: &[Point], to: Point, off: f64) -> bool {
    let near = |w: &[Point]| {
        let [a, b, c] = [w[0], w[1], to].map(|p| kurbo::Point::new(f64::from(p.x), f64::from(p.y)));
        kurbo::Line::new(a, b).nearest(c, 1e-6).distance_sq <= off * off
    };
    line.windows(2).any(near)
}

#[test]
fn a_pulled_border_goes_where_the_hand_goes_and_keeps_its_ends() {
    let mut work = accepted(3, 2);
    let id = upright(&work);
    let before = work.clone();
    let sides = [&before.pattern.borders[&id].left, &before.pattern.borders[&id].right].map(|s| s.area().unwrap());
    let areas = |work: &Work| sides.map(|id| derived(work).areas[&id].area_mm2);
    let at = line(&work.pattern.borders[&id].curve)[line(&work.pattern.borders[&id].curve).len() / 2];
    let to = p(at.x + 2000, at.y);
    let changes = edit(&mut work, Edit::Reshape { at, to, width: Um(6000) }).expect("there is room");
    whole(&work);
    assert_eq!(changes.borders, [id].into());
    let moved = line(&work.pattern.borders[&id].curve);
    assert!(on(&moved, to, 30.0), "the held place goes along");
    assert_eq!((moved[0], moved[moved.len() - 1]), (p(CELL, 0), p(CELL, CELL)));
    // ∫cos² over the brush of 6 mm to each side is 6 mm: 2 mm × 6 mm change sides.
    let (was, is) = (areas(&before), areas(&work));
    assert!(((is[1] - was[1]).abs() - 12.0).abs() < 0.3, "{was:?} {is:?}");
    assert!((was[0] + was[1] - is[0] - is[1]).abs() < 1e-6, "what one gains the other loses");
    for (other, border) in &work.pattern.borders {
        assert!(*other == id || before.pattern.borders[other] == *border);
    }
    // Beyond the brush the border is where it was.
    let was = line(&before.pattern.borders[&id].curve);
    assert!(moved.iter().filter(|p| p.y < 3500 || p.y > 16_500).all(|p| on(&was, *p, 20.0)));
    assert!(work.pattern.borders[&id].curve.len() <= 7, "{}", work.pattern.borders[&id].curve.len());
    assert_eq!(work.pattern.borders[&id].from, Origin::Drawn);
}

#[test]
fn a_pull_leaves_no_kink() {
    let mut work = accepted(3, 2);
    let id = upright(&work);
    edit(&mut work, Edit::Reshape { at: p(CELL, 9000), to: p(CELL + 1500, 9500), width: Um(5000) }).expect("room");
    for w in work.pattern.borders[&id].curve.windows(2) {
        let way = |a: Point, b: Point| (f64::from(b.x - a.x), f64::from(b.y - a.y));
        let (u, v) = (way(w[0].0[2], w[0].0[3]), way(w[1].0[0], w[1].0[1]));
        let turn = libm::atan2(u.0 * v.1 - u.1 * v.0, u.0 * v.0 + u.1 * v.1).abs().to_degrees();
        assert!(turn < 2.0, "{turn}° at {:?}", w[0].end());
    }
}

#[test]
fn a_ring_can_be_pulled_at_any_place() {
    for (x, y) in [(6000, 0), (0, 6000), (-6000, 0), (0, -6000), (4243, 4243)] {
        let mut work = accepted(3, 2);
        let (cx, cy) = (CELL + CELL / 2, CELL / 2);
        let at = p(cx + x, cy + y);
        let to = p(cx + x * 4 / 3, cy + y * 4 / 3);
        edit(&mut work, Edit::Reshape { at, to, width: Um(4000) }).expect("there is room");
        whole(&work);
        let ring = work.pattern.borders.values().find(|b| matches!(b.ends, Ends::Ring(_)) && b.from == Origin::Drawn);
        assert!(on(&line(&ring.expect("it was moved").curve), to, 30.0), "{x} {y}");
    }
}

#[test]
fn smoothing_takes_waves_out_and_keeps_ends() {
    let mut work = accepted(3, 2);
    let id = upright(&work);
    // A ripple of 2 mm on the border.
    let ripple: Vec<Point> = (0..=40)
        .map(|k| p(CELL + if k == 0 || k == 40 { 0 } else { (k % 4 - 2i32).abs() * 300 - 300 }, k * 500))
        .collect();
    let curve: Vec<Cubic> = ripple.windows(2).map(|w| Cubic::straight(w[0], w[1])).collect();
    work.pattern.borders.get_mut(&id).unwrap().curve = curve;
    whole(&work);
    let off = |work: &Work| {
        line(&work.pattern.borders[&id].curve).iter().map(|p| (p.x - CELL).abs()).max().unwrap_or_default()
    };
    assert!(off(&work) >= 300);
    let mut part = work.clone();
    edit(&mut work, Edit::Smooth { along: vec![p(CELL, 10_000)], by: Um(8000) }).expect("it can be smoothed");
    whole(&work);
    assert!(off(&work) < 60, "{}", off(&work));
    let smooth = line(&work.pattern.borders[&id].curve);
    assert_eq!((smooth[0], smooth[smooth.len() - 1]), (p(CELL, 0), p(CELL, CELL)));
    // Only along a stroke: beyond it the ripple stays, point by point.
    edit(&mut part, Edit::Smooth { along: points(&[(CELL, 6000), (CELL, 14_000)]), by: Um(6000) })
        .expect("a part of it");
    whole(&part);
    let line = line(&part.pattern.borders[&id].curve);
    assert!(ripple.iter().filter(|p| p.y < 5500 || p.y > 14_500).all(|p| line.contains(p)));
    assert!(line.iter().filter(|p| (9000..11_000).contains(&p.y)).all(|p| (p.x - CELL).abs() < 150));
}

#[test]
fn straight_is_straight() {
    let mut work = accepted(3, 2);
    let id = upright(&work);
    edit(&mut work, Edit::Straighten { along: vec![p(CELL, 9000)] }).expect("it can be straight");
    whole(&work);
    assert_eq!(work.pattern.borders[&id].curve, [Cubic::straight(p(CELL, 0), p(CELL, CELL))]);
    let ring = refusal(&mut work, Edit::Straighten { along: vec![p(CELL + CELL / 2 + 6000, CELL / 2)] });
    assert!(ring.contains("ring"), "{ring}");
    let chord = points(&[(CELL + 14_243, 5757), (CELL + 16_000, 10_000), (CELL + 14_243, 14_243)]);
    let before = work.clone();
    edit(&mut work, Edit::Straighten { along: chord }).expect("a stretch of a ring can be straight");
    whole(&work);
    // A circle of 6 mm loses the segment over a quarter: r²/2·(π/2 − 1).
    let segment = 18.0 * (std::f64::consts::FRAC_PI_2 - 1.0);
    let by = |id: &AreaId| (derived(&work).areas[id].area_mm2 - derived(&before).areas[id].area_mm2).abs();
    let changed: Vec<f64> = before.pattern.areas.keys().map(by).filter(|by| *by > 1.0).collect();
    assert!(changed.len() == 2 && changed.iter().all(|by| (by - segment).abs() < 0.2), "{changed:?}");
}

#[test]
fn a_junction_moves_with_all_that_meets_in_it() {
    let mut work = accepted(3, 2);
    let before = work.clone();
    let to = p(CELL + 1500, CELL - 1200);
    let changes = edit(&mut work, Edit::Junction { at: p(CELL, CELL), to, width: Um(8000) }).expect("there is room");
    whole(&work);
    assert_eq!(changes.borders.len(), 4);
    assert!(work.pattern.junctions.values().any(|place| *place == to));
    let numbers = |work: &Work| work.pieces.iter().map(|(n, piece)| (*n, piece.area)).collect::<Vec<_>>();
    assert_eq!(numbers(&before), numbers(&work));
    // On the edge of the panel it slides; a corner stays.
    edit(&mut work, Edit::Junction { at: p(CELL, 0), to: p(CELL + 3000, 2500), width: Um(8000) }).expect("it slides");
    whole(&work);
    assert!(work.pattern.junctions.values().any(|place| *place == p(CELL + 3000, 0)));
    let corner = refusal(&mut work, Edit::Junction { at: p(0, 0), to: p(3000, 3000), width: Um(8000) });
    assert!(corner.contains("corner"), "{corner}");
}

/// A junction on the edge does not slide so far that its border lies along the edge; with a brush as wide as its way it may.
#[test]
fn a_junction_on_the_edge_leaves_no_sliver() {
    let slide = |width: i32| Edit::Junction { at: p(0, CELL), to: p(-5000, 2000), width: Um(width) };
    let mut work = accepted(3, 2);
    let refused = edit(&mut work, slide(2000)).expect_err("a spur of 18 mm along the edge");
    assert!(refused.what.contains("along the edge") && !refused.ways.is_empty(), "{refused}");
    assert!(refused.spot.at.is_some_and(|at| at.x < 2000 && (2000..CELL).contains(&at.y)), "{refused:?}");
    edit(&mut work, slide(18_000)).expect("a bend");
    whole(&work);
    assert!(work.pattern.junctions.values().any(|place| *place == p(0, 2000)));
}

/// The area around an island and the island in that: the second cell, with rings of 6 and 3 mm about its middle.
fn around_an_island(work: &Work) -> AreaId {
    let ring = |border: &&crate::work::Border| matches!(border.ends, Ends::Ring(_));
    work.pattern.borders.values().find(ring).and_then(|border| border.left.area()).expect("the sample has one")
}

#[test]
fn a_split_over_an_island_parts_what_lies_around_it_alone() {
    for along in [
        points(&[(CELL - 500, 10_200), (2 * CELL + 500, 10_400)]),
        points(&[(CELL + 8000, -800), (CELL + 13_000, 10_000), (CELL + 9000, CELL + 600)]),
    ] {
        let mut work = accepted(3, 2);
        let (host, before) = (around_an_island(&work), work.clone());
        edit(&mut work, Edit::Split { area: host, along: along.clone() }).expect("it goes from side to side");
        whole(&work);
        assert_eq!(work.pieces.len(), before.pieces.len() + 1, "{along:?}");
        let (was, is) = (derived(&before), derived(&work));
        assert_eq!(is.areas[&host].rings.len(), 1, "the island lies between both parts now");
        for (number, piece) in before.pieces.iter().filter(|(_, piece)| piece.area != host) {
            assert!((was.areas[&piece.area].area_mm2 - is.areas[&piece.area].area_mm2).abs() < 0.05, "{number}");
        }
        let added = *work.pattern.areas.keys().last().expect("a new area");
        let parted = is.areas[&host].area_mm2 + is.areas[&added].area_mm2;
        assert!((parted - was.areas[&host].area_mm2).abs() < 0.1 && is.areas[&added].area_mm2 > 80.0);
    }
}

/// A ring is cut where the line crosses it, also where that is on the seam of two of its cubics.
#[test]
fn a_ring_is_cut_at_the_seams_of_its_cubics() {
    let work = accepted(3, 2);
    let host = around_an_island(&work);
    let is_edge =
        |border: &&crate::work::Border| border.left.area() == Some(host) && matches!(border.ends, Ends::Ring(_));
    let ring = work.pattern.borders.values().find(is_edge).expect("the sample has one").clone();
    let island = ring.right.area().expect("an island");
    let halves = |x: i32| {
        let mut work = work.clone();
        let along = points(&[(x, -500), (x, CELL + 500)]);
        edit(&mut work, Edit::Split { area: island, along }).expect("it goes through");
        whole(&work);
        derived(&work).areas[&island].area_mm2
    };
    let seams: Vec<i32> = ring.curve.iter().map(|cubic| cubic.start().x).collect();
    let (low, high) = (seams.iter().min().unwrap(), seams.iter().max().unwrap());
    let inner: Vec<i32> = seams.iter().copied().filter(|x| x - low > 1500 && high - x > 1500).collect();
    assert!(!inner.is_empty(), "{seams:?}");
    for x in inner {
        let (at, beside) = (halves(x), halves(x + 12));
        assert!((at - beside).abs() < 0.5, "{x}: {at} and {beside} mm²");
    }
}

/// A loop that meets the hole takes out what it encloses beside the hole: two circles of 6 and 3 mm whose middles are 6 mm apart.
#[test]
fn a_loop_over_the_edge_of_a_hole_parts_the_area_beside_it() {
    let mut work = accepted(3, 2);
    let (host, before) = (around_an_island(&work), work.pieces.len());
    let at = |k: i32| {
        let angle = std::f64::consts::PI + f64::from(k) * std::f64::consts::TAU / 48.0;
        p(CELL + 4000 + (3000.0 * libm::cos(angle)) as i32, CELL / 2 + (3000.0 * libm::sin(angle)) as i32)
    };
    edit(&mut work, Edit::Split { area: host, along: (0..=48).map(at).collect() }).expect("it meets the hole twice");
    whole(&work);
    assert_eq!(work.pieces.len(), before + 1);
    let (d, big, small) = (6.0_f64, 6.0_f64, 3.0_f64);
    let lens = small * small * libm::acos((d * d + small * small - big * big) / (2.0 * d * small))
        + big * big * libm::acos((d * d + big * big - small * small) / (2.0 * d * big))
        - 0.5 * ((-d + small + big) * (d + small - big) * (d - small + big) * (d + small + big)).sqrt();
    let added = *work.pattern.areas.keys().last().expect("a new area");
    let found = derived(&work).areas[&added].area_mm2;
    assert!((found - (std::f64::consts::PI * small * small - lens)).abs() < 0.3, "{found}");
}

/// A line from the outline to the island parts nothing, as it is drawn or as a split; each says how it would.
#[test]
fn a_line_that_ends_at_an_island_parts_nothing() {
    let mut work = accepted(3, 2);
    let area = around_an_island(&work);
    let along = points(&[(CELL - 500, 10_000), (CELL + 4200, 10_000)]);
    for this in [Edit::Draw { along: along.clone() }, Edit::Split { area, along }] {
        let before = work.clone();
        let refused = edit(&mut work, this).expect_err("it parts nothing");
        assert!(refused.what.contains("ends at a hole"), "{refused}");
        assert!(refused.ways.iter().any(|way| way.says.contains("over the hole")), "{refused:?}");
        assert_eq!(work, before);
    }
}

#[test]
fn a_line_over_many_areas_parts_each() {
    let mut work = accepted(3, 2);
    let (before, pieces) = (work.clone(), work.pieces.len());
    // Across the first row through the host, the island and the island in it.
    let along: Vec<Point> = (0..=60).map(|k| p(k * 1000 - 200, 9000 + 40 * (k % 3))).collect();
    let changes = edit(&mut work, Edit::Draw { along }).expect("it goes across");
    whole(&work);
    // The first and third cell, the host, the ring and the innermost: each is two now.
    assert_eq!(work.pieces.len(), pieces + 5);
    for (number, piece) in &before.pieces {
        assert_eq!(work.pieces[number].area, piece.area);
        let (was, is) = (area_mm2(&before, number.0), area_mm2(&work, number.0));
        assert!(is <= was + 0.01 && is >= was / 2.0 - 0.1, "the larger part keeps {number}");
    }
    assert!(changes.pieces.len() >= 10);
    // Smooth through every border: the line is level.
    let drawn = work.pattern.borders.values().filter(|b| b.from == Origin::Drawn);
    let off = drawn.flat_map(|b| line(&b.curve)).map(|p| (p.y - 9040).abs()).max();
    assert!(off.is_some_and(|off| off < 120), "{off:?}");
}

#[test]
fn a_line_closes_against_borders() {
    let mut work = accepted(3, 2);
    let pieces = work.pieces.len();
    // It begins 2 mm short of the left edge and ends 2 mm beyond the border to the second cell.
    edit(&mut work, Edit::Draw { along: points(&[(2000, 15_000), (9000, 15_500), (CELL + 2000, 15_000)]) })
        .expect("it closes");
    whole(&work);
    assert_eq!(work.pieces.len(), pieces + 1);
    for (along, says) in [
        (points(&[(5000, 3000), (12_000, 4000)]), "ends inside"),
        (points(&[(5000, -3000), (5000, 8000)]), "ends inside"),
        (points(&[(1, 1)]), "no line"),
        (points(&[(-5000, -3000), (-5000, 8000)]), "crosses no area"),
    ] {
        let what = refusal(&mut work, Edit::Draw { along: along.clone() });
        assert!(what.contains(says), "{along:?}: {what}");
    }
}

/// The first cell is ground: a line from its middle over the second goes from the edge of the wood on, and the ground stays whole.
#[test]
fn a_line_that_is_begun_on_the_ground_is_trimmed_at_the_wood() {
    let mut work = accepted(3, 2);
    let (ground, pieces) = (area_of(&work, 1), work.pieces.len());
    edit(&mut work, Edit::Drop(ground)).expect("it can be ground");
    assert_eq!(work.pattern.areas[&ground].becomes, Becomes::Ground);
    let (before, grounds) = (work.clone(), |work: &Work| {
        work.pattern.areas.values().filter(|area| area.becomes == Becomes::Ground).count()
    });
    // Above the island of the second cell, to its right border.
    let along = points(&[(6000, 2000), (CELL + 3000, 2100), (2 * CELL, 2000)]);
    edit(&mut work, Edit::Draw { along: along.clone() }).expect("it is trimmed");
    whole(&work);
    assert_eq!((work.pieces.len(), grounds(&work)), (pieces, grounds(&before)));
    let (line, back) = (points(&[(6000, 2000), (CELL + 8000, 2100)]), along.into_iter().rev().collect());
    let what = refusal(&mut work, Edit::Draw { along: line });
    assert!(what.contains("ends inside"), "its other end lies in the wood: {what}");
    let mut other = before;
    edit(&mut other, Edit::Draw { along: back }).expect("it is trimmed from the other end too");
    assert_eq!((other.pieces.len(), grounds(&other)), (pieces, grounds(&work)));
}

#[test]
fn a_closed_line_over_a_junction_cuts_a_piece_from_each() {
    let mut work = accepted(3, 2);
    let pieces = work.pieces.len();
    let around = |k: i32| {
        let angle = f64::from(k) * std::f64::consts::TAU / 48.0 + 0.3;
        p(CELL + (4000.0 * libm::cos(angle)) as i32, CELL + (4000.0 * libm::sin(angle)) as i32)
    };
    edit(&mut work, Edit::Draw { along: (0..=48).map(around).collect() }).expect("it goes round");
    whole(&work);
    assert_eq!(work.pieces.len(), pieces + 4);
}

#[test]
fn a_drawn_stroke_is_smooth_and_short_of_cubics() {
    let mut work = accepted(3, 2);
    // A slow wave of 10 mm drawn by a trembling hand: 0.1 mm, every 0.3 mm.
    let wave = |y: f64| 10_000.0 + 1500.0 * libm::sin(y / 20_000.0 * std::f64::consts::TAU);
    let tremble = |k: i32| [70.0, -90.0, 40.0, -60.0, 100.0][k.rem_euclid(5) as usize];
    let along = (-5..=72).map(|k| p((wave(f64::from(k) * 300.0) + tremble(k)) as i32, k * 300)).collect();
    let area = area_of(&work, 1);
    edit(&mut work, Edit::Split { area, along }).expect("it goes across");
    whole(&work);
    let drawn = work.pattern.borders.values().find(|b| b.from == Origin::Drawn).expect("a drawn border");
    assert!(drawn.curve.len() <= 4, "{} cubics", drawn.curve.len());
    let inner = line(&drawn.curve).into_iter().filter(|p| (2000..18_000).contains(&p.y));
    let worst = inner.map(|p| (f64::from(p.x) - wave(f64::from(p.y))).abs()).fold(0.0, f64::max);
    assert!(worst < 110.0, "{worst} µm from the wave");
}

#[test]
fn tools_are_refused_with_the_place() {
    let mut work = accepted(3, 2);
    let pull = |at: Point, to: Point| Edit::Reshape { at, to, width: Um(6000) };
    for (this, says) in [
        (pull(p(CELL, 10_000), p(CELL + 12_000, 10_000)), "come upon another"),
        (pull(p(10_000, CELL), p(10_000, CELL * 3)), "panel"),
        (pull(p(10_000, 10_000), p(12_000, 10_000)), "No border"),
        (Edit::Reshape { at: p(CELL - 4000, 10_000), to: p(CELL, 10_000), width: Um(3000) }, "No border"),
        (Edit::Junction { at: p(10_000, 10_000), to: p(9000, 9000), width: Um(5000) }, "No junction"),
        (Edit::Junction { at: p(CELL, CELL), to: p(CELL + 9000, CELL - 14_000), width: Um(5000) }, "upon"),
    ] {
        let before = work.clone();
        let refused = edit(&mut work, this.clone()).expect_err("it cannot be");
        assert!(refused.what.contains(says), "{this:?}: {}", refused.what);
        assert!(refused.spot.at.is_some() && !refused.ways.is_empty(), "{this:?}");
        assert_eq!(work, before);
    }
    assert!(
        refusal(&mut work, Edit::Reshape { at: p(CELL, 9000), to: p(CELL, 9100), width: Um(10) }).contains("brush")
    );
}

#[test]
fn an_island_is_not_jumped_over() {
    let mut work = accepted(3, 2);
    // The right border of the host pulled over the island without touching it anywhere.
    let jump = Edit::Reshape { at: p(2 * CELL, 10_000), to: p(CELL + 1000, 10_000), width: Um(200_000) };
    let before = work.clone();
    let refused = edit(&mut work, jump).expect_err("it cannot be");
    assert!(refused.spot.at.is_some(), "{refused}");
    assert_eq!(work, before);
}

#[test]
fn tools_leave_what_is_cut() {
    let mut work = accepted(3, 2);
    let cut = Fact::Became { piece: Number(1), state: State::Cut, on: Date(2025, 3, 1), height: None };
    crate::apply(&mut work, &Any::Bench(bench::Edit::Log(cut))).expect("it can be logged");
    for this in [
        Edit::Reshape { at: p(CELL, 9000), to: p(CELL + 1000, 9000), width: Um(5000) },
        Edit::Smooth { along: vec![p(CELL, 9000)], by: Um(5000) },
        Edit::Straighten { along: vec![p(CELL, 9000)] },
        Edit::Junction { at: p(CELL, CELL), to: p(CELL + 500, CELL), width: Um(5000) },
        Edit::Draw { along: points(&[(-500, 9000), (CELL * 2 + 500, 9000)]) },
    ] {
        assert!(refusal(&mut work, this).contains("is cut"));
    }
}

#[test]
fn shadows_and_ground_can_be_drawn_in() {
    let mut work = accepted(3, 2);
    let area = area_of(&work, 1);
    edit(&mut work, Edit::Open(area)).expect("it can be opened");
    edit(&mut work, Edit::Draw { along: points(&[(-500, 9000), (CELL + 500, 9000)]) }).expect("it goes across");
    whole(&work);
    let shadows: BTreeSet<AreaId> =
        work.pattern.areas.iter().filter(|(_, a)| a.becomes == Becomes::Shadow).map(|(id, _)| *id).collect();
    assert_eq!(shadows.len(), 2);
    assert!(work.pattern.borders.values().any(|b| b.left.area().is_some_and(|a| shadows.contains(&a))
        && matches!(b.right, Side::Area(a) if shadows.contains(&a))));
}

/// Three cells side by side: their upper sides, over two junctions, are one line again after one junction was pulled aside.
#[test]
fn a_stroke_over_junctions_straightens_all_that_it_follows() {
    let mut work = accepted(3, 2);
    let jog = Edit::Junction { at: p(CELL, CELL), to: p(CELL + 300, CELL + 1800), width: Um(6000) };
    edit(&mut work, jog).expect("there is room");
    let bent = work.clone();
    let along = points(&[(2000, CELL + 200), (CELL, CELL + 900), (2 * CELL, CELL), (3 * CELL - 2000, CELL - 100)]);
    let changes = edit(&mut work, Edit::Straighten { along: along.clone() }).expect("three borders in a row");
    whole(&work);
    // The three of the row and the four that meet in its two inner junctions.
    assert_eq!(changes.borders.len(), 7);
    let near = |work: &Work, y: i32| {
        let lines = work.pattern.borders.values().filter(|b| b.from != Origin::Edge).map(|b| line(&b.curve));
        let row = lines.filter(|l| l.iter().all(|p| (p.y - y).abs() < 2500));
        row.flatten().filter(|p| (2500..3 * CELL - 2500).contains(&p.x)).map(|p| (p.y - y).abs()).max()
    };
    assert!(near(&bent, CELL) > Some(1500));
    let off = near(&work, CELL).expect("the row is there");
    assert!(off <= 250, "within what its two ends are apart: {off}");
    let turns = |work: &Work| {
        work.pattern.junctions.values().filter(|j| (j.y - CELL).abs() > 250 && (j.y - CELL).abs() < 5000).count()
    };
    assert_eq!((turns(&bent), turns(&work)), (1, 0));
    // Smoothed by the same stroke the jog sinks, and nothing breaks.
    let mut work = bent;
    edit(&mut work, Edit::Smooth { along, by: Um(40_000) }).expect("three borders in a row");
    whole(&work);
    assert!(near(&work, CELL) < Some(1000), "{:?}", near(&work, CELL));
}

/// A line that ends a little beyond a junction ends in it; one that ends in the middle of a side does not.
#[test]
fn a_line_that_ends_beside_a_junction_ends_in_it() {
    for over in [-1200, -400, 400, 900, 1400] {
        let mut work = accepted(2, 2);
        let before = work.pattern.areas.len();
        let junctions = work.pattern.junctions.len();
        let along = points(&[(2000, 9000), (CELL + over, CELL + over / 2)]);
        edit(&mut work, Edit::Draw { along }).expect("it parts the first cell");
        whole(&work);
        assert_eq!((work.pattern.areas.len(), work.pattern.junctions.len()), (before + 1, junctions + 1), "{over}");
    }
}

/// Strokes of a few micrometres over a border and a junction: each parts something or is refused, and nothing else.
#[test]
fn the_shortest_strokes_are_refused() {
    for (x, y) in [(CELL, CELL), (CELL, CELL / 2), (CELL / 2, CELL)] {
        for step in 0..400 {
            let mut work = accepted(2, 2);
            let [dx, dy, ux, uy] = [7, 11, 13, 17].map(|prime| step * prime % 9 - 4);
            let along = points(&[(x + dx, y + dy), (x + dx + ux, y + dy + uy)]);
            let area = *work.pattern.areas.keys().next().expect("it has areas");
            let _ = edit(&mut work, Edit::Split { area, along: along.clone() });
            let _ = edit(&mut work, Edit::Draw { along });
            let (x, y) = (CELL / 3, CELL / 3);
            let loop_of =
                |side: i32| points(&[(x, y), (x + side, y + ux), (x + side, y + side), (x + uy, y + side), (x, y)]);
            let _ = edit(&mut work, Edit::Split { area, along: loop_of(dx) });
            whole(&work);
        }
    }
}
