//! One exposure: the relief on its grid, and the light that every sample of it receives.

use measure::Watch;
use rayon::prelude::*;

use super::backdrop::{Face, Faces};
use super::edges::{EASE_MM, KERF_MM, near_borders};
use super::field::{Field, Grid};
use super::frame::Rim;
use super::horizon::Heights;
use super::light::Lamp;
use super::oblique::Hit;
use super::pose::Pose;
use super::sky::{Around, Scene, around};
use crate::derived::Derived;
use crate::picture::Labels;
use crate::work::Work;

/// Light from all round is reckoned on at most this many places: it is smooth, and memory is bounded so.
const MOST_PLACES: usize = 2_500_000;
/// In a picture of at most so many pixels across, wood is reckoned once a pixel: to be seen soon, as while a light is turned.
/// Its marks are as fine as a pixel then, and those of a larger picture as fine as a sample.
const SOON: u32 = 800;
/// How much more light fibres give when they lie across the lamp's direction: cut wood glows so (Marschner 2005).
const FIBRE_GLOW: f32 = 0.03;
/// How much a face brightens where its fibre leans towards the lamp by a whole sine: the shimmer of figured wood.
const LUSTRE: f32 = 1.1;

/// How far in front of a wall its foot is looked for, mm: past the kerf and the eased edge beyond.
const IN_FRONT_MM: f32 = 1.6;

/// How far up and down a wall its light is taken together, mm, in so many steps either way; and how far heights may differ there, mm.
const CALM_ALONG_MM: f32 = 3.0;
const CALM_STEPS: i32 = 5;
const CALM_MM: f32 = 1.0;
/// A wall that runs flatter than this many columns a row is followed no further aside.
const FLATTEST: f32 = 2.0;

/// The relief and the light on it.
pub(super) struct Shot {
    pub grid: Grid,
    pub faces: Faces,
    pub field: Field,
    pub lamp: Lamp,
    pub seen: Vec<f32>,
    around: Vec<Around>,
    /// How high each place of `around` stands on the mean, mm.
    levels: Vec<f32>,
    /// Samples across and down a place of `around`, and its places across.
    coarse: usize,
    places: usize,
    /// The colour of the face in the middle of each pixel, where wood is reckoned once a pixel.
    pixels: Vec<[f32; 3]>,
}

/// The mean of some samples: how high they stand, how much of the lamp they see, and their light from all round.
struct Calm {
    high: f32,
    seen: f32,
    around: Around,
}

/// What one sample sends to the eye.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sent {
    /// Reflectance.
    pub colour: [f32; 3],
    /// What falls on it, in shares of what falls on an open, flat face.
    pub light: [f32; 3],
    /// How much of the lamp it sees.
    pub lamp: f32,
    pub normal: [f32; 3],
    /// Where on the page it lies, mm.
    pub place: [f32; 2],
    /// How its face leans out of true.
    pub lean: [f32; 2],
    /// How much of the room a gloss may mirror there.
    pub open: f32,
}

/// Exposes the relief. `None` when stopped.
pub(super) fn expose(work: &Work, derived: &mut Derived, pose: &Pose, watch: Watch) -> Option<Shot> {
    let told = |share| (!watch.stopped()).then(|| watch.tell("lighting the relief", share));
    let rim = Rim::of(work, pose);
    let grid = Grid::new(work.panel, pose.width, rim.map_or(0.0, |rim| rim.beyond()));
    let outlines = derived.outlines(work);
    let faces = Faces::of((work, derived), pose, grid.step);
    let [across, down] = grid.panel();
    let mut labels = within(outlines.labels(across, down), &grid);
    told(0.1)?;
    let mut edges = near_borders(work, &outlines, &grid, watch)?;
    if let Some((rim, first)) = rim.zip(faces.frame) {
        rim.lay(first, (&mut labels, &mut edges), &grid);
    }
    let field = Field::new(&faces, labels, edges, grid);
    told(0.2)?;
    let lamp = Lamp::new(pose.light);
    let seen = lamp.seen(&field.heights, watch)?;
    told(0.4)?;
    let coarse = coarse(&grid);
    let scene = scene(&field, &faces, (&lamp, &seen, coarse));
    let (places, levels) = (scene.heights.across, scene.heights.mm.clone());
    let around = around(scene, watch)?;
    told(0.7)?;
    let mut shot = Shot { grid, faces, field, lamp, seen, around, levels, coarse, places, pixels: Vec::new() };
    if grid.width <= SOON {
        shot.pixels =
            (0..grid.width as usize * grid.height as usize).into_par_iter().map(|at| shot.pixel(at)).collect();
    }
    Some(shot)
}

