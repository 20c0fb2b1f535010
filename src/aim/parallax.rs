//! Light that meets the top of the cloth before it reaches the surface.
//!
//! A ray that would land at P + (P − F)·t/(h − t) on the surface meets the plane t above it at P, where F is the foot
//! of the plumb line from the lens and h the lens's height. So the map for the cloth's top is the surface's after a
//! dilation about F by h/(h − t) (intercept theorem), for any tilt and any shift of the lens.
//!
//! The height has to be taped: taken from the homography it is wrong by a sixth at small tilts, and by any amount
//! when the lens is shifted. 50 mm of error leave less than 0.1 mm in a 1.6 m wide picture on cloth 5 mm thick. The
//! foot matters less: a wrong one displaces all of the light together, by t/(h − t) of its error (1.8 mm for cloth of
//! 5 mm and 650 mm of error), and bends nothing; where none is given the middle of the picture stands for it.

use super::AimError;
use super::homography::Homography;
use crate::geometry::Point;
use crate::geometry::tolerance::LARGEST_COORDINATE_MM;
use glam::{DMat3, DVec3};
use serde::{Deserialize, Serialize};

/// Highest lens, in mm above the surface.
const LENS_MOST_MM: f64 = 20_000.0;
/// The lens is at least so many times higher than the cloth is thick.
const LENS_TIMES: f64 = 5.0;

/// How high the cloth lifts the light's landing place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClothRise {
    /// From the surface to the top of the cloth, all plies together, in mm.
    pub thickness_mm: f64,
    /// From the surface to the projector's lens, plumb, in mm.
    pub lens_height_mm: f64,
    /// The place of the surface plumb under the lens, in mm; `None` for the middle of the picture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foot: Option<(f64, f64)>,
}

impl ClothRise {
    /// Refuses numbers that are none and a lens in the cloth.
    pub(super) fn check(&self) -> Result<(), AimError> {
        let Self { thickness_mm, lens_height_mm, foot } = *self;
        let reach = LARGEST_COORDINATE_MM;
        let foot_known = foot.is_none_or(|(x, y)| x.abs() <= reach && y.abs() <= reach);
        let thickness_known = (0.0..=lens_height_mm / LENS_TIMES).contains(&thickness_mm);
        if foot_known && thickness_known && lens_height_mm > 0.0 && lens_height_mm <= LENS_MOST_MM {
            Ok(())
        } else {
            Err(AimError::Cloth { thickness_mm, lens_height_mm })
        }
    }

    /// The map from the cloth's top to the picture. `middle` is the surface's place in the middle of the picture.
    pub(super) fn picture_from_cloth(
        &self,
        picture_from_surface: &Homography,
        middle: Point,
    ) -> Result<Homography, AimError> {
        self.check()?;
        let foot = self.foot.map_or(middle, Point::from);
        let growth = self.lens_height_mm / (self.lens_height_mm - self.thickness_mm);
        let dilation = DMat3::from_cols(
            DVec3::new(growth, 0.0, 0.0),
            DVec3::new(0.0, growth, 0.0),
            DVec3::new(foot.x * (1.0 - growth), foot.y * (1.0 - growth), 1.0),
        );
        Ok(Homography::new(picture_from_surface.matrix() * dilation, middle)?)
    }
}
