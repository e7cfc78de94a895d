//! Drawings with known areas, drawings that cannot be, and curves that must come back as they were drawn.

use std::fmt::Write;

use measure::Dice;
use measure::length::Um;
use measure::plane::{Cubic, Point, inside_rings, line};

use super::{Own, is_drawing, own_from_svg};
use crate::pattern::{outlines, prove};
use crate::work::edit::{self, Edit};
use crate::work::{Ends, Finding, Kind, LooseLine, Origin, Size, Work};

fn page(inner: &str) -> String {
    format!(r#"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm" viewBox="0 0 100 80">{inner}</svg>"#)
}

fn read(inner: &str) -> Own {
    let own = own_from_svg(page(inner).as_bytes(), None).expect("a drawing that can be");
    assert_eq!(prove(&own.draft, own.panel), []);
    own
}

fn areas(own: &Own) -> Vec<f64> {
    let mut found: Vec<f64> = outlines(&own.draft, own.panel).areas.values().map(|outline| outline.area_mm2).collect();
    found.sort_by(f64::total_cmp);
    found
}

fn near(found: &[f64], wanted: &[f64], off: f64) {
    assert!(
        found.len() == wanted.len() && found.iter().zip(wanted).all(|(a, b)| (a - b).abs() <= off),
        "{found:?} {wanted:?}"
    );
}

#[test]
fn shapes_and_transforms_are_areas() {
    let own = read(
        r#"<title>No line</title><text x="10" y="10">12</text><script>alert(1)</script>
        <g transform="translate(20 20)"><rect x="-10" y="-10" width="20" height="20"/><circle r="5"/></g>
        <polygon points="60,10 80,10 80,30" transform="rotate(90 70 20)"/>
        <path d="M 0 60 L 100 60"/>"#,
    );
    let circle = std::f64::consts::PI * 25.0;
    near(&areas(&own), &[circle, 200.0, 400.0 - circle, 2000.0, 6000.0 - 600.0], 0.05);
    assert!(own.loose.is_empty());
    assert_eq!(own.panel, Size { width: measure::length::Um(100_000), height: measure::length::Um(80_000) });
}

#[test]
fn what_was_not_cut_comes_back_to_the_micrometre() {
    let mut text = String::new();
    let mut drawn: Vec<Cubic> = Vec::new();
    for k in 0..40 {
        let (x, y) = (8.0 + f64::from(k % 8) * 11.0, 8.0 + f64::from(k / 8) * 14.0);
        let at = |dx: f64, dy: f64| Point::new(((x + dx) * 1000.0).round() as i32, ((y + dy) * 1000.0).round() as i32);
        let points = [(0.0, 0.0), (1.337, 5.001), (4.2, 5.999), (5.0, 0.3), (4.001, -4.0), (0.5, -3.217)];
        let [a, b, c, d, e, f] = points.map(|(dx, dy)| at(dx, dy));
        drawn.extend([Cubic([a, b, c, d]), Cubic([d, e, f, a])]);
        let say = |p: Point| format!("{} {}", f64::from(p.x) / 1000.0, f64::from(p.y) / 1000.0);
        let _ = write!(
            text,
            r#"<path d="M{} C{} {} {} C{} {} {}Z"/>"#,
            say(a),
            say(b),
            say(c),
            say(d),
            say(e),
            say(f),
            say(a)
        );
    }
    let own = read(&text);
    assert_eq!(own.draft.areas.len(), 41);
    let kept: Vec<Cubic> =
        own.draft.borders.values().filter(|b| b.from == Origin::Drawn).flat_map(|b| b.curve.clone()).collect();
    assert!(drawn.iter().all(|cubic| kept.contains(cubic) || kept.contains(&cubic.reversed())));
    assert_eq!(kept.len(), drawn.len());
}

#[test]
fn lines_over_lines_and_small_gaps_make_one_pattern() {
    // A grid whose lines stop 0.2 mm short of the edge, one of them drawn twice a hair apart, and one that ends in the open.
    let own = read(
        r#"<path d="M 0.2 40 H 99.8 M 50 0.2 V 79.8 M 50.002 0.2 V 79.8 M 0 40.001 H 30"/><path d="M 70 60 L 80 70"/>"#,
    );
    // Either of a line drawn twice may stay: 2 µm along 40 mm and 1 µm along 30 mm are 0.11 mm².
    near(&areas(&own), &[2000.0, 2000.0, 2000.0, 2000.0], 0.111);
    let lines: Vec<&Vec<Point>> = own.loose.iter().map(|line| &line.along).collect();
    assert_eq!(lines, [&[Point::new(80_000, 70_000), Point::new(70_000, 60_000)]]);
}

#[test]
fn the_outline_of_a_stroke_is_its_centre_line() {
    // A bar across the page, a ring of 20 mm about its middle, and a bent one with round ends, each 0.8 mm wide.
    let own = read(
        r#"<path d="M 0 39.6 H 100 V 40.4 H 0 Z"/>
        <path d="M 70.4 40 A 20.4 20.4 0 0 1 29.6 40 A 20.4 20.4 0 0 1 70.4 40 Z M 69.6 40 A 19.6 19.6 0 0 0 30.4 40 A 19.6 19.6 0 0 0 69.6 40 Z"/>
        <path d="M 79.6 0 L 79.6 0 A 20.4 20.4 0 0 0 100 20.4 L 100 19.6 A 19.6 19.6 0 0 1 80.4 0 Z"/>"#,
    );
    let (disc, corner) = (std::f64::consts::PI * 400.0 / 2.0, std::f64::consts::PI * 400.0 / 4.0);
    near(&areas(&own), &[corner, disc, disc, 4000.0 - disc - corner, 4000.0 - disc], 2.5);
    // What is as wide as a piece stays one.
    let own = read(r#"<path d="M 10 30 H 90 V 34 H 10 Z"/>"#);
    near(&areas(&own), &[320.0, 7680.0], 0.01);
}

#[test]
fn loose_ends_are_found_until_a_line_takes_them_in() {
    let own = read(r#"<path d="M 50 0 V 80"/><path d="M 70 60 L 80 70"/>"#);
    let told = own.left_out().expect("a line ends in the open");
    assert!(told.ends_with(": 80 × 70; 70 × 60."), "both ends: {told}");
    let mut work = Work { panel: own.panel, ..Work::default() };
    crate::plan_drawn(&mut work, &own).expect("a drawing that can be");
    let loose = |work: &Work| -> Vec<Finding> {
        crate::pattern::findings(work, &outlines(&work.pattern, work.panel))
            .into_iter()
            .filter(|f| f.kind == Kind::LooseEnd)
            .collect()
    };
    let found = loose(&work);
    assert_eq!(
        found.iter().map(|f| f.spot.at).collect::<Vec<_>>(),
        [Some(Point::new(70_000, 60_000)), Some(Point::new(80_000, 70_000))]
    );
    assert!(found.iter().all(|f| f.spot.pieces.len() == 1), "each lies in a piece: {found:?}");
    let along = vec![
        Point::new(50_000, 40_000),
        Point::new(70_000, 60_000),
        Point::new(80_000, 70_000),
        Point::new(90_000, 80_000),
    ];
    crate::apply(&mut work, &Edit::Pattern(edit::pattern::Edit::Draw { along })).expect("a line from border to border");
    assert_eq!(loose(&work), []);
}

#[test]
fn tangent_circles_and_lines_part() {
    let own = read(r#"<circle cx="30" cy="40" r="20"/><circle cx="70" cy="40" r="20"/><path d="M 0 20 H 100"/>"#);
    assert!(own.draft.areas.len() >= 4);
    let whole: f64 = areas(&own).iter().sum();
    assert!((whole - 8000.0).abs() < 0.01, "{whole}");
}

#[test]
fn a_cut_curve_stays_on_its_place() {
    let own = read(r#"<circle cx="50" cy="40" r="30"/><path d="M 0 40 C 30 20 70 60 100 40"/>"#);
    assert_eq!(own.draft.areas.len(), 4);
    for border in own.draft.borders.values().filter(|b| b.from == Origin::Drawn) {
        // A circle of 30 mm is five arcs to 2.5 µm, half of it at most four parts; as chords it would be over sixty.
        assert!(border.curve.len() <= 4, "{} cubics", border.curve.len());
        for p in line(&border.curve) {
            let (x, y) = p.to_mm();
            let circle = (libm::hypot(x - 50.0, y - 40.0) - 30.0).abs();
            let t = x / 100.0;
            // x runs evenly but for the handles; the S stays within 6 mm of its level.
            assert!(circle < 0.02 || (y - 40.0).abs() < 6.0, "{x} {y} {t}");
        }
    }
}

/// What nobody sees is no saw line, however the drawing says so; what is seen by its fill or its stroke is one.
#[test]
fn unseen_shapes_are_no_lines() {
    let round = |attributes: &str| format!(r#"<circle cx="50" cy="40" r="20" {attributes}/>"#);
    let class = |rule: &str, name: &str| format!("<style>{rule}</style>{}", round(&format!(r#"class="{name}""#)));
    for unseen in [
        round(r#"visibility="hidden""#),
        round(r#"opacity="0""#),
        round(r#"display="none""#),
        round(r#"style="fill: none; stroke: none""#),
        round(r#"fill="none" stroke="black" stroke-opacity="0""#),
        round(r#"fill="none" stroke="black" stroke-width="0px""#),
        format!(r#"<g opacity="0.0">{}</g>"#, round(r#"stroke="black""#)),
        format!(r#"<g fill="none" stroke="none">{}</g>"#, round("")),
        class(".h{display:none}", "h"),
        round(r##"fill="none" stroke="#00000000""##),
        format!("<style>.k{{display:none !important}}</style>{}", round(r#"class="k" style="display:inline""#)),
        r#"<image visibility="hidden" href="a.png" width="5" height="5"/>"#.to_string(),
        class("circle.thin { fill: none; stroke-width: 0 }", "thin"),
    ] {
        let drawn = page(&format!(r#"<rect x="5" y="5" width="90" height="70"/>{unseen}"#));
        assert_eq!(own_from_svg(drawn.as_bytes(), None).expect("a frame").draft.areas.len(), 2, "{unseen}");
    }
    for seen in [
        round(""),
        round(r#"fill="none""#),
        round(r#"fill="none" stroke="none" style="stroke:#333""#),
        round(r#"stroke="none""#),
        round(r#"opacity="0.4" stroke-width="0.1""#),
        format!(r#"<g visibility="hidden">{}</g>"#, round(r#"visibility="visible""#)),
        class(".h{display:none}", "other"),
        format!(r#"<g stroke="black">{}</g>"#, round(r#"fill="none" stroke="none" style="stroke:inherit""#)),
    ] {
        let drawn = page(&format!(r#"<rect x="5" y="5" width="90" height="70"/>{seen}"#));
        assert_eq!(own_from_svg(drawn.as_bytes(), None).expect("a frame").draft.areas.len(), 3, "{seen}");
    }
}

#[test]
fn what_cannot_be_says_why() {
    let bare = |attributes: &str, inner: &str| {
        format!(r#"<svg xmlns="http://www.w3.org/2000/svg" {attributes}>{inner}</svg>"#)
    };
    let million = "<g/>".repeat(1_000_000);
    let entity = |of: &str| format!("<!DOCTYPE svg [{of}]>{}", page("&a;"));
    let nested = entity(r#"<!ENTITY b "bbb"><!ENTITY a "&b;&b;">"#);
    let large = entity(&format!(r#"<!ENTITY a "{}">"#, "b".repeat(1 << 20))).replace("&a;", &"&a;".repeat(40));
    for (text, says) in [
        (bare("", ""), "how large"),
        (bare(r#"width="100%" height="100%""#, ""), "how large"),
        (bare(r#"width="1mm" height="1mm""#, ""), "shorter than 10 mm"),
        (page(""), "Nothing in the drawing is closed"),
        (page(r#"<path d="M 10 10 L 50 50"/>"#), "Nothing in the drawing is closed"),
        (page(r#"<image href="http://example.org/a.png" width="5" height="5"/>"#), "another file"),
        (page(r##"<use href="#a"/>"##), "copies"),
        (page(r#"<path d="M 10 10 L oops"/>"#), "cannot be read"),
        (page(r#"<path d="M 1e9 10 L 1e12 5"/>"#), "far beyond"),
        (page(r#"<g transform="wobble(3)"/>"#), "transform"),
        (page(&million), "200,000 parts"),
        (page(&format!("<style>{}</style>", ".a{fill:none}".repeat(1001))), "rules of style"),
        (page(&format!("<style>{}a{{{}}}</style>", "a,".repeat(9000), "a:b;".repeat(9000))), "rules of style"),
        (page("<style>g g g g g g g path{fill:none}</style>"), "rules of style"),
        (page(&"<g>".repeat(400)), "no whole SVG"),
        (nested.clone(), "entities"),
        (format!("<!-- <!DOCTYPE svg> --><?x?>\n{nested}"), "entities"),
        (entity(r#"<!ENTITY a "<path/>">"#), "entities"),
        (entity(r#"<!ENTITY a SYSTEM "file:///etc/hostname">"#), "entities"),
        (entity(r#"<!ENTITY % a "b">"#), "entities"),
        (entity(&r#"<!ENTITY a "b">"#.repeat(65)), "entities"),
        (large, "entities"),
        (format!("<!DOCTYPE svg><!DOCTYPE svg>{}", page("")), "more than one document type"),
        (format!("<!DOCTYPE svg PUBLIC \"a>{}", page("")), "does not end"),
        ("<!DOCTYPE svg [ <!ENTITY a 'b>".to_string(), "does not end"),
        ("<!-- <svg/>".to_string(), "no whole SVG"),
        (bare("", r#"<path d="M0 0H9"/>"#), "how large"),
        (bare(r#"viewBox="0 0 0 0""#, ""), "how large"),
        ("\u{1f}\u{8b}".to_string(), "no whole SVG"),
        ("<html/>".to_string(), "no SVG"),
        ("no mark-up at all".to_string(), "no whole SVG"),
    ] {
        let refusal = own_from_svg(text.as_bytes(), None).expect_err("it cannot be");
        assert!(refusal.what.contains(says), "{}: {}", &text[..text.len().min(90)], refusal.what);
        assert!(!refusal.ways.is_empty());
    }
}

/// What most programs write before a drawing: its type by name, which says nothing of the lines.
#[test]
fn a_document_type_that_is_named_is_passed_over() {
    let drawing = page(r#"<path d="M0 40H100"/>"#);
    for before in [
        "<?xml version=\"1.0\" standalone=\"no\"?>\n<!DOCTYPE svg PUBLIC \"-//W3C//DTD SVG 1.1//EN\"\n  \
         \"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd\">\n<!-- made -->\n",
        "<!-- a <!DOCTYPE svg [ in a comment --><!DOCTYPE svg>",
        "<!DOCTYPE svg SYSTEM 'a > b [ é'>",
        "<!DOCTYPE svg PUBLIC \"-//W3C//DTD SVG 1.1//EN\" \"x\" []>",
        "<!DOCTYPE svg [ <!-- ] > é --> <?a ]> ?> <!ATTLIST svg a CDATA '>' > ]  >",
    ] {
        let own = own_from_svg(format!("{before}{drawing}").as_bytes(), None).expect("a drawing that can be");
        assert_eq!(own.draft.areas.len(), 2, "{before}");
    }
}

/// As drawing programs name their namespaces, and a colour.
#[test]
fn entities_that_stand_for_words_are_read() {
    let text = r##"<!DOCTYPE svg [ <!ENTITY ns "http://www.w3.org/2000/svg"> <!ENTITY seen '#123456'> <!ENTITY gone "none"> ]>
        <svg xmlns="&ns;" width="100mm" height="80mm" viewBox="0 0 100 80">
        <path stroke="&seen;" d="M0 40H100"/><path fill="&gone;" stroke="&gone;" d="M50 0V80"/></svg>"##;
    assert_eq!(own_from_svg(text.as_bytes(), None).expect("a drawing that can be").draft.areas.len(), 2);
}

/// Of what a switch holds one is shown: what asks for a program of its own is passed over, and nothing is missing then.
#[test]
fn a_switch_shows_the_first_that_can_be() {
    let own = read(
        r#"<switch><foreignObject requiredExtensions="http://example.org/own"><a/></foreignObject>
        <g><path d="M0 40H100"/></g><g><path d="M50 0V80"/></g></switch>"#,
    );
    assert_eq!((own.draft.areas.len(), own.left_out()), (2, None));
    let own = read(
        r#"<path d="M0 40H100"/><switch><g systemLanguage="xx"><path d="M50 0V80"/></g><g systemLanguage="de, en-GB"/></switch>
        <switch><foreignObject width="9" height="9"><p>12</p></foreignObject><text>12</text></switch>
        <g requiredExtensions="a"><path d="M20 0V80"/></g>"#,
    );
    assert_eq!((own.draft.areas.len(), own.left_out()), (2, None));
    let own = read(r#"<path d="M0 40H100"/><switch><foreignObject><p>12</p></foreignObject></switch>"#);
    assert!(own.left_out().expect("it is told").contains("foreignObject"));
}

#[test]
fn a_width_serves_where_the_drawing_says_none() {
    let read = |attributes: &str, width: Option<i32>| {
        let text = format!(r#"<svg xmlns="http://www.w3.org/2000/svg" {attributes}><path d="M-50 15H150"/></svg>"#);
        own_from_svg(text.as_bytes(), width.map(|mm| Um(mm * 1000))).map(|own| {
            let mut found = areas(&own);
            found.push(f64::from(own.panel.width.0) / 1000.0);
            (found, own.says_size)
        })
    };
    let whole = |found: (Vec<f64>, bool), wanted: [f64; 3], says: bool| {
        near(&found.0, &wanted, 0.2);
        assert_eq!(found.1, says);
    };
    let view = r#"viewBox="-10 -10 100 50""#;
    whole(read(view, Some(200)).unwrap(), [200.0 * 50.0, 200.0 * 50.0, 200.0], false);
    whole(
        read(&format!(r#"width="100%" height="100%" {view}"#), Some(300)).unwrap(),
        [22_500.0, 22_500.0, 300.0],
        false,
    );
    whole(read(&format!(r#"width="200mm" {view}"#), None).unwrap(), [10_000.0, 10_000.0, 200.0], true);
    whole(read(&format!(r#"height="100mm" {view}"#), Some(900)).unwrap(), [10_000.0, 10_000.0, 200.0], true);
    for (attributes, width) in [("", Some(200)), (view, None), (r#"width="200mm""#, Some(200))] {
        let said = read(attributes, width).expect_err("no size").what;
        assert!(said.contains("how large"), "{attributes}");
        assert_eq!(said.contains("the width that you gave"), attributes != view, "{attributes}: {said}");
    }
    for width in [Some(4000), Some(12)] {
        assert!(read(view, width).expect_err("no panel").what.contains("At the width that you gave"));
    }
}

#[test]
fn text_laid_into_a_drawing_is_left_out_with_a_word() {
    let own = read(r#"<foreignObject width="9" height="9"><p>12</p></foreignObject><path d="M0 40H100"/>"#);
    assert_eq!(own.draft.areas.len(), 2);
    assert!(own.left_out().expect("it is told").contains("foreignObject"));
}

#[test]
fn compressed_drawings_and_those_of_wide_letters_are_refused_as_such() {
    let wide = |first: &[u16], text: &str, bytes: fn(u16) -> [u8; 2]| -> Vec<u8> {
        first.iter().copied().chain(text.encode_utf16()).flat_map(bytes).collect()
    };
    let text = page("");
    for (bytes, says) in [
        (vec![0x1f, 0x8b, 8, 0, 0], "compressed"),
        (wide(&[0xfeff], &text, u16::to_le_bytes), "UTF-16"),
        (wide(&[0xfeff], &text, u16::to_be_bytes), "UTF-16"),
        (wide(&[], &text, u16::to_le_bytes), "UTF-16"),
        (wide(&[], &text, u16::to_be_bytes), "UTF-16"),
    ] {
        assert!(is_drawing(&bytes), "{says}");
        let refusal = own_from_svg(&bytes, None).expect_err("it is not read");
        assert!(refusal.what.contains(says), "{}", refusal.what);
    }
}

/// Twenty ticks above, and a line below that ends in the open: the line is told first, and then the longest tick.
#[test]
fn lines_that_hang_on_others_are_told_first() {
    let ticks: String = (0..20)
        .map(|k| format!(r#"<path d="M{} {} h{}"/>"#, 5 + k % 5 * 20, 5 + k / 5 * 10, 1.0 + 0.1 * f64::from(k)))
        .collect();
    let own = read(&format!(r#"{ticks}<path d="M0 60H100M30 60V70M60 60V75"/>"#));
    let told = own.left_out().expect("lines end in the open");
    assert!(told.contains("top: 60 × 75; 30 × 70; 88 × 35; 85 × 35") && told.contains("34 more"), "{told}");
    let mut work = Work { panel: own.panel, ..Work::default() };
    crate::plan_drawn(&mut work, &own).expect("a drawing that can be");
    let found = crate::pattern::findings(&work, &outlines(&work.pattern, work.panel));
    let loose: Vec<&Finding> = found.iter().filter(|f| f.kind == Kind::LooseEnd).collect();
    assert_eq!(
        loose[..2].iter().map(|f| f.spot.at).collect::<Vec<_>>(),
        [Some(Point::new(60_000, 75_000)), Some(Point::new(30_000, 70_000))]
    );
    assert!(loose[12].why.contains("15 more lines"), "{}", loose[12].why);
}

/// Rings on straight stalks, from the frame and from a line that parts the panel: each is told at the middle of its stalk, which lies
/// in the area around; it may be burnt, but no slot saws the area through.
#[test]
fn stalks_are_told_where_they_hang() {
    let own = read(
        r#"<circle cx="30" cy="25" r="10"/><path d="M30 35 L30 80"/><rect x="60" y="10" width="20" height="20"/>
        <path d="M70 30 L70 60"/><path d="M0 60 L100 60"/>"#,
    );
    assert_eq!(own.loose.len(), 2, "{:?}", own.loose);
    let middles: Vec<Point> = own.loose.iter().flat_map(LooseLine::places).collect();
    assert_eq!(middles, [Point::new(30_000, 47_500), Point::new(70_000, 45_000)]);
    assert_eq!(own.draft.areas.len(), 5, "above the line, two rings, and two below it");
}

/// Bricks whose corners are moved, each course set off by half a brick. The edges between courses run in waves of cubics, or straight
/// and aslant: then corners lie amid the edges of the next course.
struct Bricks {
    /// Corners and handles along each seam, three points to a step, µm.
    seams: Vec<Vec<Point>>,
    straight: bool,
}

const STEPS: usize = 12;
const COURSES: usize = 6;

impl Bricks {
    fn new(straight: bool, dice: &mut Dice) -> Bricks {
        let mut seam = |row: usize| {
            let (y, inner) = (row as f64 * 80_000.0 / COURSES as f64, row > 0 && row < COURSES);
            let mut off = |free: bool| if free { dice.between(-1500.0, 1500.0) } else { 0.0 };
            let slant = [off(inner), off(inner)];
            let mut at = |k: usize| {
                let share = k as f64 / (3 * STEPS) as f64;
                let x = share * 100_000.0 + 0.4 * off(k > 0 && k < 3 * STEPS);
                let level = if straight { slant[0] + (slant[1] - slant[0]) * x / 100_000.0 } else { off(inner) };
                Point::new(x.round() as i32, (y + level).round() as i32)
            };
            (0..=3 * STEPS).map(&mut at).collect()
        };
        Bricks { seams: (0..=COURSES).map(&mut seam).collect(), straight }
    }

    /// Every brick as its cubics, clockwise on the page.
    fn all(&self) -> Vec<Vec<Cubic>> {
        let run = |seam: &[Point], from: usize, to: usize| -> Vec<Cubic> {
            if self.straight {
                return vec![Cubic::straight(seam[3 * from], seam[3 * to])];
            }
            (from..to).map(|k| Cubic([seam[3 * k], seam[3 * k + 1], seam[3 * k + 2], seam[3 * k + 3]])).collect()
        };
        let course = |row: usize| {
            let (above, below) = (&self.seams[row], &self.seams[row + 1]);
            let cuts: Vec<usize> = [0].into_iter().chain((1 + row % 2..STEPS).step_by(2)).chain([STEPS]).collect();
            let brick = move |w: &[usize]| {
                let back = run(below, w[0], w[1]).into_iter().rev().map(|c| c.reversed());
                let sides = [(above[3 * w[1]], below[3 * w[1]]), (below[3 * w[0]], above[3 * w[0]])];
                let [right, left] = sides.map(|(a, b)| Cubic::straight(a, b));
                run(above, w[0], w[1]).into_iter().chain([right]).chain(back).chain([left]).collect::<Vec<Cubic>>()
            };
            cuts.windows(2).map(brick).collect::<Vec<_>>()
        };
        (0..COURSES).flat_map(course).collect()
    }
}

/// A closed path, every point of it once, each off by `noise` (standard deviation, mm).
fn copied(ring: &[Cubic], noise: f64, dice: &mut Dice) -> String {
    let mut say = |p: Point| {
        let mut off = |at: i32| f64::from(at) / 1000.0 + noise * dice.normal();
        format!("{:.3} {:.3}", off(p.x), off(p.y))
    };
    let mut text = format!(r#"<path d="M{}"#, say(ring[0].start()));
    for (k, cubic) in ring.iter().enumerate() {
        let [_, a, b, end] = cubic.0;
        let straight = *cubic == Cubic::straight(cubic.start(), end);
        let _ = match (straight, k + 1 == ring.len()) {
            (true, true) => write!(text, "Z"),
            (true, false) => write!(text, "L{}", say(end)),
            (false, _) => write!(text, "C{} {} {}", say(a), say(b), say(end)),
        };
    }
    text + r#""/>"#
}

/// Shapes that each bring a copy of the edges they share, every point of it a little off: one area comes of each, whose own area is the
/// drawn one but for the noise along its edge, and no sliver.
#[test]
fn copies_of_a_line_become_one_border() {
    for (seed, noise) in (0..10).flat_map(|seed| [0.0, 0.05, 0.1, 0.15].map(|noise| (seed, noise))) {
        let dice = &mut Dice::new(seed);
        let straight = seed % 2 == 1;
        let bricks = Bricks::new(straight, dice).all();
        let own = read(&bricks.iter().map(|ring| copied(ring, noise, dice)).collect::<String>());
        let outlines = outlines(&own.draft, own.panel).areas;
        assert_eq!(outlines.len(), bricks.len());
        for ring in &bricks {
            let wanted = ring.iter().map(Cubic::green20).sum::<i128>() as f64 / 20e6;
            let ends = || ring.iter().map(Cubic::start);
            let mean = |at: fn(Point) -> i32| ends().map(at).sum::<i32>() / ring.len() as i32;
            let middle = Point::new(mean(|p| p.x), mean(|p| p.y));
            let here = |rings: &[Vec<Point>]| inside_rings(rings.iter().map(Vec::as_slice), middle);
            let found = outlines.values().find(|outline| here(&outline.rings)).expect("a brick").area_mm2;
            // Corners amid a slanting edge lie beside it by half a micrometre.
            let clean = if straight { 0.05 } else { 1e-6 };
            let edge = 2.0 * (100.0 / 6.0 + 80.0 / COURSES as f64);
            assert!((found - wanted).abs() <= clean + 1.5 * noise * edge, "{seed}, {noise}: {found}, not {wanted}");
        }
        assert!(own.loose.is_empty(), "{:?}", own.loose);
    }
}

/// What was drawn narrow stays, though its neighbours touch it; and lines nearer than a blade to each other stay as they are where
/// nothing lies between them but what opens wide.
#[test]
fn narrow_shapes_that_were_drawn_stay() {
    let own = read(
        r#"<path d="M0 0H40V80H0Z"/><path d="M40 0H40.6V3H40Z"/><path d="M40.6 0H100V80H40V3H40.6Z"/>
        <path d="M10 10 L20 30.3 L5 30 Z"/><path d="M20.5 30.3 L35 10 L35 40 Z"/>"#,
    );
    near(&areas(&own), &[1.8, 150.75, 217.5, 3200.0 - 368.25, 4800.0 - 1.8], 0.01);
    let triangles = own.draft.borders.values().filter(|border| matches!(border.ends, Ends::Ring(_))).count();
    assert_eq!(triangles, 2, "each is still a ring of its own");
}

/// Rings 0.7 mm apart were drawn so, and petals whose points come to 0.1 mm from a middle lie over each other nowhere.
#[test]
fn rings_and_petals_stay_as_they_were_drawn() {
    let rings: String =
        (1..=12).map(|k| format!(r#"<circle cx="50" cy="40" r="{}"/>"#, 3.0 + 0.7 * f64::from(k))).collect();
    assert_eq!(areas(&read(&rings)).len(), 13);
    let petal = |k: i32| {
        let at = |radius: f64, turn: f64| {
            let angle = turn * std::f64::consts::TAU / 32.0;
            format!("{:.3} {:.3}", 50.0 + radius * libm::cos(angle), 40.0 + radius * libm::sin(angle))
        };
        let k = f64::from(k);
        format!(r#"<path d="M{}L{}L{}Z"/>"#, at(0.1, k + 0.5), at(25.0, k + 0.1), at(25.0, k + 0.9))
    };
    let petals: String = (0..32).map(petal).collect();
    assert!(areas(&read(&petals)).len() >= 33);
}