/// The panel's labels with the rim about them.
fn within(panel: Labels, grid: &Grid) -> Labels {
    if grid.rim == 0 {
        return panel;
    }
    let (across, rim, inner) = (grid.across as usize, grid.rim as usize, panel.width as usize);
    let mut of = vec![0; across * grid.down as usize];
    for (row, line) in panel.of.chunks_exact(inner).enumerate() {
        of[(row + rim) * across + rim..][..inner].copy_from_slice(line);
    }
    Labels { width: grid.across, height: grid.down, of }
}

/// Samples across and down one place where light from all round is reckoned: a pixel, or as many as memory asks for.
fn coarse(grid: &Grid) -> usize {
    let pixels = grid.width as usize * grid.height as usize;
    let mut side = 1;
    while pixels / (side * side) > MOST_PLACES {
        side += 1;
    }
    side * grid.fine as usize
}

fn scene<'a>(field: &Field, faces: &Faces, (lamp, seen, coarse): (&'a Lamp, &[f32], usize)) -> Scene<'a> {
    let fine = &field.heights;
    let size = [fine.across, fine.mm.len() / fine.across].map(|samples| samples.div_ceil(coarse));
    let samples = |place: usize| {
        let (left, top) = (place % size[0] * coarse, place / size[0] * coarse);
        let (right, low) = ((left + coarse).min(fine.across), (top + coarse).min(fine.down));
        (top..low).flat_map(move |row| (left..right).map(move |column| row * fine.across + column))
    };
    let mean = |of: &[f32], place: usize| {
        let (sum, count) = samples(place).fold((0.0, 0.0), |(sum, count), at| (sum + of[at], count + 1.0));
        sum / count
    };
    let places = || (0..size[0] * size[1]).into_par_iter();
    let colour = |place: usize| {
        let middle = samples(place).nth(coarse / 2).or(samples(place).next()).expect("a place has a sample");
        field.face(faces, middle).colour
    };
    Scene {
        heights: Heights {
            across: size[0],
            down: size[1],
            step: fine.step * coarse as f32,
            mm: places().map(|place| mean(&fine.mm, place)).collect(),
        },
        colours: places().map(colour).collect(),
        seen: places().map(|place| mean(seen, place)).collect(),
        lamp,
    }
}

impl Shot {
    /// The panel's width and height, mm.
    pub(super) fn panel(&self) -> [f32; 2] {
        self.grid.panel().map(|samples| samples as f32 * self.grid.step)
    }

    /// What the sample in a column and row sends.
    pub(super) fn sent(&self, (x, y): (usize, usize)) -> Sent {
        let at = y * self.grid.across as usize + x;
        let face = self.field.face(&self.faces, at);
        let normal = self.field.normal(face, at);
        let around = self.sunk((x, y), face.colour);
        let lamp = self.seen[at];
        let light = self.received(face.colour, (normal, lamp), &around);
        let place = self.grid.place(x, y);
        let lean = face.lean(place);
        Sent { colour: self.colour(face, (x, y)), light, lamp, normal, place, lean, open: around.open }
    }

    /// The colour of a sample's face: its pixel's where that is known and of the same face.
    fn colour(&self, face: &Face, (x, y): (usize, usize)) -> [f32; 3] {
        let fine = self.grid.fine as usize;
        let pixel = [x / fine, y / fine];
        if let Some(colour) = self.pixels.get(pixel[1] * self.grid.width as usize + pixel[0])
            && std::ptr::eq(face, self.middle(pixel))
        {
            return *colour;
        }
        let [across, down] = self.grid.place(x, y);
        self.surface(face, ([across, down, 0.0], self.grid.step))
    }

    /// The face of the sample at the middle of a pixel, or right and below of it.
    fn middle(&self, [column, row]: [usize; 2]) -> &Face {
        let fine = self.grid.fine as usize;
        let at = (row * fine + fine / 2) * self.grid.across as usize + column * fine + fine / 2;
        self.field.face(&self.faces, at)
    }

