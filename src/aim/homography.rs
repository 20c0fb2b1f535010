//! The projective map from the surface (mm) to the projector's picture (px).

use crate::geometry::Point;
use glam::{DMat3, DVec3};

/// A projective map of the plane. Named from what to what at each use: `picture_from_surface`.
///
/// Points in front of the lens have a positive third coordinate `w`; [`Homography::new`] cannot know the sign,
/// so it is fixed by the place that is asked to be in front.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Homography {
    matrix: DMat3,
}

/// Why a matrix is no aim.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum HomographyError {
    /// It flattens the plane to a line, or holds something that is not a number.
    #[error("the aim flattens the surface to a line; measure the marks again")]
    Degenerate,
}

impl Homography {
    /// A map from its matrix, scaled so that `in_front` has w > 0 (−H is the same map, but a renderer would clip
    /// all of it).
    ///
    /// # Errors
    /// [`HomographyError::Degenerate`] when the matrix has no inverse or is not finite, or when `in_front` lies
    /// on the horizon.
    pub fn new(matrix: DMat3, in_front: Point) -> Result<Self, HomographyError> {
        let scale = matrix
            .to_cols_array()
            .iter()
            .fold(0.0_f64, |largest, entry| largest.max(entry.abs()));
        if !matrix.is_finite() || scale == 0.0 {
            return Err(HomographyError::Degenerate);
        }
        let map = Self { matrix };
        let w = map.lift(in_front).z;
        let matrix = matrix * w.signum();
        if w == 0.0 || matrix.determinant() == 0.0 || !matrix.inverse().is_finite() {
            return Err(HomographyError::Degenerate);
        }
        Ok(Self { matrix })
    }

    /// The matrix, column-major.
    #[must_use]
    pub const fn matrix(&self) -> DMat3 {
        self.matrix
    }

    /// Homogeneous image of a point.
    #[must_use]
    pub fn lift(&self, point: Point) -> DVec3 {
        self.matrix * DVec3::new(point.x, point.y, 1.0)
    }

    /// Image of a point; `None` on or behind the horizon.
    #[must_use]
    pub fn map(&self, point: Point) -> Option<Point> {
        let lifted = self.lift(point);
        (lifted.z > 0.0).then(|| Point::new(lifted.x / lifted.z, lifted.y / lifted.z))
    }

    /// The map the other way, positive at the image of `in_front`.
    ///
    /// # Errors
    /// [`HomographyError::Degenerate`] when `in_front` is not in front.
    pub fn inverse(&self, in_front: Point) -> Result<Self, HomographyError> {
        let image = self.map(in_front).ok_or(HomographyError::Degenerate)?;
        Self::new(self.matrix.inverse(), image)
    }

    /// The matrix in rows with the last entry 1, as it is written in files; `None` when that entry is 0.
    #[must_use]
    pub fn rows(&self) -> Option<[[f64; 3]; 3]> {
        let corner = self.matrix.z_axis.z;
        if corner == 0.0 {
            return None;
        }
        let m = (self.matrix * corner.recip()).transpose();
        Some([m.x_axis, m.y_axis, m.z_axis].map(|row| row.to_array()))
    }
}
