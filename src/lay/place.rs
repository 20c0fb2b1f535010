//! Where one copy of a piece lies on the cloth.

use crate::geometry::tolerance::LARGEST_COORDINATE_MM;
use crate::geometry::{Affine, Point, Vec2, pair};
use crate::pattern::{Piece, PieceId};
use serde::{Deserialize, Serialize};

/// Where one copy of a piece lies on the cloth.
///
/// Turned by 0°, the upper end of its grainline points along the cloth, to positive x. Mirrored, it shows its
/// wrong side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Which piece.
    pub piece: PieceId,
    /// Which of its copies, from 1.
    pub copy: u32,
    /// Where the origin of the piece's own coordinates lies on the cloth, in mm.
    #[serde(with = "pair")]
    pub at: Point,
    /// Turn from “grainline along the cloth”, counter-clockwise, in degrees.
    #[serde(default)]
    pub turn_degrees: f64,
    /// Whether it is turned over, left for right.
    #[serde(default)]
    pub mirrored: bool,
}

impl Place {
    /// The motion from the piece's coordinates to the cloth's.
    #[must_use]
    pub fn cloth_from_piece(&self, piece: &Piece) -> Affine {
        let up = piece.grainline.direction();
        let mirror = if self.mirrored { Affine::reflect(Point::ORIGIN, up) } else { Affine::IDENTITY };
        let along_cloth = Affine::rotate(-up.atan2());
        Affine::translate(self.at.to_vec2())
            * Affine::rotate(self.turn_degrees.to_radians())
            * along_cloth
            * mirror
    }

    /// Whether it can be on any cloth: numbers, and none beyond a hundred metres.
    #[must_use]
    pub fn is_somewhere(&self) -> bool {
        let numbers = [self.at.x, self.at.y, self.turn_degrees];
        numbers.iter().all(|number| number.is_finite() && number.abs() <= LARGEST_COORDINATE_MM)
    }

    /// The direction on the cloth of the piece's upper end.
    #[must_use]
    pub fn up_on_cloth(&self) -> Vec2 {
        Vec2::from_angle(self.turn_degrees.to_radians())
    }
}
