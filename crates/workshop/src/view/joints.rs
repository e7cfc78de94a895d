//! Joints between pieces, as fine as they are: a gap narrower than a sample takes its share of it and no more.
//!
//! A sample sees its middle alone, so that a thin joint would come and go from sample to sample and break into dashes. Where a gap
//! takes part of a sample, both are reckoned, the piece at its edge and the backer in the gap, and blended by their shares in
//! linear light. Where it fails: the share is that of a straight gap square to the sample's middle, and joints that meet within a
//! sample count once.

use super::expose::{Sent, Shot};

impl Shot {
    /// What the sample in a column and row sends.
    pub(super) fn sent(&self, (x, y): (usize, usize)) -> Sent {
        let across = self.grid.across as usize;
        let at = y * across + x;
        let gap = self.field.gap(&self.faces, at);
        if gap == 0.0 || gap == 1.0 {
            return self.middling((x, y));
        }
        if self.field.on_piece(at) {
            return blended(self.middling((x, y)), self.in_gap((x, y)), gap);
        }
        let beside = self.field.beside(at).map(|beside| (beside % across, beside / across));
        beside
            .map_or_else(|| self.middling((x, y)), |beside| blended(self.middling(beside), self.middling((x, y)), gap))
    }

    /// What the backer sends at the bottom of a gap that a sample on a piece has a part of: the lamp does not reach it.
    fn in_gap(&self, (x, y): (usize, usize)) -> Sent {
        let (backer, normal) = (&self.faces.backer, [0.0, 0.0, 1.0]);
        let around = self.sunk((x, y), (backer.height, backer.colour));
        let [across, down] = self.grid.place(x, y);
        let colour = backer.bare([across, down, 0.0], self.grid.step);
        Sent { colour, light: self.received(backer.colour, (normal, 0.0), &around), normal, ..Sent::default() }
    }
}

/// A piece and a share of what lies in the gap beside it; what the eye gets is the mean of both.
fn blended(piece: Sent, gap: Sent, share: f32) -> Sent {
    let mean = |one: f32, other: f32| one + share * (other - one);
    let colour: [f32; 3] = std::array::from_fn(|c| mean(piece.colour[c], gap.colour[c]));
    let light = |c: usize| mean(piece.colour[c] * piece.light[c], gap.colour[c] * gap.light[c]) / colour[c].max(1e-6);
    Sent {
        colour,
        light: std::array::from_fn(light),
        lamp: mean(piece.lamp, 0.0),
        open: mean(piece.open, 0.0),
        ..piece
    }
}
