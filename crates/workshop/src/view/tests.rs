//! Small reliefs whose look is known beforehand.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use measure::colour::{Lab, delta_e_2000};
use measure::length::Um;
use measure::plane::{Cubic, Point};

use super::edges::{EASE_MM, KERF_MM};
use super::expose::{Shot, expose};
use super::*;
use crate::picture::Raster;
use crate::work::{
    Area, AreaId, Axis, Becomes, Board, BoardId, Border, BorderId, Chosen, Ends, Frame, JunctionId, Lie, LineBecomes,
    LooseLine, Number, Origin, Photograph, Piece, PieceValues, Side, Size, State, WoodId,
};

const HEIGHT_UM: i32 = 120_000;

/// Upright strips side by side over a panel of 200 × 120 mm, a wood and a height (mm) each.
fn strips(of: &[(Option<&str>, Option<f64>)]) -> Work {
    leaning(of, 0)
}

/// The same with the borders between them leaning to the right by so much from top to bottom, µm.
fn leaning(of: &[(Option<&str>, Option<f64>)], lean: i32) -> Work {
    let mut work = Work { panel: Size { width: Um(200_000), height: Um(HEIGHT_UM) }, ..Work::default() };
    work.woods = crate::wood::table();
    let count = of.len() as i32;
    let x = |at: i32| 200_000 * at / count;
    for at in 0..=count {
        work.pattern.junctions.insert(JunctionId(at as u32), Point::new(x(at), 0));
        let lean = if at == 0 || at == count { 0 } else { lean };
        work.pattern.junctions.insert(JunctionId(100 + at as u32), Point::new(x(at) + lean, HEIGHT_UM));
    }
    for (at, (wood, height)) in of.iter().enumerate() {
        let (id, at) = (AreaId(at as u32 + 1), at as i32);
        let middle = Point::new((x(at) + x(at + 1)) / 2, HEIGHT_UM / 2);
        work.pattern.areas.insert(id, Area { becomes: Becomes::Piece(Number(id.0)), at: middle });
        let values = PieceValues {
            wood: wood.map(|wood| Chosen::hand(WoodId(wood.into()))),
            grain: Some(Chosen::hand(Axis::degrees(20.0 + 50.0 * f64::from(at)))),
            height: height.map(|mm| Chosen::hand(Um::mm(mm))),
            ..PieceValues::default()
        };
        work.pieces.insert(Number(id.0), Piece { area: id, values, state: State::Planned });
        border(&mut work, (at as u32, at as u32 + 1), (Side::Beyond, Side::Area(id)));
        border(&mut work, (100 + at as u32, 101 + at as u32), (Side::Area(id), Side::Beyond));
    }
    for at in 0..=count {
        // Walked downwards, the left hand is to the east.
        let side = |id: i32| if (1..=count).contains(&id) { Side::Area(AreaId(id as u32)) } else { Side::Beyond };
        border(&mut work, (at as u32, 100 + at as u32), (side(at + 1), side(at)));
    }
    work
}

fn border(work: &mut Work, (from, to): (u32, u32), (left, right): (Side, Side)) {
    let [from, to] = [JunctionId(from), JunctionId(to)];
    let (a, b) = (work.pattern.junctions[&from], work.pattern.junctions[&to]);
    let along = |share: i32| Point::new(a.x + (b.x - a.x) / 3 * share, a.y + (b.y - a.y) / 3 * share);
    let edge = left == Side::Beyond || right == Side::Beyond;
    let border = Border {
        ends: Ends::Between(from, to),
        curve: vec![Cubic([a, along(1), along(2), b])],
        left,
        right,
        gap: Um(0),
        ink: Um(0),
        from: if edge { Origin::Edge } else { Origin::Traced },
    };
    let id = BorderId(work.pattern.borders.len() as u32 + 1);
    work.pattern.borders.insert(id, border);
}

fn view(work: &Work, width: u32) -> Lit {
    render(work, &mut Derived::default(), Pose { width, ..Pose::default() }, Watch::silent()).expect("nobody stops it")
}

fn exposed(work: &Work, pose: &Pose) -> Shot {
    expose(work, &mut Derived::default(), pose, Watch::silent()).expect("nobody stops it")
}

