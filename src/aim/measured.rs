//! What was measured for an aim: marks picked in the picture, places on the surface, tape readings.
//!
//! This is the content of `MEASURED.ron`. Marks are numbered from 0 in the order of the list, as the tapes name
//! them. The picture's pixels are counted from the outer corner of its top left pixel, x to the right and y
//! down, so the middle of that pixel is (0.5, 0.5); the surface has x to the right and y up (seen from the lens),
//! in mm.

use super::AimError;
use super::error::Plane;
use super::lens::Lens;
use super::parallax::ClothRise;
use super::residual_grid::MARKS_LEAST as GRID_LEAST;
use crate::geometry::Point;
use crate::geometry::tolerance::LARGEST_COORDINATE_MM;
use serde::{Deserialize, Serialize};

/// Most marks taken: checking their order looks at every three of them.
const MARKS_MAX: usize = 100;
/// Furthest pick from the picture's corner, in px, and the widest picture.
const PICK_MAX_PX: f64 = 1e5;
/// Shortest and longest tape reading, in mm. Relative limits decide when marks are too close together.
const TAPE_MM: std::ops::RangeInclusive<f64> = 0.1..=LARGEST_COORDINATE_MM;

/// Everything measured for one aim.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Width and height of the projector's picture in px, its native resolution.
    pub picture_size: (u32, u32),
    /// The marks, at least four.
    pub marks: Vec<MeasuredMark>,
    /// Tape readings between marks, in any order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tapes: Vec<Tape>,
    /// Standard deviation of a pick in x and in y, in px.
    #[serde(default = "pick_sigma_px")]
    pub pick_sigma_px: f64,
    /// Standard deviation of a tape reading, in mm.
    #[serde(default = "tape_sigma_mm")]
    pub tape_sigma_mm: f64,
    /// The cloth on the surface, when its thickness is to be allowed for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cloth: Option<ClothRise>,
    /// Whether what map and lens leave over is smoothed into a grid; asked for only where a surface is not quite flat, and
    /// of 25 marks or more.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub residual_grid: bool,
    /// The lens's distortion where it is known, from an earlier aim of this projector; left out, it is fitted when
    /// there are enough marks and it pays.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lens: Option<Lens>,
}

/// Half a pixel: what nudging a mark by whole pixels reaches.
pub(super) const fn pick_sigma_px() -> f64 {
    0.5
}

/// A millimetre: a steel tape read by a careful person (EU class II allows ±0.5 mm in 1 m by itself).
pub(super) const fn tape_sigma_mm() -> f64 {
    1.0
}

/// One mark, as picked and, where its place is known, as placed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasuredMark {
    /// Where the mark is in the picture, in px.
    pub picture: (f64, f64),
    /// Where it is on the surface, in mm; `None` when tapes tell.
    #[serde(default)]
    pub surface: Option<(f64, f64)>,
    /// Whether the place came from the tapes of an earlier aim. It is kept as it is, but counts as no more certain
    /// than the tapes were.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub from_tapes: bool,
    /// Whether the pick is predicted from the other marks, not made. Of such marks an aim is provisional while fewer
    /// than four are picked; they count for nothing once there are four.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub is_predicted: bool,
}

impl MeasuredMark {
    /// A mark picked in the picture (px), with its place on the surface (mm) where that is known.
    #[must_use]
    pub const fn new(picture: (f64, f64), surface: Option<(f64, f64)>) -> Self {
        Self { picture, surface, from_tapes: false, is_predicted: false }
    }

    /// Whether its place is known for itself, not by tapes now or earlier.
    pub(super) const fn is_certain(&self) -> bool {
        self.surface.is_some() && !self.from_tapes
    }
}

/// One tape reading between two marks.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tape {
    /// Number of the mark at one end, from 0.
    pub from: usize,
    /// Number of the mark at the other end.
    pub to: usize,
    /// The reading in mm.
    pub mm: f64,
    /// A second reading of the same tape, in mm, made without looking at the first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub second_reading: Option<f64>,
}

impl Tape {
    /// A tape read once.
    #[must_use]
    pub const fn new(from: usize, to: usize, mm: f64) -> Self {
        Self { from, to, mm, second_reading: None }
    }
}

/// Standard deviations that make sense, in px and mm.
const SIGMA: std::ops::RangeInclusive<f64> = 0.001..=100.0;

