//! Where the marks went when the projector was bumped, from those that are found again already.
//!
//! A bump turns and shifts the projector, and leaves its lens and the surface as they were. With the lens K (focal
//! length and principal point) the old map is H = K·M, M = \[r₁ r₂ t\], and the new one K·R·(M + \[0 0 δ\]): three
//! angles and a shift. The marks that are placed make it likely by least squares, with priors that hold what they
//! leave free. Never a similarity: it would be 4 to 13 mm off (and an affine map 6 to 11) where this is off by tenths.
//!
//! Without a shift (`Shift::None`) this is the pure turn H' = K·R·K⁻¹·H, in which an error of K matters little.
//!
//! The focal length comes from H where the tilt shows it (r₁ and r₂ are square and equally long), otherwise a common
//! one is taken; the principal point is taken to be the middle, which an offset lens belies. Sources: Hartley &
//! Zisserman, Multiple View Geometry, 2nd ed. (2004), 8.4.2 and 8.6.

use super::homography::Homography;
use super::least_squares::{Linear, minimise};
use super::solution::Aim;
use crate::geometry::{Point, Vec2};
use glam::{DMat3, DQuat, DVec3};
use nalgebra::{DMatrix, DVector};

/// A throw ratio that home projectors have, where the map doesn't tell.
const THROW_COMMON: f64 = 1.4;
/// Throw ratios that are believed of a map.
const THROW_BELIEVED: std::ops::RangeInclusive<f64> = 0.4..=3.0;
/// How far a bump turns a projector, 1σ, in radians: about a degree. Common practice has no figure; this one leaves
/// bumps of two degrees free.
const TURN_SIGMA: f64 = 0.015;
/// How far it shifts it, 1σ, in mm.
const SHIFT_SIGMA_MM: f64 = 15.0;
/// As good as not at all, in mm.
const NO_SHIFT_MM: f64 = 1e-6;

/// Whether a bump may have shifted the projector.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shift {
    /// It was turned only.
    None,
    /// It may have been shifted by a centimetre or so.
    Small,
}

/// The old position, taken apart.
pub(super) struct Bump {
    lens: DMat3,
    /// M: surface place (x, y, 1) to the ray from the lens, in mm.
    view: DMat3,
    middle: Point,
    pick_sigma_px: f64,
}

#[derive(Clone, Copy)]
struct Moved {
    turn: DQuat,
    shift: DVec3,
}

impl Bump {
    /// Takes an aim apart.
    pub(super) fn of(aim: &Aim) -> Self {
        let (width, height) = aim.picture_size();
        let (width, height) = (f64::from(width), f64::from(height));
        let map = aim.picture_from_surface().matrix();
        let focal = focal(&map, width, height);
        let lens = DMat3::from_cols(
            DVec3::new(focal, 0.0, 0.0),
            DVec3::new(0.0, focal, 0.0),
            DVec3::new(width / 2.0, height / 2.0, 1.0),
        );
        let view = lens.inverse() * map;
        let unit = (view.x_axis.length() * view.y_axis.length()).sqrt();
        let middle = Point::new(width / 2.0, height / 2.0);
        Self {
            lens,
            view: view * unit.recip(),
            middle: aim.surface_from_picture().map(middle).unwrap_or(Point::ORIGIN),
            pick_sigma_px: aim.pick_sigma_px(),
        }
    }

    /// The map after the bump, from marks found again: (place on the surface, pick); `None` when they can't be lit.
    pub(super) fn repaired(&self, placed: &[(Point, Point)], shift: Shift) -> Option<Homography> {
        self.solved(placed, shift).map(|(map, ..)| map)
    }

    /// Where places of the surface are lit after the bump, and the standard deviation of that across and along, in px
    /// of a straight lens: what the marks found again leave open within the priors.
    pub(super) fn foreseen(
        &self,
        placed: &[(Point, Point)],
        shift: Shift,
        places: &[Point],
    ) -> Option<Vec<(Point, Vec2)>> {
        let (map, moved, linear) = self.solved(placed, shift)?;
        let covariance = linear.normal().try_inverse()?;
        let lit: Vec<Point> = places.iter().map(|&place| map.map(place)).collect::<Option<_>>()?;
        let pairs: Vec<(Point, Point)> = places.iter().copied().zip(lit.iter().copied()).collect();
        let rows = self.linearise(&moved, &pairs, shift)?.jacobian;
        let sigma = |row: usize| {
            let row = rows.row(row);
            self.pick_sigma_px * (row * &covariance).dot(&row).max(0.0).sqrt()
        };
        let spread = |index: usize| Vec2::new(sigma(2 * index), sigma(2 * index + 1));
        Some(lit.into_iter().enumerate().map(|(index, lit)| (lit, spread(index))).collect())
    }

