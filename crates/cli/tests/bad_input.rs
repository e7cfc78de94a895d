//! Bad input: one clear message with a way out, exit code 2, and every file as it was.

mod common;

use std::io::Cursor;
use std::process::Command;

use common::{Bench, Ran, json};
use image::{ImageFormat, Rgba, RgbaImage};

/// A small picture of four quarters: enough for a few pieces.
fn quarters() -> Vec<u8> {
    let colour = |x: u32, y: u32| match (x < 120, y < 90) {
        (true, true) => Rgba([230, 220, 190, 255]),
        (false, true) => Rgba([150, 90, 50, 255]),
        (true, false) => Rgba([90, 60, 40, 255]),
        (false, false) => Rgba([200, 150, 90, 255]),
    };
    png(&RgbaImage::from_fn(240, 180, colour))
}

fn png(picture: &RgbaImage) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    picture.write_to(&mut bytes, ImageFormat::Png).expect("memory takes every write");
    bytes.into_inner()
}

fn plain(colour: [u8; 4]) -> Vec<u8> {
    png(&RgbaImage::from_pixel(240, 180, Rgba(colour)))
}

/// A PNG whose header claims a size; no pixel follows.
fn claims(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut chunk = |kind: &[u8; 4], body: &[u8]| {
        bytes.extend((body.len() as u32).to_be_bytes());
        let checked: Vec<u8> = kind.iter().chain(body).copied().collect();
        bytes.extend(&checked);
        bytes.extend(crc(&checked).to_be_bytes());
    };
    let mut header = [width.to_be_bytes(), height.to_be_bytes()].concat();
    header.extend([8, 6, 0, 0, 0]);
    chunk(b"IHDR", &header);
    chunk(b"IDAT", &[0x78, 0x9c, 0x03, 0, 0, 0, 0, 1]);
    chunk(b"IEND", &[]);
    bytes
}

/// CRC-32 of the PNG standard (ISO/IEC 15948, annex D), bit by bit.
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0u32, |crc, &byte| {
        (0..8).fold(crc ^ u32::from(byte), |crc, _| (crc >> 1) ^ (0xedb8_8320 & 0u32.wrapping_sub(crc & 1)))
    })
}

/// Runs a command that must refuse, say one of the words, and leave every file as it was.
fn refuses(bench: &Bench, words: &[&str], says: &[&str]) {
    let before = bench.everything();
    let said = bench.spelk(words).refused();
    assert!(says.iter().any(|word| said.to_lowercase().contains(word)), "spelk {words:?} said: {said}");
    assert!(said.lines().count() <= 12, "one clear message, not a page: {said}");
    assert!(bench.everything() == before, "spelk {words:?} changed a file");
}

const START: [&str; 6] = ["start", "p.png", "--out", "j.spelk", "--width", "200mm"];

fn started() -> Bench {
    let bench = Bench::new();
    bench.write("p.png", quarters());
    bench.spelk(&["start", "p.png", "--out", "j.spelk", "--width", "200mm", "--pieces", "6"]).done();
    bench
}

#[test]
fn pictures_that_are_none() {
    let whole = quarters();
    for (bytes, says) in [
        (b"a letter to my aunt".to_vec(), "p.png: this is not a picture"),
        (Vec::new(), "p.png is empty"),
        (whole[..whole.len() / 2].to_vec(), "cut short"),
        (png(&RgbaImage::from_pixel(1, 1, Rgba([9, 9, 9, 255]))), "under 16 pixels"),
        (claims(60_000, 60_000), "60"),
        (plain([40, 50, 60, 0]), "transparent"),
        (plain([40, 50, 60, 255]), "plain ground"),
    ] {
        let bench = Bench::new();
        bench.write("p.png", bytes);
        refuses(&bench, &START, &[says]);
    }
    let bench = Bench::new();
    bench.write("p.png", plain([40, 50, 60, 255]));
    refuses(&bench, &[&START[..], &["--keep-all"]].concat(), &["colour"]);
}