impl Measured {
    /// A measurement whose picks and tapes are as good as careful people make them.
    #[must_use]
    pub const fn new(picture_size: (u32, u32), marks: Vec<MeasuredMark>, tapes: Vec<Tape>) -> Self {
        Self {
            picture_size,
            marks,
            tapes,
            pick_sigma_px: pick_sigma_px(),
            tape_sigma_mm: tape_sigma_mm(),
            cloth: None,
            residual_grid: false,
            lens: None,
        }
    }

    /// The marks' places in the picture, in px.
    pub(super) fn picks(&self) -> Vec<Point> {
        self.marks.iter().map(|mark| mark.picture.into()).collect()
    }

    /// The marks' places on the surface where they are given, in mm.
    pub(super) fn places(&self) -> Vec<Option<Point>> {
        self.marks.iter().map(|mark| mark.surface.map(Point::from)).collect()
    }

    /// The same measurement with the picks dealt out anew: mark i takes the pick of mark `order[i]`, as
    /// [`AimError::Crossed`] and [`AimError::Mirrored`] offer it. `None` when `order` does not name each mark
    /// once.
    #[must_use]
    pub fn with_picks_in_order(&self, order: &[usize]) -> Option<Self> {
        let mut named = order.to_vec();
        named.sort_unstable();
        if !named.iter().copied().eq(0..self.marks.len()) {
            return None;
        }
        let mut dealt = self.clone();
        for (mark, &from) in dealt.marks.iter_mut().zip(order) {
            mark.picture = self.marks.get(from)?.picture;
        }
        Some(dealt)
    }

    /// Refuses what no geometry could use: too few marks, numbers that are not finite or out of all proportion,
    /// tapes to marks that are not there.
    pub(super) fn check(&self) -> Result<(), AimError> {
        check_picture_size(self.picture_size)?;
        self.cloth.as_ref().map_or(Ok(()), ClothRise::check)?;
        self.lens.map_or(Ok(()), |lens| lens.check(self.picture_size))?;
        for (what, sigma, unit) in
            [("pick", self.pick_sigma_px, "px"), ("tape reading", self.tape_sigma_mm, "mm")]
        {
            if !SIGMA.contains(&sigma) {
                return Err(AimError::Sigma { what, sigma, unit });
            }
        }
        let count = self.marks.len();
        if count < 4 {
            return Err(AimError::TooFewMarks { count });
        }
        let picked = self.marks.iter().filter(|mark| !mark.is_predicted).count();
        if self.residual_grid && picked < GRID_LEAST {
            return Err(AimError::TooFewForGrid { count: picked, least: GRID_LEAST });
        }
        if count > MARKS_MAX {
            return Err(AimError::TooManyMarks { count, most: MARKS_MAX });
        }
        for (mark, measured) in self.marks.iter().enumerate() {
            check_place(mark, measured.picture, Plane::Picture, PICK_MAX_PX)?;
            if let Some(place) = measured.surface {
                check_place(mark, place, Plane::Surface, LARGEST_COORDINATE_MM)?;
            }
        }
        for &Tape { from, to, mm, second_reading } in &self.tapes {
            if let Some(mark) = [from, to].into_iter().find(|&mark| mark >= count) {
                return Err(AimError::UnknownMark { mark, count });
            }
            if from == to {
                return Err(AimError::TapeToItself { mark: from });
            }
            let readings = [Some(mm), second_reading].into_iter().flatten();
            if let Some(mm) = readings.into_iter().find(|mm| !TAPE_MM.contains(mm)) {
                return Err(AimError::TapeReading { from, to, mm });
            }
        }
        Ok(())
    }
}

/// Refuses an empty picture and one wider than any projector's.
pub(super) fn check_picture_size((width, height): (u32, u32)) -> Result<(), AimError> {
    let usable = |side: u32| side > 0 && f64::from(side) <= PICK_MAX_PX;
    if usable(width) && usable(height) { Ok(()) } else { Err(AimError::PictureSize { width, height }) }
}

/// Refuses a pick that is no place of any picture.
pub(super) fn check_pick(mark: usize, pick: Point) -> Result<(), AimError> {
    check_place(mark, pick.into(), Plane::Picture, PICK_MAX_PX)
}

fn check_place(mark: usize, (x, y): (f64, f64), plane: Plane, limit: f64) -> Result<(), AimError> {
    // Written so that NaN fails.
    if x.abs() <= limit && y.abs() <= limit {
        Ok(())
    } else {
        Err(AimError::MarkOutOfReach { mark, plane, limit })
    }
}