    fn solved(&self, placed: &[(Point, Point)], shift: Shift) -> Option<(Homography, Moved, Linear)> {
        let rest = Moved { turn: DQuat::IDENTITY, shift: DVec3::ZERO };
        let (moved, linear) = minimise(
            rest,
            |moved| self.linearise(moved, placed, shift),
            |moved, step| Moved {
                turn: (DQuat::from_scaled_axis(DVec3::new(step[0], step[1], step[2])) * moved.turn)
                    .normalize(),
                shift: moved.shift + DVec3::new(step[3], step[4], step[5]),
            },
        )?;
        let mut view = self.view;
        view.z_axis += moved.shift;
        let map = Homography::new(self.lens * DMat3::from_quat(moved.turn) * view, self.middle).ok()?;
        Some((map, moved, linear))
    }

    /// Residuals of the marks and the priors; unknowns are three angles (radians) and a shift (mm).
    fn linearise(&self, moved: &Moved, placed: &[(Point, Point)], shift: Shift) -> Option<Linear> {
        let rows = 2 * placed.len() + 6;
        let mut residuals = DVector::zeros(rows);
        let mut jacobian = DMatrix::zeros(rows, 6);
        let focal = self.lens.x_axis.x;
        let centre = self.lens.z_axis;
        let turn = DMat3::from_quat(moved.turn);
        for (index, (place, pick)) in placed.iter().enumerate() {
            let ray = turn * (self.view * DVec3::new(place.x, place.y, 1.0) + moved.shift);
            if ray.z <= f64::EPSILON {
                return None;
            }
            let (u, v) = (ray.x / ray.z, ray.y / ray.z);
            let row = 2 * index;
            let px = self.pick_sigma_px.recip();
            residuals[row] = (focal * u + centre.x - pick.x) * px;
            residuals[row + 1] = (focal * v + centre.y - pick.y) * px;
            let columns = [DVec3::X, DVec3::Y, DVec3::Z];
            let changes =
                columns.map(|axis| axis.cross(ray)).into_iter().chain(columns.map(|axis| turn * axis));
            for (column, change) in changes.enumerate() {
                jacobian[(row, column)] = focal * px * (change.x - u * change.z) / ray.z;
                jacobian[(row + 1, column)] = focal * px * (change.y - v * change.z) / ray.z;
            }
        }
        let shift_sigma = match shift {
            Shift::None => NO_SHIFT_MM,
            Shift::Small => SHIFT_SIGMA_MM,
        };
        let angles = moved.turn.to_scaled_axis();
        for (axis, (angle, way)) in angles.to_array().into_iter().zip(moved.shift.to_array()).enumerate() {
            let row = 2 * placed.len() + axis;
            residuals[row] = angle / TURN_SIGMA;
            // Of a small turn the scaled axis changes with the step itself.
            jacobian[(row, axis)] = TURN_SIGMA.recip();
            residuals[row + 3] = way / shift_sigma;
            jacobian[(row + 3, axis + 3)] = shift_sigma.recip();
        }
        Some(Linear { residuals, jacobian, gauge: DMatrix::zeros(0, 6) })
    }
}

/// The lens's height above the surface as the map alone would have it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeightGuess {
    /// Plumb from the surface to the lens, in mm.
    pub height_mm: f64,
    /// How far that may be off (1σ), in mm.
    pub sigma_mm: f64,
}

/// Relative error of a height from the map times the sine of the tilt squared: 1 % at 20° and 15 % at 5° (simulated,
/// picks of half a px).
const HEIGHT_PART: f64 = 0.0012;

impl Aim {
    /// How high the lens hangs by the map alone: a check of the taped height and nothing more, the weaker the steeper
    /// the light falls, and wrong for a lens whose picture is off its axis. `None` where it would say nothing.
    #[must_use]
    pub fn lens_height_guess(&self) -> Option<HeightGuess> {
        /// Beyond this a guess is worse than none.
        const WEAKEST: f64 = 0.25;
        let view = Bump::of(self).view;
        let up = view.x_axis.cross(view.y_axis).try_normalize()?;
        let height_mm = up.dot(view.z_axis).abs();
        let sine_squared = 1.0 - up.z * up.z;
        let part = HEIGHT_PART / sine_squared;
        (part < WEAKEST && height_mm.is_finite())
            .then_some(HeightGuess { height_mm, sigma_mm: part * height_mm })
    }
}

/// Focal length in px, from r₁·r₂ = 0 and |r₁| = |r₂| with the principal point in the middle.
fn focal(map: &DMat3, width: f64, height: f64) -> f64 {
    let centred = |column: DVec3| {
        DVec3::new(column.x - width / 2.0 * column.z, column.y - height / 2.0 * column.z, column.z)
    };
    let (a, b) = (centred(map.x_axis), centred(map.y_axis));
    let flat = |a: DVec3, b: DVec3| a.x * b.x + a.y * b.y;
    let (square, length) = (flat(a, b), flat(a, a) - flat(b, b));
    let (square_z, length_z) = (a.z * b.z, a.z * a.z - b.z * b.z);
    let inverse_square = -(square * square_z + length * length_z) / (square * square + length * length);
    let focal = inverse_square.sqrt().recip();
    if THROW_BELIEVED.contains(&(focal / width)) { focal } else { THROW_COMMON * width }
}