/// The mean colour, in linear light, of the pixels from `left` to `right` (shares of the width), away from the edges.
fn mean(lit: &Lit, left: f64, right: f64) -> Lab {
    let (w, h) = (lit.width as usize, lit.height as usize);
    let columns = (w as f64 * left) as usize..(w as f64 * right) as usize;
    let mut sum = [0.0; 3];
    let mut count = 0.0;
    for row in h / 10..h - h / 10 {
        for column in columns.clone() {
            let pixel = &lit.pixels[(row * w + column) * 3..][..3];
            sum.iter_mut().zip(pixel).for_each(|(sum, byte)| *sum += measure::colour::from_byte(*byte));
            count += 1.0;
        }
    }
    Lab::from_linear(sum.map(|sum| sum / count))
}

#[test]
fn a_flat_lit_face_keeps_the_finished_colour_of_its_wood() {
    for key in ["holly-american", "oak-red", "padauk-african", "walnut-black", "wenge", "ebony-gaboon", "yellowheart"] {
        let work = strips(&[(Some(key), Some(20.0))]);
        let wood = &work.woods[&WoodId(key.into())];
        let finished = crate::wood::finished(wood.colour.value, &crate::wood::finishes()["wax"]);
        let seen = mean(&view(&work, 500), 0.05, 0.95);
        let off = delta_e_2000(finished, seen);
        assert!(off < 1.0, "{key}: {off:.2}, {finished:?} seen as {seen:?}");
    }
}

/// The ray that touches the rounded edge of a step of 10 mm ends at a known distance; the lamp is half hidden there.
#[test]
fn a_step_casts_a_shade_of_known_length() {
    let work = strips(&[(None, Some(30.0)), (None, Some(20.0))]);
    let shot = exposed(&work, &Pose { width: 400, ..Pose::default() });
    let (grid, lamp) = (shot.grid, &shot.seen);
    let row = &lamp[grid.down as usize / 2 * grid.across as usize..][..grid.across as usize];
    let beyond = grid.across as usize / 2 + 8;
    let half = row[beyond..].iter().position(|seen| *seen > 0.5).expect("the shade ends") + beyond;
    let found = grid.place(half, 0)[0] - 100.0;
    // In the plane square to the step, whose lamp stands steeper.
    let slope = shot.lamp.toward[2] / -shot.lamp.toward[0];
    let sine = slope / (1.0 + slope * slope).sqrt();
    let expected = (10.0 - EASE_MM) / slope + EASE_MM / sine - EASE_MM - KERF_MM / 2.0;
    assert!((found - expected).abs() <= 0.5, "found {found}, expected {expected}");
}

#[test]
fn one_thread_and_two_make_the_same_picture() {
    let work = strips(&[(Some("oak-red"), Some(30.0)), (Some("walnut-black"), Some(20.0)), (None, None)]);
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads can be had");
        pool.install(|| view(&work, 300))
    };
    assert_eq!(with(1), with(2));
}

#[test]
fn what_is_undecided_shows_plain() {
    let lit = view(&strips(&[(None, None), (Some("oak-red"), None)]), 300);
    let w = lit.width as usize;
    let row = &lit.pixels[lit.height as usize / 2 * w * 3..][..w * 3];
    let spread = |from: usize, to: usize| {
        let reds = (from..to).map(|column| row[column * 3]);
        reds.clone().max().expect("columns") - reds.min().expect("columns")
    };
    assert!(spread(w / 8, w * 3 / 8) <= 1, "plain, without a mark");
    assert!(spread(w * 5 / 8, w * 7 / 8) > 8, "oak shows its rings");
}

#[test]
fn pieces_of_one_wood_part_by_a_dark_line_and_by_their_grain() {
    let lit = view(&strips(&[(Some("walnut-black"), Some(20.0)), (Some("walnut-black"), Some(20.0))]), 800);
    let (left, line, right) = (mean(&lit, 0.3, 0.45), mean(&lit, 0.499, 0.501), mean(&lit, 0.55, 0.7));
    assert!(line.l < left.l - 8.0 && line.l < right.l - 8.0, "{} {} {}", left.l, line.l, right.l);
}

#[test]
fn a_stopped_view_is_none() {
    let stop = AtomicBool::new(true);
    let tell = |_: &str, _: f64| {};
    let work = strips(&[(None, None)]);
    assert!(
        render(&work, &mut Derived::default(), Pose { width: 100, ..Pose::default() }, Watch::new(&tell, &stop))
            .is_none()
    );
}

