//! The frame about the panel: four members mitred at 45°, their grain along them, the lip of the rabbet over the panel's edge.
//!
//! Seen from the front and from aside a lip over the backer looks as a moulding that stands on it, and so it is reckoned. Where
//! it fails: the moulding is flat with eased edges, whatever its profile.

use super::edges::{EASE_MM, Edge, FAR};
use super::field::Grid;
use super::pose::Pose;
use crate::picture::Labels;
use crate::work::{Axis, Work};

/// The lip stands so far before the highest piece where no depth is given, mm: room under glass. From memory.
const HEADROOM_MM: f32 = 3.0;
/// How far from a mitre its fine line shows, mm, and how near to a sawn edge it is eased there.
const MITRE_MM: f32 = 0.35;
const MITRE_EASED_MM: f32 = 0.55;
/// So much of the wall shows about the frame, mm: as far as the shade of a deep frame falls. The wall lies behind the backer's face by
/// the thickness of a board. Both common practice, no source.
const WALL_MM: f32 = 46.0;
pub(super) const BEHIND_MM: f32 = 9.0;
/// The members in their order: towards the opening on the page, and their grain in degrees.
const MEMBERS: [([i8; 2], f64); 4] = [([0, 127], 0.0), ([-127, 0], 90.0), ([0, -127], 0.0), ([127, 0], 90.0)];

/// A frame's measures, mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rim {
    panel: [f32; 2],
    /// The width of its face.
    width: f32,
    /// How far it lies over the panel.
    lip: f32,
    /// How much of the wall shows about it.
    wall: f32,
}

impl Rim {
    /// The job's frame, where the view is to show it.
    pub(super) fn of(work: &Work, pose: &Pose) -> Option<Rim> {
        let whole = pose.frame && pose.part.is_none() && !pose.only_set;
        let frame = work.choices.frame.as_ref().filter(|_| whole)?;
        let panel = [work.panel.width, work.panel.height].map(|side| side.to_mm() as f32);
        let wall = if pose.wall { WALL_MM } else { 0.0 };
        Some(Rim { panel, width: frame.width.to_mm() as f32, lip: frame.lip.to_mm() as f32, wall })
    }

    /// How far it reaches beyond the panel, mm.
    fn reach(&self) -> f32 {
        self.width - self.lip
    }

    /// The same with the wall about it.
    pub(super) fn beyond(&self) -> f32 {
        self.reach() + self.wall
    }

    /// Lays its members and the wall over what the panel shows; their labels count on from `first`, the wall's last.
    pub(super) fn lay(&self, first: u32, (labels, edges): (&mut Labels, &mut [Edge]), grid: &Grid) {
        let across = grid.across as usize;
        for (at, (label, edge)) in labels.of.iter_mut().zip(edges).enumerate() {
            if let Some((member, own)) = self.at(grid.place(at % across, at / across)) {
                (*label, *edge) = (first + member as u32, own);
            }
        }
    }

    /// The member at a place of the panel, or the wall, and how near its edge is; none in the opening.
    fn at(&self, [x, y]: [f32; 2]) -> Option<(usize, Edge)> {
        let [right, low] = self.panel.map(|side| side - self.lip);
        let out = [self.lip - y, x - right, y - low, self.lip - x];
        let member = (0..4).max_by(|a, b| out[*a].total_cmp(&out[*b])).filter(|member| out[*member] > 0.0)?;
        if out[member] > self.width {
            return Some((MEMBERS.len(), FAR));
        }
        let (opening, rim) = (out[member], self.width - out[member]);
        let [into_x, into_y] = MEMBERS[member].0;
        let near = if opening < rim { (opening, [into_x, into_y]) } else { (rim.max(0.0), [-into_x, -into_y]) };
        let mitre =
            (0..4).filter(|other| *other != member).map(|other| out[member] - out[other]).fold(f32::INFINITY, f32::min);
        if mitre < MITRE_MM {
            return Some((member, Edge { mm: MITRE_EASED_MM + mitre, toward: [-into_x, -into_y], half: 0 }));
        }
        let edge = if near.0 < EASE_MM { Edge { mm: near.0, toward: near.1, half: 0 } } else { FAR };
        Some((member, edge))
    }

