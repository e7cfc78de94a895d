//! One exposure: the relief on its grid, and the light that every sample of it receives.

use measure::Watch;
use rayon::prelude::*;

use super::backdrop::{Face, Faces};
use super::edges::{EASE_MM, burnt, near_borders};
use super::field::{Field, Grid};
use super::frame::{BEHIND_MM, Rim};
use super::horizon::Heights;
use super::light::Lamp;
use super::noise::cell;
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

/// Charred wood, as reflectance: L* of about 20, a little red. From memory.
const CHAR: [f32; 3] = [0.045, 0.03, 0.02];

/// The most that open grain takes from what a gloss mirrors leaves this share.
const MOST_OPEN: f32 = 0.25;

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
    /// The frame before the wall, and how high it stands over that, mm.
    rim: Option<(Rim, f32)>,
    /// The colour of the face in the middle of each pixel, where wood is reckoned once a pixel.
    pixels: Vec<[f32; 3]>,
    /// How much of each sample a burnt line covers; empty where none is burnt.
    burnt: Vec<u8>,
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
    /// How closed its grain is: open and dark grain drinks the finish and mirrors less. 0 where nothing is finished.
    pub closed: f32,
}

/// Exposes the relief. `None` when stopped.
pub(super) fn expose(work: &Work, derived: &mut Derived, pose: &Pose, watch: Watch) -> Option<Shot> {
    let told = |share| (!watch.stopped()).then(|| watch.tell("lighting the relief", share));
    let rim = Rim::of(work, pose);
    let walls = pose.aside != 0 && pose.width > SOON;
    let grid = Grid::new(work.panel, pose.width, (rim.map_or(0.0, |rim| rim.beyond()), walls));
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
    let rim = rim.zip(faces.frame).map(|(rim, first)| (rim, faces.at(first).height + BEHIND_MM));
    let (pixels, burnt) = (Vec::new(), burnt(work, &grid));
    let mut shot = Shot { grid, faces, field, lamp, seen, around, levels, coarse, places, rim, pixels, burnt };
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
    let mean = |of: &dyn Fn(usize) -> f32, place: usize| {
        let (sum, count) = samples(place).fold((0.0, 0.0), |(sum, count), at| (sum + of(at), count + 1.0));
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
            mm: places().map(|place| mean(&|at| field.level(faces, at), place)).collect(),
        },
        colours: places().map(colour).collect(),
        seen: places().map(|place| mean(&|at| seen[at], place)).collect(),
        lamp,
    }
}

impl Shot {
    /// The panel's width and height, mm.
    pub(super) fn panel(&self) -> [f32; 2] {
        self.grid.panel().map(|samples| samples as f32 * self.grid.step)
    }

    /// What the middle of the sample in a column and row sends.
    pub(super) fn middling(&self, (x, y): (usize, usize)) -> Sent {
        let at = y * self.grid.across as usize + x;
        let face = self.field.face(&self.faces, at);
        let normal = self.field.normal(face, at);
        let place = self.grid.place(x, y);
        let around = self.sunk((x, y), (self.field.heights.mm[at], face.colour));
        let around = match self.rim {
            Some((rim, high)) if !face.finished => around.opened(rim.open(place, high)),
            _ => around,
        };
        let lamp = self.seen[at];
        let light = self.received(face.colour, (normal, lamp), &around);
        let lean = face.lean(place);
        let colour = self.charred(at, self.colour(face, (x, y)));
        let closed = if face.finished { (colour[1] / face.colour[1].max(1e-6)).clamp(MOST_OPEN, 1.0) } else { 0.0 };
        Sent { colour, light, lamp, normal, place, lean, open: around.open, closed }
    }

    /// What a burnt line leaves of a colour.
    fn charred(&self, at: usize, colour: [f32; 3]) -> [f32; 3] {
        let share = self.burnt.get(at).map_or(0.0, |share| f32::from(*share) / 255.0);
        std::array::from_fn(|c| colour[c] + share * (CHAR[c] - colour[c]))
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
            // The wall goes on as it is at the edge of the view.
            Hit::Beyond if self.faces.frame.is_some() => {
                self.sent((if toward < 0 { self.grid.across as usize - 1 } else { 0 }, row))
            }
            Hit::Beyond => Sent { colour: self.faces.beyond(), light: [1.0; 3], ..Sent::default() },
            Hit::Top(column) => self.sent((column, row)),
            Hit::Wall(column, z) => self.wall((column, row), (z, toward)),
        }
    }

    /// The light from all round at a place of the page, mm, and how high its surroundings stand: blended between the places
    /// where they are reckoned.
    pub(super) fn around_at(&self, place: [f32; 2]) -> (Around, f32) {
        let (step, down) = (self.grid.step * self.coarse as f32, self.around.len() / self.places);
        let [(i, right), (j, low)] = place.map(|mm| cell((mm + self.grid.beyond()) / step - 0.5));
        let (mut sum, mut level) = (Around::default(), 0.0);
        for (row, column, weight) in [
            (j, i, (1.0 - low) * (1.0 - right)),
            (j, i + 1, (1.0 - low) * right),
            (j + 1, i, low * (1.0 - right)),
            (j + 1, i + 1, low * right),
        ] {
            let [row, column] =
                [(row, down), (column, self.places)].map(|(at, of)| at.clamp(0, of as i32 - 1) as usize);
            sum.add(&self.around[row * self.places + column], weight);
            level += weight * self.levels[row * self.places + column];
        }
        (sum, level)
    }

    /// The light from all round of a sample that may lie in a gap narrower than its place. Where places are pixels the nearest
    /// will do; larger ones would show as blocks.
    pub(super) fn sunk(&self, (x, y): (usize, usize), (high, colour): (f32, [f32; 3])) -> Around {
        let place = y / self.coarse * self.places + x / self.coarse;
        let (around, level) = if self.coarse > self.grid.fine as usize {
            self.around_at(self.grid.place(x, y))
        } else {
            (self.around[place], self.levels[place])
        };
        let deep = level - high - EASE_MM;
        if deep <= 0.0 { around } else { around.narrowed(deep, colour) }
    }

    /// The colour of a sample's face, unlit.
    pub(super) fn bare(&self, (x, y): (usize, usize)) -> [f32; 3] {
        let at = y * self.grid.across as usize + x;
        let [across, down] = self.grid.place(x, y);
        self.charred(at, self.field.face(&self.faces, at).bare([across, down, 0.0], self.grid.step))
    }

    /// The same of what lies behind the pieces.
    pub(super) fn bare_backer(&self, (x, y): (usize, usize)) -> [f32; 3] {
        let face = self.field.face(&self.faces, y * self.grid.across as usize + x);
        let behind = if face.piece { &self.faces.backer } else { face };
        let [across, down] = self.grid.place(x, y);
        behind.bare([across, down, 0.0], self.grid.step)
    }

    /// What falls on a surface of a mean colour; see `sky` for the sum.
    pub(super) fn received(&self, base: [f32; 3], (normal, seen): ([f32; 3], f32), around: &Around) -> [f32; 3] {
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