/// The white furnace: in an even light a white relief disappears, edges, gaps and all.
#[test]
fn white_pieces_in_even_light_show_nothing() {
    let work = strips(&[(None, Some(30.0)), (None, Some(12.0)), (None, Some(45.0))]);
    let pose = Pose { width: 300, light: Light { share: 0, ..Light::default() }, ..Pose::default() };
    let mut shot = exposed(&work, &pose);
    shot.whiten();
    for row in (0..shot.grid.down as usize).step_by(17) {
        for column in 0..shot.grid.across as usize {
            let light = shot.sent((column, row)).light;
            assert!(light.iter().all(|light| (light - 1.0).abs() < 0.01), "{column} {row}: {light:?}");
        }
    }
}

/// Tops are where the plan has them, to 0.05 mm, everywhere but on the eased edges.
#[test]
fn depth_is_the_plan() {
    let planned = [12.0, 30.5, 21.25, 44.0];
    let work = strips(&planned.map(|mm| (Some("oak-red"), Some(mm))));
    let depth = depth(&work, &mut Derived::default(), Pose { width: 400, ..Pose::default() }, Watch::silent());
    let depth = depth.expect("nobody stops it");
    for (at, planned) in planned.iter().enumerate() {
        let columns = at as u32 * 100 + 6..at as u32 * 100 + 94;
        for (column, row) in columns.flat_map(|column| (6..234).step_by(9).map(move |row| (column, row))) {
            let found = depth.values[(row * depth.width + column) as usize];
            assert!((f64::from(found) - planned).abs() <= 0.05, "{column} {row}: {found} {planned}");
        }
    }
}

#[test]
fn a_lamp_from_the_right_lights_what_faces_right() {
    let work = strips(&[(None, Some(40.0)), (None, Some(20.0))]);
    let lit = |from| {
        let light = Light { from, ..Light::default() };
        let pose = Pose { width: 300, light, ..Pose::default() };
        let lit = render(&work, &mut Derived::default(), pose, Watch::silent()).expect("nobody stops it");
        mean(&lit, 0.51, 0.53).l
    };
    assert!(lit(90) > lit(270) + 10.0);
}

#[test]
fn greys_have_no_colour_and_distance_takes_the_grain() {
    let work = strips(&[(Some("zebrawood"), Some(20.0)), (Some("padauk-african"), Some(20.0))]);
    let take = |pose| render(&work, &mut Derived::default(), pose, Watch::silent()).expect("nobody stops it");
    let greys = take(Pose { width: 300, show: Show::Greys, ..Pose::default() });
    assert!(greys.pixels.chunks(3).all(|pixel| pixel[0] == pixel[1] && pixel[1] == pixel[2]));
    let rough = |lit: &Lit| {
        let row = &lit.pixels[90 * 900..91 * 900];
        row.windows(6).map(|pair| u32::from(pair[0].abs_diff(pair[3]))).sum::<u32>()
    };
    let (near, far) = (
        take(Pose { width: 300, ..Pose::default() }),
        take(Pose { width: 300, away_mm: Some(8000), ..Pose::default() }),
    );
    assert!(rough(&far) * 2 < rough(&near), "{} {}", rough(&far), rough(&near));
}