    /// The share of the sky, weighted by the cosine, that a place of the wall sees past the frame, whose face stands so high over the wall,
    /// mm: what its sides take is exact (view factor of an upright rectangle on the plane of an element; Howell, A Catalog of Radiation Heat
    /// Transfer Configuration Factors).
    pub(super) fn open(&self, place: [f32; 2], high: f32) -> f32 {
        let first = -self.reach();
        let last = self.panel.map(|side| side + self.reach());
        let hidden = |axis: usize| {
            let (away, along) = (place[axis], place[1 - axis]);
            let away = (first - away).max(away - last[axis]);
            if away <= 0.0 { 0.0 } else { taken(last[1 - axis] - along, away, high) - taken(first - along, away, high) }
        };
        1.0 - hidden(0) - hidden(1)
    }

    /// The middle of each member, mm.
    pub(super) fn middles(&self) -> [[f32; 2]; 4] {
        self.members().map(|ring| [0, 1].map(|axis| ring.iter().map(|corner| corner[axis]).sum::<f32>() / 4.0))
    }

    /// The members as rings on the panel, mm, each walked with its material to the right.
    pub(super) fn members(&self) -> [[[f32; 2]; 4]; 4] {
        let ring = |by: f32| {
            let [right, low] = self.panel.map(|side| side - by);
            [[by, by], [right, by], [right, low], [by, low]]
        };
        let (outer, inner) = (ring(-self.reach()), ring(self.lip));
        std::array::from_fn(|at| {
            let next = (at + 1) % 4;
            [outer[at], outer[next], inner[next], inner[at]]
        })
    }
}

/// What an upright rectangle so far away and so high takes of the sky from straight ahead `to` one side.
fn taken(to: f32, away: f32, high: f32) -> f32 {
    let slant = (away * away + high * high).sqrt();
    (libm::atanf(to / away) - away / slant * libm::atanf(to / slant)) / std::f32::consts::TAU
}

/// The names of the members, in their order.
pub(super) const NAMES: [&str; 4] = ["frame above", "frame right", "frame below", "frame left"];

/// The grain of each member.
pub(super) fn grains() -> [Axis; 4] {
    MEMBERS.map(|(_, degrees)| Axis::degrees(degrees))
}

/// How far the lip stands before the backer, mm: as deep as the frame is said to be, or clear of the highest piece.
pub(super) fn depth(work: &Work, highest: f32) -> f32 {
    work.choices.frame_depth.map_or(highest + HEADROOM_MM, |depth| depth.to_mm() as f32)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against rays in directions that are even under the cosine: which meet the sides of the frame.
    #[test]
    fn a_place_of_the_wall_sees_the_sky_past_the_frame() {
        let rim = Rim { panel: [200.0, 120.0], width: 25.0, lip: 5.0, wall: 46.0 };
        let high = 40.0;
        for [x, y] in [[225.0f32, 60.0], [240.0, 150.0], [230.0, -30.0], [-50.0, 10.0], [80.0, 141.0]] {
            let (rings, ways) = (500, 720);
            let free = |at: i32| {
                let sine = ((f64::from(at / ways) + 0.5) / f64::from(rings)).sqrt();
                let way = f64::from(at % ways) / f64::from(ways) * std::f64::consts::TAU;
                let up = (1.0 - sine * sine).sqrt();
                // From where to where the ray is over the frame, in its own length.
                let [across, down] = [(x, libm::cos(way), 200.0), (y, libm::sin(way), 120.0)].map(|(at, way, side)| {
                    let ends = [-20.0, side + 20.0].map(|end| (end - f64::from(at)) / (sine * way));
                    (ends[0].min(ends[1]), ends[0].max(ends[1]))
                });
                let (from, to) = (across.0.max(down.0), across.1.min(down.1));
                !(to > 0.0 && from < to && from.max(0.0) * up < f64::from(high))
            };
            let seen = (0..rings * ways).filter(|at| free(*at)).count() as f64 / f64::from(rings * ways);
            let found = f64::from(rim.open([x, y], high));
            assert!((found - seen).abs() < 0.005, "{x} {y}: {found} {seen}");
        }
    }
}