#[test]
fn ink_where_there_is_none() {
    let bench = started();
    bench.write(
        "d.svg",
        br#"<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm"><path d="M0 20 H90"/></svg>"#,
    );
    let drawing = ["start", "d.svg", "--out", "d.spelk"];
    let paper = ["start", "p.png", "--out", "d.spelk", "--width", "200mm", "--on-paper", "--ink", "close"];
    refuses(&bench, &[&drawing[..], &["--ink", "close"]].concat(), &["none of them is read as ink"]);
    refuses(&bench, &[&drawing[..], &["--bridge", "2mm"]].concat(), &["none of them is read as ink"]);
    refuses(&bench, &paper, &["leave --ink out"]);
    for words in [&["start", "p.png", "--out", "d.spelk", "--width", "200mm"][..], &["trace", "j.spelk"]] {
        refuses(&bench, &[words, &["--bridge", "2mm"]].concat(), &["without --ink"]);
    }
    bench.spelk(&["trace", "j.spelk", "--ink", "close", "--bridge", "2mm"]).done();
}

/// Four quarters are four pieces, whatever is asked. A drawing has no woods and no heights until they are decided.
#[test]
fn what_falls_short_is_told() {
    let bench = Bench::new();
    bench.write("p.png", quarters());
    let said = bench.spelk(&[&START[..], &["--pieces", "60"]].concat()).done();
    assert!(said.contains("Fewer pieces than the 60 that were asked") && said.contains("--stock thin"), "{said}");
    let said = bench.spelk(&["trace", "j.spelk", "--pieces", "40"]).done();
    assert!(said.contains("Fewer pieces than the 40 that were asked"), "{said}");
    assert!(
        said.contains("Woods undecided: 4 pieces; before 0 of 4") && said.contains("spelk woods j.spelk --choose"),
        "{said}"
    );
    assert!(said.contains("Heights undecided: 4 pieces; before 0 of 4. Next: spelk heights j.spelk"), "{said}");
    let choose =
        |piece| format!(r#"{{"wood": {{"choose": {{"whom": {{"piece": {piece}}}, "wood": "walnut-black"}}}}}}"#);
    bench.write("three.json", format!("[{}, {}, {}]", choose(1), choose(2), choose(3)));
    bench.spelk(&["edit", "j.spelk", "three.json"]).done();
    let said = bench.spelk(&["tell", "j.spelk"]).done();
    assert!(said.contains("undecided: 1 piece\n"), "{said}");
    let said = bench.spelk(&["trace", "j.spelk", "--pieces", "4"]).done();
    assert!(!said.contains("Fewer") && said.contains("Heights undecided: 4 pieces; before 4 of 4"), "{said}");
    bench.spelk(&["woods", "j.spelk", "--choose"]).done();
    let said = bench.spelk(&["tell", "j.spelk"]).done();
    assert!(!said.contains("  undecided"), "every piece has a wood: {said}");
}

#[test]
fn drawings_that_cannot_be() {
    let page = |size: &str, lines: &str| {
        format!(r#"<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 90 60">{lines}</svg>"#).into_bytes()
    };
    let (sized, across) = (r#"width="90mm" height="60mm""#, r#"<path d="M0 20 H90"/>"#);
    let start = ["start", "d.svg", "--out", "j.spelk"];
    for (bytes, says) in [
        (page("", across), "how large"),
        (page(sized, ""), "nothing in the drawing is closed"),
        (page(sized, r#"<path d="M20 20 H70"/>"#), "nothing in the drawing is closed"),
        (page(sized, r#"<image href="file:///etc/hostname" width="9" height="9"/>"#), "another file"),
        (page(sized, &"<g/>".repeat(300_000)), "200,000 parts"),
        (page(sized, across).split_at(80).0.to_vec(), "no whole svg"),
        ([b"<svg>".as_slice(), &[0xff, 0xfe]].concat(), "utf-8"),
    ] {
        let bench = Bench::new();
        bench.write("d.svg", bytes);
        refuses(&bench, &start, &[says]);
    }
    let bench = Bench::new();
    bench.write("d.svg", page(sized, across));
    refuses(&bench, &[&start[..], &["--width", "200mm"]].concat(), &["its own size"]);
    bench.spelk(&start).done();
}

#[test]
fn places_that_cannot_be() {
    let bench = Bench::new();
    refuses(&bench, &START, &["not there"]);
    std::fs::create_dir(bench.path("p.png")).expect("a folder");
    refuses(&bench, &START, &["folder"]);
    bench.write("q.png", quarters());
    refuses(&bench, &["start", "q.png", "--out", "nowhere/j.spelk", "--width", "200mm"], &["not there", "folder"]);
    refuses(&bench, &["start", "q.png", "--out", "q.png", "--width", "200mm"], &["exists"]);
    refuses(&bench, &["tell", "q.png"], &["spelk"]);
    refuses(&bench, &["tell", "nothing.spelk"], &["not there", "no file"]);
}

#[test]
fn words_that_cannot_be() {
    let bench = Bench::new();
    bench.write("p.png", quarters());
    for (more, says) in [
        (vec!["--pieces", "0"], "1 to"),
        (vec!["--woods", "0"], "1 to"),
        (vec!["--backer", "unobtainium"], "unobtainium"),
        (vec!["--stock", "3mm,7 furlongs"], "furlongs"),
        (vec!["--least-width", "-4mm"], "-4mm"),
    ] {
        refuses(&bench, &[&START[..], &more].concat(), &[says]);
    }
    for width in ["12 parsecs", "420", "-3mm", "0mm", "9999999in", ""] {
        refuses(&bench, &["start", "p.png", "--out", "j.spelk", "--width", width], &["mm", "length", "width"]);
    }
    refuses(&bench, &["sheets", "j.spelk", "--out", "s", "--paper", "napkin"], &["a4"]);
}

/// What is held and let go at once, and what would stay though it is let go: both are told before anything is drawn.
#[test]
fn letting_go_of_what_stays() {
    let bench = started();
    let edits = r#"[{"bench":{"log":{"became":{"piece":1,"state":"cut","on":[2026,5,17],"height":null}}}},
        {"wood":{"choose":{"whom":{"piece":2},"wood":"walnut-black"}}}]"#;
    bench.write("edits.json", edits);
    bench.spelk(&["edit", "j.spelk", "edits.json"]).done();
    for (typed, says) in [
        (&["--let-go", "1"][..], "piece 1 stays as it lies though it is let go: it is cut"),
        (&["--let-go", "2"], "was chosen by hand"),
        (&["--hold", "2,3", "--let-go", "3"], "piece 3 is both to be held and to be let go"),
    ] {
        refuses(&bench, &[&["trace", "j.spelk"], typed].concat(), &[says]);
    }
    bench.write("let-go.json", format!(r#"[{{"pattern":{{"let_go":{}}}}}]"#, area_of(&bench, 1)));
    refuses(&bench, &["edit", "j.spelk", "let-go.json"], &["is cut already"]);
    bench.spelk(&["trace", "j.spelk", "--let-go", "3"]).done();
}

fn area_of(bench: &Bench, number: u64) -> u64 {
    let told = json(&bench.spelk(&["tell", "j.spelk", "--json"]).done());
    let pieces = told["pieces"].as_array().expect("a list");
    let piece = pieces.iter().find(|piece| piece["number"] == number).expect("it is there");
    piece["area"].as_u64().expect("an id")
}

#[test]
fn edits_that_cannot_be() {
    let bench = started();
    let told = json(&bench.spelk(&["tell", "j.spelk", "--json"]).done());
    let touching =
        told["borders"].as_array().expect("a list").iter().find(|b| b["left"].is_u64() && b["right"].is_u64());
    let border = touching.expect("two areas touch");
    bench.write("merge.json", format!(r#"[{{"pattern":{{"merge":[{},{}]}}}}]"#, border["left"], border["right"]));
    bench.spelk(&["edit", "j.spelk", "merge.json"]).done();
    let gone = json(&bench.spelk(&["tell", "j.spelk", "--json"]).done())["retired"][0]["number"].clone();
    for (edits, says) in [
        (format!(r#"[{{"wood":{{"choose":{{"whom":{{"piece":{gone}}},"wood":"walnut-black"}}}}}}]"#), "merged"),
        (r#"[{"wood":{"choose":{"whom":{"piece":9999},"wood":"walnut-black"}}}]"#.into(), "9999"),
        (r#"[{"setup":{"title":"x"}},{"wood":{"choose":{"whom":{"piece":1},"wood":"unobtainium"}}}]"#.into(), "edit 2"),
        (r#"[{"setup":{"title":"x"}},{"fly":1}]"#.into(), "line"),
        ("[]".into(), "no edit"),
        ("\u{1}".into(), "list of edits"),
    ] {
        bench.write("e.json", &edits);
        refuses(&bench, &["edit", "j.spelk", "e.json"], &[says]);
    }
}

#[test]
fn job_files_that_are_none() {
    let bench = started();
    let whole = bench.bytes("j.spelk");
    let mut later = whole.clone();
    later[60..64].copy_from_slice(&9_999u32.to_be_bytes());
    let mut foreign = whole.clone();
    foreign[68..72].copy_from_slice(&0x1234_5678u32.to_be_bytes());
    for (bytes, says) in [
        (whole[..whole.len() / 2].to_vec(), "damaged"),
        (later, "later"),
        (foreign, "another program"),
        (b"SQLite format 3\0".to_vec(), "damaged"),
        (vec![0; 5000], "some other kind of file"),
    ] {
        bench.write("bad.spelk", bytes);
        for words in [["tell", "bad.spelk"], ["undo", "bad.spelk"], ["check", "bad.spelk"]] {
            refuses(&bench, &words, &[says, "damaged", "some other kind of file"]);
        }
    }
}

/// A full disk and a place without the right to write: small file systems in memory, where this machine lets us mount them.
#[test]
#[cfg(target_os = "linux")]
fn disks_that_are_full_or_closed() {
    for (options, says) in [("size=12k", "full"), ("size=4m,ro", "right")] {
        let bench = started();
        let place = bench.path("disk");
        std::fs::create_dir(&place).expect("a folder");
        let mounted = Command::new("mount").args(["-t", "tmpfs", "-o", options, "tmpfs"]).arg(&place).status();
        if !mounted.is_ok_and(|status| status.success()) {
            eprintln!("not tried: no right to mount {options}");
            continue;
        }
        let tried: Vec<Ran> = [
            vec!["start", "p.png", "--out", "disk/j.spelk", "--width", "200mm"],
            vec!["sheets", "j.spelk", "--out", "disk/sheets"],
            vec!["view", "j.spelk", "--out", "disk/v.png"],
        ]
        .iter()
        .map(|words| bench.spelk(words))
        .collect();
        let left = bench.everything().into_iter().filter(|(path, _)| path.starts_with(&place)).count();
        let _ = Command::new("umount").arg(&place).status();
        for ran in tried {
            let said = ran.refused();
            assert!(said.contains(says) || said.contains("read-only"), "{options}: {said}");
        }
        assert_eq!(left, 0, "{options}: something half-written was left");
    }
}

/// Paper above, wood below.
fn board_photo(paper: [u8; 4], wood: [u8; 4]) -> Vec<u8> {
    png(&RgbaImage::from_fn(400, 300, |_, y| Rgba(if y < 100 { paper } else { wood })))
}

#[test]
fn a_board_comes_in_by_its_photograph_or_with_a_reason() {
    let bench = Bench::new();
    let (paper, wood) = ([225, 225, 225, 255], [140, 100, 70, 255]);
    bench.write("good.png", board_photo(paper, wood));
    bench.write("burnt.png", board_photo([255; 4], wood));
    bench.write("blue.png", board_photo(paper, [40, 70, 190, 255]));
    bench.write("cut.png", &board_photo(paper, wood)[..200]);
    let ran = |photo: &str, corners: &str| {
        let flags = ["--white", "5,5 95,5 95,30 5,30", "--length", "600mm", "--width", "300mm", "--thickness", "20mm"];
        let told = ["--wood", "walnut-black", "--name", "shelf", "--file", "own.spelk", "--json"];
        bench.spelk(&[&["board", photo, "--corners", corners][..], &flags, &told].concat())
    };
    let corners = "5,40 95,40 95,95 5,95";
    for (photo, corners, why) in [
        ("burnt.png", corners, "overexposed"),
        ("blue.png", corners, "no wood"),
        ("cut.png", corners, "cut short"),
        ("good.png", "5,40 95,40 95,95", "four places"),
        ("good.png", "95,40 5,40 5,95 95,95", "clockwise"),
    ] {
        let said = ran(photo, corners).refused();
        assert!(said.contains(why), "{photo}: {said}");
    }
    let good = json(&ran("good.png", corners).done());
    assert_eq!(good["board"]["outline"][2][0], 600_000, "{good}");
    let rack = json(&bench.spelk(&["shop", "--file", "own.spelk", "--json"]).done());
    assert_eq!(rack["boards"].as_object().expect("boards by number").len(), 1);
}

/// Without pieces or heights nothing is counted below nought, and the reason is told; a kerf in inches is no 32nd.
#[test]
fn what_cannot_be_counted_yet_is_said() {
    let bench = Bench::new();
    let bare = r#"<svg xmlns="http://www.w3.org/2000/svg" width="8in" height="6in" viewBox="0 0 8 6">
        <path d="M4 0V6M0 3H4" fill="none" stroke="black"/></svg>"#;
    bench.write("own.svg", bare);
    bench.spelk(&["start", "own.svg", "--out", "own.spelk", "--unit", "in"]).done();
    let said = bench.spelk(&["saw", "own.spelk"]).done();
    assert!(said.contains("0 of 3 pieces") && said.contains("3 pieces have no thickness yet"), "{said}");
    assert!(!said.contains("-0") && said.contains("drilling 0,"), "{said}");
    assert!(said.contains("kerf 0.0"), "a kerf in thousandths: {said}");
}

/// A photograph of a board that is no longer as it was kept in the job file is refused by the view that would show it.
#[test]
fn a_photograph_damaged_in_the_job_is_refused_by_the_view() {
    let bench = Bench::new();
    bench.write("quarters.png", quarters());
    bench.spelk(&["start", "quarters.png", "--out", "quarters.spelk", "--width", "300mm", "--pieces", "8"]).done();
    let told = json(&bench.spelk(&["tell", "quarters.spelk", "--json"]).done());
    let wood = told["pieces"][0]["wood"].as_str().expect("a piece has a wood").to_owned();
    bench.write("board.png", board_photo([225, 225, 225, 255], [140, 100, 70, 255]));
    let places = ["--white", "5,5 95,5 95,30 5,30", "--corners", "5,40 95,40 95,95 5,95"];
    let sizes = ["--length", "600mm", "--width", "300mm", "--thickness", "40mm", "--wood", &wood, "--name", "shelf"];
    bench.spelk(&[&["board", "board.png", "--file", "own.spelk"][..], &places, &sizes].concat()).done();
    bench.spelk(&["stock", "quarters.spelk", "--from-shop", "--shop", "own.spelk", "--lay-out"]).done();
    bench.spelk(&["view", "quarters.spelk", "--out", "good.png", "--pixels", "200"]).done();

    // The shop keeps this photograph alone, straightened, as a PNG; the job has the same bytes beside its picture.
    let (rack, mut kept) = (bench.bytes("own.spelk"), bench.bytes("quarters.spelk"));
    let from = rack.windows(4).position(|bytes| bytes == b"\x89PNG").expect("the shop keeps the photograph");
    let first = &rack[from..from + 80];
    let at = kept.windows(80).position(|bytes| bytes == first).expect("the job keeps the photograph");
    kept[at + 50] ^= 0x55;
    bench.write("quarters.spelk", kept);
    refuses(&bench, &["view", "quarters.spelk", "--out", "bad.png", "--pixels", "200"], &["not as it was written"]);
}

/// A card above, two finished pieces side by side below.
fn test_photo(card: [u8; 4], pieces: [[u8; 4]; 2]) -> Vec<u8> {
    png(&RgbaImage::from_fn(400, 300, |x, y| Rgba(if y < 100 { card } else { pieces[usize::from(x > 200)] })))
}

#[test]
fn finished_test_pieces_are_taken_from_their_photograph_or_with_a_reason() {
    let bench = started();
    let (card, pieces) = ([225, 225, 225, 255], [[150, 85, 50, 255], [185, 130, 85, 255]]);
    bench.write("good.png", test_photo(card, pieces));
    bench.write("burnt.png", test_photo([255; 4], pieces));
    bench.write("blue.png", test_photo(card, [[40, 70, 190, 255], pieces[1]]));
    let (white, left, right) = ("5,5 95,5 95,30 5,30", "5,40 45,40 45,95 5,95", "55,40 95,40 95,95 55,95");
    let words = |photo: &str, white: &str, wood: &str| {
        let pieces = [format!("{wood} {left}"), format!("alder-red {right}")];
        let flags = ["--white", white, "--coats", "2", "--by", "A. Maker, 3 May 2026", "--json"];
        bench.spelk(&[&["test", "j.spelk", photo, "--piece", &pieces[0], "--piece", &pieces[1]][..], &flags].concat())
    };
    for (photo, white, wood, why) in [
        ("burnt.png", white, "cherry-black", "overexposed"),
        ("blue.png", white, "cherry-black", "there is no wood"),
        ("good.png", "5,40 95,40 95,95 5,95", "cherry-black", "white"),
        ("good.png", white, "moonwood", "no wood of this job"),
        ("good.png", "5,5 95,5", "cherry-black", "four places"),
    ] {
        let said = words(photo, white, wood).refused();
        assert!(said.contains(why), "{photo}: {said}");
    }
    let found = json(&words("good.png", white, "cherry-black").done());
    assert_eq!(found["pieces"].as_array().map(Vec::len), Some(2), "{found}");
    let told = json(&bench.spelk(&["woods", "j.spelk", "--piece", "1", "--json"]).done());
    assert!(told.is_array(), "{told}");
    let history = bench.spelk(&["history", "j.spelk"]).done();
    assert!(history.contains("finished test piece"), "{history}");
}

/// What begins with a minus is a place or a length below zero, and refused as such, not taken for an option.
#[test]
fn places_and_lengths_below_zero_are_refused_by_name() {
    let bench = Bench::new();
    bench.write("q.png", quarters());
    let paper = ["start", "q.png", "--out", "p.spelk", "--width", "100mm", "--on-paper"];
    let said = bench.spelk(&[&paper[..], &["--corners", "-5,0 93,7 95,92"]].concat()).refused();
    assert!(said.contains("--corners takes four places"), "{said}");
    let plain = ["start", "q.png", "--out", "p.spelk", "--width", "100mm"];
    for (flag, typed) in [("--raisers", "-3mm,6mm"), ("--heights", "-12mm,40mm"), ("--bridge", "-2mm")] {
        let said = bench.spelk(&[&plain[..], &[flag, typed]].concat()).refused();
        assert!(!said.contains("unexpected argument"), "{flag}: {said}");
    }
}

/// A flag whose value was left out does not take the next flag for it.
#[test]
fn a_flag_is_no_value() {
    let bench = started();
    for words in [&["trace", "j.spelk", "--bridge", "--json"][..], &["subject", "j.spelk", "--keep", "--clear"]] {
        refuses(&bench, words, &["a value is missing here"]);
    }
}

/// One bad mark, and nothing is done of what was asked with it.
#[test]
fn marks_are_made_all_or_none() {
    let bench = started();
    let half = |x: u32| if x < 120 { Rgba([255; 4]) } else { Rgba([0, 0, 0, 255]) };
    bench.write("m.png", png(&RgbaImage::from_fn(240, 180, |x, _| half(x))));
    let before = bench.spelk(&["history", "j.spelk"]).done();
    let good = ["subject", "j.spelk", "--keep", "20,20 60,40", "--out", "cut.png"];
    for bad in [&["--drop", "900,20"][..], &["--keep", "here"], &["--clear", "--drop", "20,20 900,20"]] {
        refuses(&bench, &[&good[..], bad].concat(), &["mm", "stroke"]);
        refuses(&bench, &[&good[..], bad, &["--mask", "m.png"]].concat(), &["mm", "stroke"]);
    }
    assert_eq!(bench.spelk(&["history", "j.spelk"]).done(), before);
    bench.spelk(&good).done();
    assert!(bench.size_of("cut.png") > 0);
}

/// A stroke that can have no effect is said to have none; a touch has one.
#[test]
fn strokes_without_effect_are_said() {
    let bench = Bench::new();
    let half = RgbaImage::from_fn(240, 180, |x, _| Rgba([150, 90, 50, if x < 120 { 255 } else { 0 }]));
    bench.write("half.png", png(&half));
    bench.spelk(&["start", "half.png", "--out", "j.spelk", "--width", "240mm", "--pieces", "3", "--keep-all"]).done();
    let said = bench.spelk(&["subject", "j.spelk", "--keep", "200,90", "--keep", "20,90"]).done();
    assert_eq!(said.matches("that stays ground").count(), 1, "{said}");
    let said = bench.spelk(&["subject", "j.spelk", "--keep", "50,50 60,60", "--drop", "50,50 60,60"]).done();
    assert!(said.contains("which counts"), "{said}");
    let said = bench.spelk(&["subject", "j.spelk", "--drop", "50,50 60,60"]).done();
    assert!(!said.contains("A stroke"), "{said}");
}