/// A piece laid with a quarter turn on a board photographed in four colours shows each where it comes to lie.
#[test]
fn a_piece_on_a_photographed_board_shows_that_part_of_it() {
    let mut work = strips(&[(Some("walnut-black"), Some(20.0))]);
    let side = Um::mm(300.0);
    let photograph = Some(Photograph { hash: "four".into(), length: side, width: side });
    let board = Board::rectangle("four", WoodId("walnut-black".into()), (side, side, Um::mm(20.0)));
    work.boards.insert(BoardId(1), Board { photograph, ..board });
    let lie = Lie { board: BoardId(1), turn: 9_000, at: Point::new(150_000, 150_000) };
    work.layout.insert(Number(1), Chosen::hand(lie));
    let colours = [[90, 50, 30], [160, 120, 70], [60, 70, 40], [200, 170, 130]];
    let pixel = |at: u32| {
        let [r, g, b] = colours[usize::from(at % 60 >= 30) + 2 * usize::from(at / 60 >= 30)];
        [r, g, b, 255]
    };
    let raster = Raster { width: 60, height: 60, pixels: (0..3600).map(pixel).collect() };
    let pose = Pose { width: 200, surface: Surface::Raw, ..Pose::default() };
    let mut derived = Derived::default();
    let bare = exposed(&work, &pose).bare((200, 120));
    derived.set_photographs([("four".to_owned(), Arc::new(raster))].into());
    let shot = expose(&work, &mut derived, &pose, Watch::silent()).expect("nobody stops it");
    // Two samples a mm. A quarter turn against the clock brings what lies right of the middle above it.
    for ([right, down], colour) in [([50, -20], 0), ([50, 20], 1), ([-50, -20], 2), ([-50, 20], 3)] {
        let at = ((2 * (100 + right)) as usize, (2 * (60 + down)) as usize);
        let shown = shot.bare(at);
        let is = colours[colour].map(|byte| measure::colour::from_byte(byte) as f32);
        assert!((0..3).all(|c| (shown[c] - is[c]).abs() < 0.005), "{right}, {down}: {shown:?} for {is:?}");
        assert_ne!(shown, bare);
    }
}

/// A frame lies about the panel and over its edge, as deep as it is said to be; what it is not is where it was.
#[test]
fn a_frame_lies_over_the_edge_of_the_panel() {
    let mut work = strips(&[(Some("holly-american"), Some(20.0))]);
    let alone = view(&work, 200);
    work.choices.frame = Some(Frame { wood: WoodId("wenge".into()), width: Um(25_000), lip: Um(5_000) });
    work.choices.frame_depth = Some(Um(32_000));
    let bare = Pose { width: 240, wall: false, ..Pose::default() };
    let framed = render(&work, &mut Derived::default(), bare, Watch::silent()).expect("nobody stops it");
    assert_eq!((framed.width, framed.height), (alone.width + 40, alone.height + 40), "20 mm beyond on each side");
    let shot = exposed(&work, &bare);
    let at = |mm: f32| shot.field.heights.mm[160 * 480 + ((mm + 20.0) / shot.grid.step) as usize];
    assert_eq!([-12.0, 3.0, 7.5, 100.0].map(at), [32.0, 32.0, 20.0, 20.0], "the lip ends 5 mm within");
    let wenge = work.woods[&WoodId("wenge".into())].clone();
    let looks = backdrop::look((&work, &wenge), Surface::Finished, 0);
    let left = mean(&framed, 0.02, 0.08);
    assert!(delta_e_2000(looks, left) < 2.0, "{looks:?} seen as {left:?}");
    let depth = depth(&work, &mut Derived::default(), Pose { width: 200, ..Pose::default() }, Watch::silent());
    assert_eq!(depth.expect("nobody stops it").width, 200, "numbers are of the panel");
    let bytes = glb(&work, &mut Derived::default(), Pose { width: 240, ..Pose::default() }, Watch::silent());
    let told = String::from_utf8_lossy(&bytes.expect("nobody stops it")).into_owned();
    assert!(frame::NAMES.iter().all(|name| told.contains(name)));
}

/// The frame throws its shade on the wall away from the lamp, as far as it is deep over the lamp's slope, and none towards it.
#[test]
fn a_frame_shades_the_wall() {
    let mut work = strips(&[(Some("holly-american"), Some(20.0))]);
    work.choices.frame = Some(Frame { wood: WoodId("wenge".into()), width: Um(25_000), lip: Um(5_000) });
    work.choices.frame_depth = Some(Um(16_000));
    let light = Light { from: 270, ..Light::default() };
    let shot = exposed(&work, &Pose { width: 664, light, ..Pose::default() });
    let across = shot.grid.across as usize;
    let seen = |x: f32| shot.seen[shot.grid.at([x, 60.0]).expect("on the grid")];
    assert_eq!(
        (across, shot.field.heights.mm[0]),
        (1328, -frame::BEHIND_MM),
        "66 mm beyond on each side, the wall behind"
    );
    assert!(seen(-30.0) > 0.99 && seen(223.0) < 0.01, "{} {}", seen(-30.0), seen(223.0));
    let half = (220..259).find(|x| seen(*x as f32) > 0.5).expect("the shade ends");
    let slope = shot.lamp.slope;
    let expected =
        220.0 + (16.0 + frame::BEHIND_MM - EASE_MM) / slope + EASE_MM * ((1.0 + slope * slope).sqrt() / slope - 1.0);
    assert!((half as f32 - expected).abs() <= 1.5, "{half} {expected}");
}

