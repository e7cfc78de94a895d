//! The demo's scene: its picture rendered from SVG, and its parts found by place.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use measure::length::Um;
use resvg::{tiny_skia, usvg};
use serde::Deserialize;
use workshop::Derived;
use workshop::pattern::Outlines;
use workshop::work::edit::{Edit, part, relief};
use workshop::work::{Depth, Number, PartId, Says, Strength, Whom, Work};

use crate::args::Start;

const SVG: &str = include_str!("../../../../demo/heron.svg");
const PARTS: &str = include_str!("../../../../demo/parts.json");
/// Pixels across of the rendered picture: a little over what the working size keeps.
const PIXELS: u32 = 2000;

/// The scene as the bytes of a PNG.
pub fn picture() -> Vec<u8> {
    let tree = usvg::Tree::from_str(SVG, &usvg::Options::default()).expect("the demo's SVG is well formed");
    let scale = PIXELS as f32 / tree.size().width();
    let height = (tree.size().height() * scale).round() as u32;
    let mut pixels = tiny_skia::Pixmap::new(PIXELS, height).expect("the size is not zero");
    resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut pixels.as_mut());
    pixels.encode_png().expect("memory takes every write")
}

/// What a maker would have typed.
pub fn start(folder: &Path) -> Start {
    Start {
        mask: None,
        picture: folder.join("heron.png"),
        out: folder.join("heron.spelk"),
        width: Some("420mm".into()),
        pieces: 180,
        woods: 9,
        stock: "thick".into(),
        backer: "walnut-black".into(),
        keep_all: true,
        ink: "leave".into(),
        bridge: None,
        crop: None,
        turn: None,
        on_paper: false,
        corners: None,
        sheet_height: None,
        unit: None,
        title: Some("Heron at dusk".into()),
        author: "the spelk authors".into(),
        source: "demo/heron.svg".into(),
        permission: "MIT or Apache-2.0".into(),
        least_width: None,
        least_area: None,
        readable_step: None,
        raisers: None,
        heights: None,
        json: false,
    }
}

/// The maker's parts of the scene, and how they stand.
#[derive(Deserialize)]
struct Scene {
    parts: Vec<ScenePart>,
    #[serde(default)]
    relations: Vec<SceneRelation>,
}

/// A part by its place: every piece whose widest circle has its centre in the polygon and which no later part claims.
#[derive(Deserialize)]
struct ScenePart {
    name: String,
    #[serde(default)]
    within: Option<String>,
    /// In fractions of the panel's width and height; empty for a part that only holds others.
    #[serde(default)]
    polygon: Vec<(f64, f64)>,
    #[serde(default)]
    depth: Option<Depth>,
}

/// One part stands above another.
#[derive(Deserialize)]
struct SceneRelation {
    above: String,
    below: String,
    at_least_mm: f64,
}

/// The edits that name the parts, mark their depth and relate them.
pub fn parts(work: &Work, derived: &mut Derived) -> Vec<Edit> {
    let scene: Scene = serde_json::from_str(PARTS).expect("the demo's parts are well formed");
    let owners = owners(work, &derived.outlines(work), &scene);
    // Parts are numbered in the order that they are named.
    let id = |name: &str| {
        let at = scene.parts.iter().position(|part| part.name == name).expect("the scene names only its own parts");
        PartId(work.next.part + at as u32)
    };
    let name = scene.parts.iter().map(|part| {
        let pieces: BTreeSet<Number> =
            owners.iter().filter(|(_, owner)| **owner == part.name).map(|(number, _)| *number).collect();
        Edit::Part(part::Edit::Name { name: part.name.clone(), pieces, within: part.within.as_deref().map(id) })
    });
    let mark = scene.parts.iter().filter_map(|part| {
        let depth = part.depth?;
        Some(Edit::Relief(relief::Edit::Mark { whom: Whom::Part(id(&part.name)), depth }))
    });
    let relate = scene.relations.iter().map(|said| {
        let by = Um::mm(said.at_least_mm);
        let says = Says::AtLeast { above: Whom::Part(id(&said.above)), below: Whom::Part(id(&said.below)), by };
        Edit::Relief(relief::Edit::Relate { says, strength: Strength::Must })
    });
    name.chain(mark).chain(relate).collect()
}

/// The part that each piece belongs to: the last whose polygon holds it.
fn owners<'a>(work: &Work, outlines: &Outlines, scene: &'a Scene) -> BTreeMap<Number, &'a str> {
    let (width, height) = (work.panel.width.to_mm(), work.panel.height.to_mm());
    let place = |number: &Number| {
        let (x, y) = outlines.areas[&work.pieces[number].area].widest.centre.to_mm();
        (x / width, y / height)
    };
    let owner = |number: &Number| {
        let at = place(number);
        scene.parts.iter().rev().find(|part| inside(&part.polygon, at)).map(|part| (*number, part.name.as_str()))
    };
    work.pieces.keys().filter_map(owner).collect()
}

/// Whether a point lies in a polygon, by crossings.
fn inside(polygon: &[(f64, f64)], (x, y): (f64, f64)) -> bool {
    let edges = polygon.iter().zip(polygon.iter().cycle().skip(1));
    let crossed =
        edges.filter(|&(&(ax, ay), &(bx, by))| (ay > y) != (by > y) && x < (bx - ax) * (y - ay) / (by - ay) + ax);
    crossed.count() % 2 == 1
}
