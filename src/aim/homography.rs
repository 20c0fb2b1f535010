//! The projective map from the surface (mm) to the projector's picture (px).

use crate::geometry::Point;
use glam::{DMat2, DMat3, DVec2, DVec3};

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
        let scale = matrix.to_cols_array().iter().fold(0.0_f64, |largest, entry| largest.max(entry.abs()));
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

    /// A plain view with x to the right and y up, as a desk or a test looks at the surface: `px_per_mm` pixels to
    /// the millimetre, the surface's origin at `origin_px` of a picture whose y points down.
    ///
    /// # Errors
    /// [`HomographyError::Degenerate`] when the scale is not positive or a number is not finite.
    pub fn flat_view(px_per_mm: f64, origin_px: Point) -> Result<Self, HomographyError> {
        if px_per_mm <= 0.0 {
            return Err(HomographyError::Degenerate);
        }
        let matrix = DMat3::from_cols(
            DVec3::new(px_per_mm, 0.0, 0.0),
            DVec3::new(0.0, -px_per_mm, 0.0),
            DVec3::new(origin_px.x, origin_px.y, 1.0),
        );
        Self::new(matrix, Point::ORIGIN)
    }

    /// Derivative of the map at a point: the columns are the image's travel per unit of x and of y. `None` on or
    /// behind the horizon.
    ///
    /// Quotient rule on (u, v)/w: ∂(u/w) = (∂u − (u/w)·∂w)/w.
    #[must_use]
    pub fn jacobian(&self, at: Point) -> Option<DMat2> {
        let lifted = self.lift(at);
        if lifted.z <= 0.0 {
            return None;
        }
        let image = DVec2::new(lifted.x, lifted.y) / lifted.z;
        let column = |column: DVec3| (column.truncate() - image * column.z) / lifted.z;
        Some(DMat2::from_cols(column(self.matrix.x_axis), column(self.matrix.y_axis)))
    }

    /// Local scale at a point, in the directions where it is largest and least: image units per unit (the
    /// singular values of the [jacobian](Self::jacobian)). `None` on or behind the horizon.
    #[must_use]
    pub fn stretch(&self, at: Point) -> Option<(f64, f64)> {
        self.jacobian(at).map(stretch)
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

/// The singular values of a matrix, the larger first.
pub(super) fn stretch(j: DMat2) -> (f64, f64) {
    // The half sums of a 2×2 matrix: its turning part has length (σ₁+σ₂)/2, its mirroring part (σ₁−σ₂)/2.
    let turning = (j.x_axis.x + j.y_axis.y).hypot(j.x_axis.y - j.y_axis.x) / 2.0;
    let mirroring = (j.x_axis.x - j.y_axis.y).hypot(j.x_axis.y + j.y_axis.x) / 2.0;
    (turning + mirroring, (turning - mirroring).abs())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tilted() -> Homography {
        let rows = DMat3::from_cols_array_2d(&[[1.4, 0.1, 900.0], [0.05, -1.5, 560.0], [2e-5, 1.5e-4, 1.0]]);
        Homography::new(rows.transpose(), Point::ORIGIN).unwrap()
    }

    #[test]
    fn the_jacobian_is_the_difference_quotient() {
        let map = tilted();
        let (at, step) = (Point::new(310.0, -220.0), 1e-3);
        let j = map.jacobian(at).unwrap();
        for (column, way) in [(j.x_axis, (step, 0.0)), (j.y_axis, (0.0, step))] {
            let ahead = map.map(Point::new(at.x + way.0, at.y + way.1)).unwrap();
            let behind = map.map(Point::new(at.x - way.0, at.y - way.1)).unwrap();
            let quotient = (ahead - behind) / (2.0 * step);
            assert!((quotient.x - column.x).hypot(quotient.y - column.y) < 1e-7);
        }
    }

    #[test]
    fn the_stretch_is_the_longest_and_shortest_image_of_a_turning_millimetre() {
        let map = tilted();
        let at = Point::new(-400.0, 250.0);
        let (largest, least) = map.stretch(at).unwrap();
        let j = map.jacobian(at).unwrap();
        let lengths = (0..3600).map(|step| (j * DVec2::from_angle(f64::from(step) * 1e-3)).length());
        assert!((lengths.clone().fold(0.0, f64::max) - largest).abs() < 1e-5);
        assert!((lengths.fold(f64::INFINITY, f64::min) - least).abs() < 1e-5);
    }

    #[test]
    fn behind_the_horizon_there_is_no_image_and_no_scale() {
        let map = tilted();
        let behind = Point::new(0.0, -7000.0);
        assert_eq!(map.map(behind), None);
        assert_eq!(map.jacobian(behind), None);
        assert_eq!(map.stretch(behind), None);
    }

    #[test]
    fn a_flat_view_has_y_up_on_the_surface_and_down_in_the_picture() {
        let view = Homography::flat_view(0.5, Point::new(320.0, 200.0)).unwrap();
        assert_eq!(view.map(Point::new(100.0, 100.0)), Some(Point::new(370.0, 150.0)));
        assert_eq!(Homography::flat_view(0.0, Point::ORIGIN), Err(HomographyError::Degenerate));
    }
}
