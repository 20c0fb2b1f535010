//! How light is thrown: the straight map, and the lens that bends what it maps.
//!
//! A lens bends in the picture's own pixels, about its centre. The window may show that picture scaled or turned
//! (`target = M·picture + t`), and then the same bend is p ↦ c + (p − c)·(1 + (p − c)ᵀQ(p − c)) with c moved along and
//! Q = k/reach²·M⁻ᵀM⁻¹: the factor is a number, so it goes through M. These six numbers are what the shader takes
//! (`shaders/aim.wgsl`); [`Throw::map`] is its twin in f64.

use crate::aim::{Homography, Lens};
use crate::geometry::{Affine, Point, Vec2};

/// Chord error of a line's straight stretches once the lens has bent them, in px.
const CHORD_PX: f64 = 0.08;
/// Stretches are not cut shorter than this, in mm: a lens that would ask for it is refused.
const LEAST_MM: f64 = 1.0;

/// Surface mm to the pixels of a target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Throw {
    target_from_surface: Homography,
    bend: Option<Bend>,
}

/// A lens in the target's pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bend {
    /// The centre c.
    pub(super) centre: Point,
    /// Q: its first entry, the one beside the diagonal, and the last.
    pub(super) part: [f64; 3],
}

impl From<&Homography> for Throw {
    fn from(target_from_surface: &Homography) -> Self {
        Self { target_from_surface: *target_from_surface, bend: None }
    }
}

impl From<&Self> for Throw {
    fn from(throw: &Self) -> Self {
        *throw
    }
}

impl Throw {
    /// A straight map that ends in the target's pixels, and the lens of the picture that the target shows.
    #[must_use]
    pub fn through(target_from_surface: Homography, lens: &Lens, target_from_picture: Affine) -> Self {
        let [a, b, c, d, _, _] = target_from_picture.inverse().as_coeffs();
        let k = lens.radial / (lens.reach_px * lens.reach_px);
        let part = [k * (a * a + b * b), k * (a * c + b * d), k * (c * c + d * d)];
        let centre = target_from_picture * Point::from(lens.centre_px);
        Self { target_from_surface, bend: Some(Bend { centre, part }) }
    }

    /// Where a place of the surface (mm) is lit in the target (px); `None` behind the lens.
    #[must_use]
    pub fn map(&self, surface: Point) -> Option<Point> {
        let ideal = self.target_from_surface.map(surface)?;
        Some(self.bend.map_or(ideal, |bend| bend.of(ideal)))
    }

    /// The map of a straight lens.
    #[must_use]
    pub const fn straight(&self) -> &Homography {
        &self.target_from_surface
    }

    pub(super) const fn bend(&self) -> Option<&Bend> {
        self.bend.as_ref()
    }

    /// The longest stretch of a line (mm) that may be drawn straight in a target of this size; `None` where no lens
    /// bends. A power of two, so that a nudge of the aim seldom changes it.
    ///
    /// Along a line the displacement's second derivative is at most 6·|k|·r, so a chord of s px is off by at most
    /// 6·|k|·r·s²/8.
    #[must_use]
    pub fn longest_mm(&self, size_px: (u32, u32)) -> Option<f64> {
        let bend = self.bend?;
        let (width, height) = (f64::from(size_px.0), f64::from(size_px.1));
        let corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)].map(Point::from);
        let reach = corners.iter().map(|corner| corner.distance(bend.centre)).fold(0.0, f64::max);
        let [xx, xy, yy] = bend.part;
        let strongest = f64::midpoint(xx + yy, (xx - yy).hypot(2.0 * xy)).abs();
        let other = (0.5 * (xx + yy - (xx - yy).hypot(2.0 * xy))).abs();
        let curve = 6.0 * strongest.max(other) * reach;
        if curve <= 0.0 {
            return None;
        }
        let chord_px = (8.0 * CHORD_PX / curve).sqrt();
        let px_per_mm = corners
            .iter()
            .filter_map(|&corner| {
                let place = self.target_from_surface.inverse(Point::ORIGIN).ok()?.map(corner)?;
                let jacobian = self.target_from_surface.jacobian(place)?;
                Some(jacobian.x_axis.length().hypot(jacobian.y_axis.length()))
            })
            .fold(0.0, f64::max);
        let longest = chord_px / px_per_mm;
        longest.is_finite().then(|| longest.log2().floor().exp2().max(LEAST_MM))
    }
}

impl Bend {
    fn of(&self, ideal: Point) -> Point {
        let arm = ideal - self.centre;
        let [xx, xy, yy] = self.part;
        let bent = Vec2::new(xx * arm.x + xy * arm.y, xy * arm.x + yy * arm.y);
        let part = arm.dot(bent).clamp(-Lens::MOST_PART, Lens::MOST_PART);
        self.centre + arm * (1.0 + part)
    }
}