/// A thin joint that leans is an even line, however few pixels there are: what it takes from each row's light is the same.
#[test]
fn a_thin_joint_is_an_even_line_at_any_size() {
    let work = leaning(&[(None, Some(20.0)), (None, Some(20.0))], 7_000);
    for width in [160, 300, 520] {
        let lit = view(&work, width);
        let (w, h) = (lit.width as usize, lit.height as usize);
        let light = |row: usize, column: usize| measure::colour::from_byte(lit.pixels[(row * w + column) * 3 + 1]);
        let taken = |row: usize| {
            let open = light(row, w / 4);
            (w / 2 - w / 20..w / 2 + w / 12).map(|column| 1.0 - light(row, column) / open).sum::<f64>()
        };
        let rows: Vec<f64> = (h / 5..h - h / 5).map(taken).collect();
        let mean = rows.iter().sum::<f64>() / rows.len() as f64;
        let worst = rows.iter().map(|taken| (taken / mean - 1.0).abs()).fold(0.0, f64::max);
        println!("{width}: {mean:.3} pixels dark, worst row off by {worst:.3}");
        assert!(mean > 0.3 && worst < 0.25, "{width}: {mean} {worst}");
    }
}

/// A wall that leans in the shade is lit evenly along its run, though it stands in whole samples.
#[test]
fn a_leaning_wall_shows_no_bars() {
    let work = leaning(&[(None, Some(32.0)), (None, Some(12.0))], 9_000);
    let shot = exposed(&work, &Pose { width: 400, aside: 25, ..Pose::default() });
    let across = shot.grid.across as usize;
    let lit = |row: usize| {
        let line = &shot.field.heights.mm[row * across..][..across];
        let column = (across / 4..across).rfind(|x| line[*x] > 25.0).expect("the higher strip ends");
        shot.wall((column, row), (22.0, 1)).light[1]
    };
    let rows: Vec<f32> = (shot.grid.down as usize / 4..shot.grid.down as usize * 3 / 4).map(lit).collect();
    let mean = rows.iter().sum::<f32>() / rows.len() as f32;
    let jump = rows.windows(2).map(|pair| (pair[1] - pair[0]).abs() / mean).fold(0.0, f32::max);
    println!("mean {mean}, greatest jump {jump}");
    assert!(mean > 0.02 && jump < 0.03, "{mean} {jump}");
}

/// What is dropped shows the board behind it, level with the backer, in the light of its own wood; in 3D it is a sheet of that wood.
#[test]
fn the_ground_shows_its_veneer() {
    let mut work = strips(&[(Some("holly-american"), Some(20.0)), (None, None)]);
    work.pattern.areas.get_mut(&AreaId(2)).expect("two strips").becomes = Becomes::Ground;
    let plain = mean(&view(&work, 300), 0.75, 0.95);
    work.choices.ground = Some(WoodId("maple-hard".into()));
    let lit = view(&work, 300);
    let maple = backdrop::look((&work, &work.woods[&WoodId("maple-hard".into())].clone()), Surface::Finished, 0);
    let seen = mean(&lit, 0.75, 0.95);
    assert!(delta_e_2000(maple, seen) < 2.0, "{maple:?} seen as {seen:?}");
    assert!(delta_e_2000(plain, seen) > 3.0, "without a veneer the wall shows: {plain:?}");
    let shot = exposed(&work, &Pose { width: 300, ..Pose::default() });
    let level = shot.field.heights.mm[shot.grid.down as usize / 2 * shot.grid.across as usize + 500];
    assert_eq!(level, 0.0);
    let row = lit.height as usize / 2 * 900;
    let greens = (250..290).map(|column| lit.pixels[row + column * 3 + 1]);
    assert!(greens.clone().max() > greens.min(), "maple has its grain");
    let bytes = glb(&work, &mut Derived::default(), Pose { width: 240, ..Pose::default() }, Watch::silent());
    let told = String::from_utf8_lossy(&bytes.expect("nobody stops it")).into_owned();
    assert!(told.contains("ground 2") && told.contains("maple-hard"), "the sheet has a name and a wood");
}

