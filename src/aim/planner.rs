//! What a projector will light from where it may hang, before anything is bought or drilled.
//!
//! The throw ratio is the distance along the lens's axis over the picture's width, so the focal length in px is the
//! picture's width in px times it. With the height of the lens, its tilt and its shift that is a pinhole projector, K·\[r₁
//! r₂ t\], whose map goes through the same code as a measured aim: picture, pitch and error map are those of an aim
//! with these marks.
//!
//! Lens shift is counted in two ways by makers. *Above the axis*: the part of the picture's height that is above the
//! lens's axis, 50 % centred, 100 % with the axis along the lower edge. *In half heights*: how far the middle is from
//! the axis in half picture heights, 0 % centred, 100 % with the axis along the edge. Ask which.
//!
//! Surface in mm with its origin plumb under the lens; tilt and shift both throw the picture towards +y. Limits: a
//! sharp, undistorted lens; light is taken as even, while real corners are dimmer.
//!
//! Sources: Texas Instruments application report DLPA044 (throw ratio, offset); error figures as in `error_map`.

use super::error::AimError;
use super::homography::Homography;
use super::hull::area;
use super::measured::{Measured, MeasuredMark, Tape};
use super::solution::Aim;
use crate::geometry::Point;
use glam::{DMat3, DVec3};
use serde::Serialize;

/// Throw ratios that lenses have.
const THROW: std::ops::RangeInclusive<f64> = 0.1..=10.0;
/// Heights of a lens above the cloth, in mm.
const HEIGHT_MM: std::ops::RangeInclusive<f64> = 100.0..=20_000.0;
/// Steepest tilt, in radians.
const TILT_MAX: f64 = 1.2;
/// Furthest shift of the picture's middle, in picture heights.
const SHIFT_MAX: f64 = 2.0;
/// The worst place of the surface, at 95 %, in standard deviations of the worst corner (simulated: 2.0 to 2.3).
const WORST_95: f64 = 2.2;
/// Marks of the foreseen aim are so far inside the picture, as parts of its sides.
const INSET: f64 = 0.05;

/// How makers count a lens's shift.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShiftCount {
    /// The part of the picture's height above the axis: 50 % is centred.
    AboveAxis,
    /// Off the axis in half picture heights: 0 % is centred.
    HalfHeights,
}

impl ShiftCount {
    /// How far the picture's middle is off the lens's axis, in picture heights, from a maker's per cent.
    #[must_use]
    pub fn heights(self, percent: f64) -> f64 {
        match self {
            Self::AboveAxis => percent / 100.0 - 0.5,
            Self::HalfHeights => percent / 200.0,
        }
    }
}

/// A projector as it may hang.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hanging {
    /// Distance along the axis over the picture's width.
    pub throw_ratio: f64,
    /// How far the picture's middle is off the axis, in picture heights ([`ShiftCount::heights`]).
    pub shift: f64,
    /// From the cloth straight up to the lens, in mm.
    pub lens_height_mm: f64,
    /// The axis's angle from plumb, in radians.
    pub tilt: f64,
    /// Width and height of the picture in px.
    pub picture_size: (u32, u32),
    /// ISO lumens, where known.
    pub lumens: Option<f64>,
}

/// What it will light.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Prospect {
    /// Throw ratio that this is for.
    pub throw_ratio: f64,
    /// From the cloth straight up to the lens, in mm.
    pub lens_height_mm: f64,
    /// From the lens along its axis to the cloth, in mm.
    pub throw_mm: f64,
    /// Length of the picture's side nearest the lens, in mm.
    pub near_side_mm: f64,
    /// Length of the opposite side, in mm.
    pub far_side_mm: f64,
    /// Distance between the two, in mm.
    pub depth_mm: f64,
    /// Far side over near side: 1 is a rectangle.
    pub keystone: f64,
    /// Largest upright rectangle lit all over, width and height in mm.
    pub rectangle_mm: [f64; 2],
    /// What a pixel covers in the middle, in mm.
    pub pixel_centre_mm: f64,
    /// What a pixel covers in the worst corner, in mm.
    pub pixel_far_corner_mm: f64,
    /// Mean light on the cloth in lux: lumens over the picture's true area.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lux: Option<f64>,
    /// How far from plumb under the lens the picture's middle lies, in mm, towards the picture's upper edge.
    pub middle_from_plumb_mm: f64,
    /// How true an aim there can be.
    pub accuracy: Vec<Accuracy>,
}

/// How true an aim can be.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Accuracy {
    /// What it is measured with.
    pub measured_with: &'static str,
    /// Standard deviation at the worst corner, in mm.
    pub worst_corner_sigma_mm: f64,
    /// The worst place anywhere, at 95 %, in mm.
    pub worst_95_mm: f64,
    /// Standard deviation of a length, in mm per metre.
    pub length_mm_per_m: f64,
}

/// Why nothing can be said.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// A number that no projector or room has.
    #[error("a {what} of {value} {unit} can't be; give one from {least} to {most} {unit}")]
    OutOfRange {
        /// Of what.
        what: &'static str,
        /// The number given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least that is taken.
        least: f64,
        /// Most that is taken.
        most: f64,
    },
    /// A projector that misses the cloth.
    #[error("hung like this it makes no usable picture: {0}; tilt or shift it less")]
    NoPicture(#[source] AimError),
}

