//! An aim as numbers for a person or a program to read.

use super::solution::Aim;
use crate::geometry::Point;
use serde::Serialize;

/// The numbers of an aim. Written as JSON it holds no NaN: an aim has none.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AimReport {
    /// Surface mm to picture px, in rows, the last entry 1.
    pub homography: [[f64; 3]; 3],
    /// The marks, in their order.
    pub marks: Vec<MarkReport>,
    /// The tapes, in their order.
    pub tapes: Vec<TapeReport>,
    /// Tape readings that may be wrong, the likeliest first.
    pub suspects: Vec<SuspectReport>,
    /// What a pixel covers.
    pub pixel_pitch_mm: PitchReport,
    /// Marks that fit the others worse than chance lets them; left out where none does.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub outliers: Vec<OutlierReport>,
    /// The lens's distortion; left out where it is straight.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lens: Option<super::Lens>,
    /// Whether what map and lens leave over is smoothed into a grid; left out where it is not.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub residual_grid: bool,
    /// The cloth whose thickness is allowed for; left out without one. The map leads from the surface under it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cloth: Option<super::ClothRise>,
    /// Whether it rests on predicted marks and is not to be cut by; left out where it does not.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub provisional: bool,
    /// How uncertain the aim is; left out for an aim made from a map.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub error: Option<ErrorReport>,
}

/// Standard deviations (1σ) of an aim, after the best rigid alignment.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ErrorReport {
    /// Of the worst corner of the picture, in mm.
    pub worst_corner_mm: f64,
    /// Of the middle of the picture, in mm.
    pub centre_mm: f64,
    /// Of the worst side or diagonal of the picture, in mm per metre.
    pub length_mm_per_m: f64,
}

/// A mark in a report.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MarkReport {
    /// Place on the surface in mm.
    pub surface: [f64; 2],
    /// Pick in the picture in px.
    pub picture: [f64; 2],
    /// Distance between the pick and where the aim puts the mark, in px.
    pub residual_px: f64,
    /// The same on the surface, in mm.
    pub residual_mm: f64,
}

/// A tape in a report.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TapeReport {
    /// Mark at one end, from 0.
    pub from: usize,
    /// Mark at the other end.
    pub to: usize,
    /// Reading in mm.
    pub mm: f64,
    /// Distance of the marks' places less the reading, in mm.
    pub residual_mm: f64,
}

/// A tape reading that may be wrong, in a report.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SuspectReport {
    /// Mark at one end, from 0.
    pub from: usize,
    /// Mark at the other end.
    pub to: usize,
    /// What it should read if it is the one that is wrong, in mm.
    pub should_read_mm: f64,
}

/// A mark that does not fit the others, in a report.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OutlierReport {
    /// The mark, from 0.
    pub mark: usize,
    /// How far it is from where the others put it, in mm.
    pub off_mm: f64,
    /// How far the worst of the others is off, in mm.
    pub others_mm: f64,
}

/// Pixel pitch in a report, in mm along the direction in which a pixel covers most.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PitchReport {
    /// In the middle of the picture.
    pub centre: f64,
    /// At the top left, top right, bottom right and bottom left corner.
    pub corners: [f64; 4],
}

impl Aim {
    /// The aim's numbers.
    #[must_use]
    pub fn report(&self) -> AimReport {
        let pair = |point: Point| [point.x, point.y];
        let pitch = self.pixel_pitch();
        AimReport {
            homography: row_major(self.picture_from_surface().matrix()),
            marks: self
                .marks()
                .iter()
                .map(|mark| MarkReport {
                    surface: pair(mark.surface),
                    picture: pair(mark.picture),
                    residual_px: mark.residual_px,
                    residual_mm: mark.residual_mm,
                })
                .collect(),
            tapes: self
                .tapes()
                .iter()
                .map(|tape| TapeReport {
                    from: tape.from,
                    to: tape.to,
                    mm: tape.mm,
                    residual_mm: tape.residual_mm,
                })
                .collect(),
            suspects: self
                .suspects()
                .iter()
                .map(|suspect| SuspectReport {
                    from: suspect.from,
                    to: suspect.to,
                    should_read_mm: suspect.should_read_mm,
                })
                .collect(),
            pixel_pitch_mm: PitchReport { centre: pitch.centre_mm, corners: pitch.corners_mm },
            outliers: self
                .outliers()
                .iter()
                .map(|outlier| OutlierReport {
                    mark: outlier.mark,
                    off_mm: outlier.off_mm,
                    others_mm: outlier.others_mm,
                })
                .collect(),
            lens: self.lens(),
            residual_grid: self.residual_grid().is_some(),
            cloth: self.cloth(),
            provisional: self.is_provisional(),
            error: self.error_map().map(|map| ErrorReport {
                worst_corner_mm: map.worst_corner_mm(),
                centre_mm: map.centre_mm(),
                length_mm_per_m: map.length_mm_per_m(),
            }),
        }
    }
}

/// Rows of a matrix whose last entry an aim keeps at 1 (w at the surface's origin).
fn row_major(matrix: glam::DMat3) -> [[f64; 3]; 3] {
    matrix.transpose().to_cols_array_2d()
}