/// A body of a GLB by its name: the triangles of its face, mm on the page, and the texture of faces.
fn face_in(bytes: &[u8], name: &str) -> (Vec<[[f32; 2]; 3]>, image::RgbImage) {
    let word = |at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().expect("four bytes")) as usize;
    let told: serde_json::Value = serde_json::from_slice(&bytes[20..20 + word(12)]).expect("the first chunk is JSON");
    let data = &bytes[28 + word(12)..];
    let number = |value: &serde_json::Value| value.as_u64().expect("a number") as usize;
    let view = |at: &serde_json::Value| number(&told["bufferViews"][number(at)]["byteOffset"]);
    let meshes = told["meshes"].as_array().expect("a list");
    let face = &meshes.iter().find(|mesh| mesh["name"] == name).expect("a mesh of that name")["primitives"][0];
    let of = |at: &serde_json::Value| {
        let accessor = &told["accessors"][number(at)];
        (view(&accessor["bufferView"]) + number(&accessor["byteOffset"]), number(&accessor["count"]))
    };
    let (places, (indices, count)) = (of(&face["attributes"]["POSITION"]).0, of(&face["indices"]));
    let corner = |at: usize| {
        let point = places + 12 * usize::from(u16::from_le_bytes([data[indices + 2 * at], data[indices + 2 * at + 1]]));
        let metres = |at: usize| f32::from_le_bytes(data[at..at + 4].try_into().expect("four bytes"));
        [100.0 + 1000.0 * metres(point), 60.0 - 1000.0 * metres(point + 4)]
    };
    let texture = image::load_from_memory(&data[view(&told["images"][0]["bufferView"])..]).expect("a JPEG");
    ((0..count / 3).map(|at| [0, 1, 2].map(|k| corner(3 * at + k))).collect(), texture.to_rgb8())
}

/// A slot goes through the piece to the backer and a burnt line lies dark on its face, in the lit view and in 3D.
#[test]
fn slots_and_burnt_lines_are_seen() {
    let mut work = strips(&[(Some("holly-american"), Some(20.0))]);
    work.choices.backer = WoodId("wenge".into());
    let line = |x: i32, becomes| LooseLine {
        along: vec![Point::new(x, 50_000), Point::new(x, HEIGHT_UM)],
        both: false,
        hangs: false,
        writing: false,
        width: Um(2_000),
        becomes,
    };
    work.loose_lines =
        vec![line(60_000, LineBecomes::Slot), line(140_000, LineBecomes::Burnt), line(100_000, LineBecomes::LeftOut)];
    let lit = view(&work, 400);
    let light = |x: usize, y: usize| measure::colour::from_byte(lit.pixels[(y * 400 + x) * 3 + 1]);
    let open = light(200, 180);
    assert!([120, 280].into_iter().all(|x| light(x, 180) < 0.25 * open && light(x, 60) > 0.5 * open));
    let bytes = glb(&work, &mut Derived::default(), Pose { width: 400, ..Pose::default() }, Watch::silent());
    let (triangles, texture) = face_in(&bytes.expect("nobody stops it"), "piece 1");
    let turn = |a: [f32; 2], b: [f32; 2], c: [f32; 2]| (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    let covered = |at: [f32; 2]| {
        let inside = |[a, b, c]: &[[f32; 2]; 3]| {
            let turns = [turn(*a, *b, at), turn(*b, *c, at), turn(*c, *a, at)];
            turns.iter().all(|turn| *turn >= 0.0) || turns.iter().all(|turn| *turn <= 0.0)
        };
        triangles.iter().any(inside)
    };
    assert_eq!([59.1, 60.0, 60.9].map(|x| covered([x, 80.0])), [false; 3], "the slot is 2 mm wide");
    assert!([58.9, 61.1, 100.0, 140.0].iter().all(|x| covered([*x, 80.0])) && covered([60.0, 48.0]));
    let shade = |x: f32| texture.get_pixel((2.0 * x) as u32, 160)[1];
    assert!(shade(140.0) < 80 && shade(100.0) > 150, "{} {}", shade(140.0), shade(100.0));
}
