//! Plain words for colours: what one would call them at the bench.
//!
//! Bounds of hue, chroma and lightness in L*a*b* are our own, set by eye on a chart of sRGB; people draw them differently.

use std::collections::BTreeMap;

use measure::colour::Lab;

/// Under this chroma a colour is a grey.
const GREY: f64 = 7.0;

/// Words by hue angle, degrees: each from its angle up to the next.
const HUES: [(f64, &str); 10] = [
    (0.0, "rose"),
    (20.0, "red"),
    (48.0, "orange"),
    (72.0, "yellow"),
    (105.0, "yellow-green"),
    (125.0, "green"),
    (185.0, "blue-green"),
    (225.0, "blue"),
    (311.0, "violet"),
    (330.0, "purple"),
];

/// A name for each colour; a name that is taken gets a number.
pub(super) fn named(colours: &[Lab]) -> Vec<String> {
    let mut taken: BTreeMap<String, u32> = BTreeMap::new();
    let mut give = |word: String| {
        let times = taken.entry(word.clone()).or_default();
        *times += 1;
        if *times == 1 { word } else { format!("{word} {times}") }
    };
    colours.iter().map(|colour| give(word(*colour))).collect()
}

fn word(colour: Lab) -> String {
    let chroma = colour.chroma();
    if chroma < GREY || colour.l < 9.0 {
        return grey(colour.l).into();
    }
    let hue = libm::atan2(colour.b, colour.a).to_degrees().rem_euclid(360.0);
    let earth = (20.0..105.0).contains(&hue);
    let name = match colour.l {
        l if earth && l > 82.0 && chroma < 32.0 => return "cream".into(),
        l if earth && l > 58.0 && chroma < 38.0 => "tan",
        l if earth && l < 58.0 && chroma < 20.0 && hue > 72.0 => "olive brown",
        l if earth && l < 58.0 && (chroma < 42.0 || hue > 48.0 && l < 50.0) => "brown",
        _ => HUES.iter().rev().find(|(from, _)| hue >= *from).map_or("rose", |(_, name)| name),
    };
    match colour.l {
        l if l < 28.0 => format!("dark {name}"),
        l if l > 74.0 && name != "yellow" => format!("pale {name}"),
        _ if chroma < 18.0 && !earth => format!("greyish {name}"),
        _ => name.into(),
    }
}

fn grey(l: f64) -> &'static str {
    match l {
        l if l < 16.0 => "black",
        l if l < 38.0 => "dark grey",
        l if l < 62.0 => "grey",
        l if l < 88.0 => "pale grey",
        _ => "white",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_are_called_what_they_are() {
        let called = |r, g, b| word(Lab::from_rgb([r, g, b]));
        assert_eq!(called(0, 0, 0), "black");
        assert_eq!(called(255, 255, 255), "white");
        assert_eq!(called(128, 128, 128), "grey");
        assert_eq!(called(200, 30, 30), "red");
        assert_eq!(called(240, 130, 20), "orange");
        assert_eq!(called(240, 220, 40), "yellow");
        assert_eq!(called(30, 120, 50), "green");
        assert_eq!(called(40, 70, 190), "blue");
        assert_eq!(called(110, 66, 35), "brown");
        assert_eq!(called(50, 25, 12), "dark brown");
        assert_eq!(called(245, 235, 210), "cream");
        assert_eq!(called(200, 170, 130), "tan");
        assert_eq!(named(&[Lab::new(50.0, 0.0, 0.0), Lab::new(52.0, 0.0, 0.0)]), ["grey", "grey 2"]);
    }
}