impl Hanging {
    /// What the projector will light.
    ///
    /// # Errors
    /// [`PlanError`] for numbers that can't be, and when some of the picture would miss the cloth.
    pub fn prospect(&self) -> Result<Prospect, PlanError> {
        self.check()?;
        let aim = self.aim().map_err(PlanError::NoPicture)?;
        let quad = aim.lit_quad();
        let [top_left, top_right, bottom_right, bottom_left] = quad;
        let (top, bottom) = (top_left.distance(top_right), bottom_left.distance(bottom_right));
        let pitch = aim.pixel_pitch();
        let room = aim.lit_rectangle();
        let (width, height) = (f64::from(self.picture_size.0), f64::from(self.picture_size.1));
        let middle = aim.surface_from_picture().map(Point::new(width / 2.0, height / 2.0));
        let square_metres = area(&quad).abs() / 1e6;
        Ok(Prospect {
            throw_ratio: self.throw_ratio,
            lens_height_mm: self.lens_height_mm,
            throw_mm: self.lens_height_mm / self.tilt.cos(),
            near_side_mm: top.min(bottom),
            far_side_mm: top.max(bottom),
            depth_mm: top_left.midpoint(top_right).distance(bottom_left.midpoint(bottom_right)),
            keystone: top.max(bottom) / top.min(bottom),
            rectangle_mm: [room.width(), room.height()],
            pixel_centre_mm: pitch.centre_mm,
            pixel_far_corner_mm: pitch.corners_mm.into_iter().fold(0.0, f64::max),
            lux: self.lumens.map(|lumens| lumens / square_metres),
            middle_from_plumb_mm: middle.map_or(0.0, |middle| middle.y),
            accuracy: accuracy(&aim).map_err(PlanError::NoPicture)?,
        })
    }

    fn check(&self) -> Result<(), PlanError> {
        let degrees = TILT_MAX.to_degrees().floor();
        let ranges = [
            ("throw ratio", self.throw_ratio, "", *THROW.start(), *THROW.end()),
            ("lens height above the cloth", self.lens_height_mm, "mm", *HEIGHT_MM.start(), *HEIGHT_MM.end()),
            ("tilt", self.tilt.to_degrees(), "degrees", -degrees, degrees),
            ("shift of the picture's middle", self.shift, "picture heights", -SHIFT_MAX, SHIFT_MAX),
            ("light output", self.lumens.unwrap_or(1.0), "lumens", 1.0, 1e6),
        ];
        let wrong = ranges.into_iter().find(|(_, value, _, least, most)| !(*least..=*most).contains(value));
        wrong.map_or(Ok(()), |(what, value, unit, least, most)| {
            Err(PlanError::OutOfRange { what, value, unit, least, most })
        })
    }

    /// The aim of a perfect projector hung like this.
    fn aim(&self) -> Result<Aim, AimError> {
        super::measured::check_picture_size(self.picture_size)?;
        let (width, height) = (f64::from(self.picture_size.0), f64::from(self.picture_size.1));
        let focal = width * self.throw_ratio;
        let lens = DMat3::from_cols(
            DVec3::new(focal, 0.0, 0.0),
            DVec3::new(0.0, focal, 0.0),
            // The picture is shifted up, so the axis meets it that much lower.
            DVec3::new(width / 2.0, height / 2.0 + self.shift * height, 1.0),
        );
        let turned = DMat3::from_rotation_x(-self.tilt) * DMat3::from_diagonal(DVec3::new(1.0, -1.0, -1.0));
        let above = turned * DVec3::new(0.0, 0.0, self.lens_height_mm);
        let view = DMat3::from_cols(turned.x_axis, turned.y_axis, -above);
        Aim::from_homography(self.picture_size, Homography::new(lens * view, Point::ORIGIN)?)
    }
}

/// What the error map says of usual ways to measure an aim.
fn accuracy(aim: &Aim) -> Result<Vec<Accuracy>, AimError> {
    let ways = [
        ("4 marks, 6 tapes", 2, true),
        ("4 marks on a printed mat", 2, false),
        ("9 marks on a printed mat", 3, false),
    ];
    let mut found = Vec::new();
    for (measured_with, side, taped) in ways {
        let solved = Aim::solve(&foreseen(aim, side, taped)?)?;
        if let Some(map) = solved.error_map() {
            found.push(Accuracy {
                measured_with,
                worst_corner_sigma_mm: map.worst_corner_mm(),
                worst_95_mm: WORST_95 * map.worst_corner_mm(),
                length_mm_per_m: map.length_mm_per_m(),
            });
        }
    }
    Ok(found)
}

/// The measurement that a person will make: marks in a square grid, their places known or taped.
fn foreseen(aim: &Aim, side: u32, taped: bool) -> Result<Measured, AimError> {
    let (width, height) = (f64::from(aim.picture_size().0), f64::from(aim.picture_size().1));
    let part = |index: u32| INSET + (1.0 - 2.0 * INSET) * f64::from(index) / f64::from(side - 1);
    let mut marks = Vec::new();
    let mut places = Vec::new();
    for (row, column) in (0..side).flat_map(|row| (0..side).map(move |column| (row, column))) {
        let pick = Point::new(width * part(column), height * part(row));
        let place = aim.surface_from_picture().map(pick).ok_or(AimError::OriginOutOfLight)?;
        places.push(place);
        marks.push(MeasuredMark::new(pick.into(), (!taped).then_some(place.into())));
    }
    let pairs = (0..places.len()).flat_map(|a| (a + 1..places.len()).map(move |b| (a, b)));
    let tape = |(a, b): (usize, usize)| Tape::new(a, b, places[a].distance(places[b]));
    let tapes = if taped { pairs.map(tape).collect() } else { Vec::new() };
    Ok(Measured::new(aim.picture_size(), marks, tapes))
}