    fn pixel(&self, at: usize) -> [f32; 3] {
        let (column, row) = (at % self.grid.width as usize, at / self.grid.width as usize);
        let step = self.grid.step * self.grid.fine as f32;
        let [across, down] = [column, row].map(|at| (at as f32 + 0.5) * step - self.grid.beyond());
        let place = [across, down, 0.0];
        self.surface(self.middle([column, row]), (place, step))
    }

    /// What a place of the picture sends, seen from aside.
    pub(super) fn sent_aside(&self, (hit, row): (Hit, usize), toward: i32) -> Sent {
        match hit {
            Hit::Beyond => Sent { colour: self.faces.beyond(), light: [1.0; 3], ..Sent::default() },
            Hit::Top(column) => self.sent((column, row)),
            Hit::Wall(column, z) => self.wall((column, row), (z, toward)),
        }
    }

    /// What a wall sends, `z` mm above the backer: lit between what lies at its foot and what its top sees.
    fn wall(&self, (x, y): (usize, usize), (z, toward): (f32, i32)) -> Sent {
        let across = self.grid.across as usize;
        let ahead = |mm: f32| x as i32 + toward * (mm / self.grid.step).ceil() as i32;
        let inside = |x: i32| (0..across as i32).contains(&x).then_some(x as usize);
        let at = y * across + x;
        let (face, height) = (self.field.face(&self.faces, at), self.field.heights.mm[at]);
        let normal = self.field.out(at, toward as f32);
        let along = (-normal[1] / normal[0]).clamp(-FLATTEST, FLATTEST);
        let foot = inside(ahead(IN_FRONT_MM)).or(inside(x as i32 + toward));
        let top = self.calm((x, y), (along, CALM_MM));
        let Some(foot) = foot else { return self.rim((face, z), (normal, top.around.open), [x, y]) };
        let foot = self.calm((foot, y), (along, f32::INFINITY));
        let low = foot.high.min(height);
        let up = ((z - low) / (height - low).max(1e-3)).clamp(0.0, 1.0);
        let mix = |a: f32, b: f32| a + up * (b - a);
        let (one, other) = (foot.around, top.around);
        let around = Around {
            open: mix(one.open, other.open),
            thrown: std::array::from_fn(|c| mix(one.thrown[c], other.thrown[c])),
            back: std::array::from_fn(|c| mix(one.back[c], other.back[c])),
        };
        let seen = mix(foot.seen, top.seen);
        let light = self.received(face.colour, (normal, seen), &around);
        let [mm_across, mm_down] = self.grid.place(x, y);
        Sent {
            colour: face.bare([mm_across, mm_down, z - face.height], self.grid.step),
            light,
            normal,
            ..Sent::default()
        }
    }

    /// The light about a sample: the mean up and down a wall that runs `along` columns a row, where heights differ less than
    /// `within`, for a wall and its foot run by whole samples.
    fn calm(&self, (x, y): (usize, usize), (along, within): (f32, f32)) -> Calm {
        let heights = &self.field.heights;
        let level = heights.mm[y * heights.across + x];
        let step = CALM_ALONG_MM / CALM_STEPS as f32 / self.grid.step;
        let place = |by: i32| {
            let rows = (by as f32 * step).round();
            let (column, row) = (x as i32 + (along * rows).round() as i32, y as i32 + rows as i32);
            let inside = (0..heights.across as i32).contains(&column) && (0..heights.down as i32).contains(&row);
            inside.then_some(row as usize * heights.across + column as usize)
        };
        let near = (-CALM_STEPS..=CALM_STEPS).filter_map(place).filter(|at| (heights.mm[*at] - level).abs() < within);
        let (mut high, mut seen, mut sum, mut count) = (0.0, 0.0, Around::default(), 0.0);
        for at in near {
            high += heights.mm[at];
            let here = self.around_at((at % heights.across, at / heights.across));
            seen += self.seen[at];
            sum.open += here.open;
            (0..3).for_each(|c| {
                (sum.thrown[c], sum.back[c]) = (sum.thrown[c] + here.thrown[c], sum.back[c] + here.back[c])
            });
            count += 1.0;
        }
        let mean = |values: [f32; 3]| values.map(|value| value / count);
        let around = Around { open: sum.open / count, thrown: mean(sum.thrown), back: mean(sum.back) };
        Calm { high: high / count, seen: seen / count, around }
    }

    /// What the panel's own edge sends: half of what it sees is open, half the wall that all hangs on.
    fn rim(&self, (face, z): (&Face, f32), (normal, open): ([f32; 3], f32), [x, y]: [usize; 2]) -> Sent {
        let (beyond, sky) = (self.faces.beyond(), self.lamp.sky());
        let direct = self.lamp.on(normal);
        let light = std::array::from_fn(|c| self.lamp.tint()[c] * direct + 0.5 * (open * sky[c] + beyond[c]));
        let [across, down] = self.grid.place(x, y);
        Sent { colour: face.bare([across, down, z - face.height], self.grid.step), light, normal, ..Sent::default() }
    }

    fn around_at(&self, (x, y): (usize, usize)) -> &Around {
        &self.around[y / self.coarse * self.places + x / self.coarse]
    }

    /// The light from all round of a sample that may lie in a gap narrower than its place: of that the gap lets in a share
    /// and hides the rest behind walls taken to be of the sample's colour.
    fn sunk(&self, (x, y): (usize, usize), colour: [f32; 3]) -> Around {
        let place = y / self.coarse * self.places + x / self.coarse;
        let around = self.around[place];
        let deep = self.levels[place] - self.field.heights.mm[y * self.grid.across as usize + x] - EASE_MM;
        if deep <= 0.0 {
            return around;
        }
        let share = KERF_MM / (KERF_MM + 2.0 * deep);
        Around {
            open: share * around.open,
            thrown: around.thrown.map(|thrown| share * thrown),
            back: std::array::from_fn(|c| share * around.back[c] + (1.0 - share) * colour[c]),
        }
    }

    /// The colour of a sample's face, unlit.
    pub(super) fn bare(&self, (x, y): (usize, usize)) -> [f32; 3] {
        let face = self.field.face(&self.faces, y * self.grid.across as usize + x);
        let [across, down] = self.grid.place(x, y);
        face.bare([across, down, 0.0], self.grid.step)
    }

    /// The same of what lies behind the pieces.
    pub(super) fn bare_backer(&self, (x, y): (usize, usize)) -> [f32; 3] {
        let face = self.field.face(&self.faces, y * self.grid.across as usize + x);
        let behind = if face.piece { &self.faces.backer } else { face };
        let [across, down] = self.grid.place(x, y);
        behind.bare([across, down, 0.0], self.grid.step)
    }

    /// What falls on a surface of a mean colour; see `sky` for the sum.
    fn received(&self, base: [f32; 3], (normal, seen): ([f32; 3], f32), around: &Around) -> [f32; 3] {
        let (tint, sky) = (self.lamp.tint(), self.lamp.sky());
        let up = 0.5 * (1.0 + normal[2]);
        let direct = seen * self.lamp.on(normal);
        std::array::from_fn(|c| {
            let outside = around.open * sky[c] + around.thrown[c];
            let sent = base[c] * (seen * self.lamp.share * tint[c] + outside) / (1.0 - base[c] * around.back[c]);
            direct * tint[c] + up * (outside + around.back[c] * sent) + (1.0 - up) * sent
        })
    }

    /// The colour of a face at a place: the mean of its wood, with the marks of the solid and the glow of its fibres.
    fn surface(&self, face: &Face, (at, sample): ([f32; 3], f32)) -> [f32; 3] {
        let Some(solid) = &face.solid else { return face.colour };
        let shown = solid.shown(at, sample);
        let bare = match &face.photo {
            Some(photo) => photo.at([at[0], at[1]]),
            None => std::array::from_fn(|c| face.colour[c] * shown.colour[c]),
        };
        let (along, [x, y, up]) = (solid.along(), self.lamp.toward);
        let across = (along[0] * y - along[1] * x) / (1.0 - up * up).sqrt().max(1e-3);
        let glow = 1.0 + FIBRE_GLOW * (2.0 * across * across - 1.0);
        let shimmer = 1.0 + LUSTRE * shown.lean * (along[0] * x + along[1] * y);
        bare.map(|channel| glow * shimmer * channel)
    }
}

#[cfg(test)]
impl Shot {
    /// The same relief with every face white, for the white furnace.
    pub(super) fn whiten(&mut self) {
        self.faces.whiten();
        self.pixels.clear();
        let scene = scene(&self.field, &self.faces, (&self.lamp, &self.seen, self.coarse));
        self.around = around(scene, Watch::silent()).expect("nobody stops it");
    }
}
