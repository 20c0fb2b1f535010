//! Proof of scale: long bars in light, and what a tape reads on them.
//!
//! On a square of 100 mm one pixel is 8 mm in a metre, so it shows a gross mistake and nothing more. A bar of a metre
//! or longer across, one along and one on a diagonal show the scale of both axes and whether they are square. With
//! scales a and b and the axes off square by γ, a diagonal (x, y) reads √((ax)² + (by)² + 2·ab·xy·sin γ).
//!
//! Limits: the tape's own error (EU class II: ±(0.3 + 0.2·L) mm, L in whole metres rounded up) is in every reading,
//! and a tape that is wrong by itself can't be seen when the marks were taped with it.

use super::lit::{borders, largest_rectangle, summit};
use super::solution::Aim;
use crate::geometry::{Point, Rect};

/// A tolerance that a dressmaker's cutting keeps: 1 mm in 500.
pub const PROOF_TOLERANCE_MM_PER_M: f64 = 2.0;
/// A bar that proves the scale is at least so long, in mm.
pub const PROOF_LENGTH_MM: f64 = 1000.0;
/// Bars are whole multiples of this, in mm, so that a tape is read against a round number.
const ROUND_MM: f64 = 50.0;
/// Distance of a bar's ends from the border of the light, as part of the lit width.
const BORDER_PART: f64 = 0.02;

/// Which way a bar lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BarWay {
    /// Along the surface's x.
    Across,
    /// Along the surface's y.
    Along,
    /// From the lower left to the upper right.
    Diagonal,
}

/// A bar to be lit, on the surface in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bar {
    /// Which way it lies.
    pub way: BarWay,
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
}

impl Bar {
    /// What a tape should read on it, in mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.from.distance(self.to)
    }

    /// Whether it is long enough to prove a scale.
    #[must_use]
    pub fn is_long(&self) -> bool {
        self.length_mm() > PROOF_LENGTH_MM - 1e-6
    }
}

/// What the tape says about one axis or about squareness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxisProof {
    /// How much too long things are lit, in mm per metre; too short is negative.
    pub error_mm_per_m: f64,
    /// Half of what the tape itself may be wrong, in mm per metre: its tolerance over the bar's length.
    pub tape_mm_per_m: f64,
}

/// What the tape says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proof {
    /// Scale of the surface's x.
    pub across: AxisProof,
    /// Scale of the surface's y.
    pub along: AxisProof,
    /// Scale on the diagonal.
    pub diagonal: AxisProof,
    /// How far the axes are from square, in radians: positive when the lit right angle is less than one.
    pub off_square: f64,
    /// What may be cut by, in mm per metre.
    pub tolerance_mm_per_m: f64,
}

/// A verdict on the light.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// All errors are within the tolerance.
    Good,
    /// Within the tolerance, or beyond it by no more than the tape may be wrong: read again, or use longer bars.
    Unsure,
    /// Something is beyond the tolerance.
    Bad,
}

/// Why there is no verdict.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ProofError {
    /// A reading that is no length near the bar's.
    #[error(
        "a bar of {length_mm:.0} mm can't read {reading_mm} mm; lay the tape from end to end of the bar and read it \
         again, in mm"
    )]
    Reading {
        /// Length of the bar, in mm.
        length_mm: f64,
        /// The reading, in mm.
        reading_mm: f64,
    },
    /// A tolerance that is none.
    #[error("a tolerance of {0} mm in a metre can't be kept; give one above 0, such as 2 (1 mm in 500)")]
    Tolerance(f64),
}

/// A reading further from the bar's length than this part of it is a slip.
const SLIP_PART: f64 = 0.2;

impl Aim {
    /// Three bars, as long as the picture allows, ends in from its border: across, along and on a diagonal.
    #[must_use]
    pub fn proof_bars(&self) -> [Bar; 3] {
        proof_bars(&self.lit_quad())
    }
}

fn proof_bars(lit: &[Point]) -> [Bar; 3] {
    let turned: Vec<Point> = lit.iter().map(|point| Point::new(point.y, point.x)).collect();
    let (across, along) = (longest(lit), longest(&turned));
    let swapped = |point: Point| Point::new(point.y, point.x);
    let room = largest_rectangle(lit);
    let room = Rect::from_center_size(room.center(), room.size() * (1.0 - 2.0 * BORDER_PART));
    let (low, high) = rounded(Point::new(room.x0, room.y0), Point::new(room.x1, room.y1));
    let bar = |way, from, to| Bar { way, from, to };
    [
        bar(BarWay::Across, across.0, across.1),
        bar(BarWay::Along, swapped(along.0), swapped(along.1)),
        bar(BarWay::Diagonal, low, high),
    ]
}

/// The longest level bar within an outline.
fn longest(outline: &[Point]) -> (Point, Point) {
    let ys = outline.iter().map(|point| point.y);
    let (low, high) = (ys.clone().fold(f64::INFINITY, f64::min), ys.fold(f64::NEG_INFINITY, f64::max));
    let (low, high) = (low + BORDER_PART * (high - low), high - BORDER_PART * (high - low));
    let width = |level: f64| {
        let (left, right) = borders(outline, level);
        right - left
    };
    let level = summit(low, high, width);
    let (left, right) = borders(outline, level);
    let inset = BORDER_PART * (right - left);
    rounded(Point::new(left + inset, level), Point::new(right - inset, level))
}

/// The same bar, shortened about its middle to a round length where it is long enough for that.
fn rounded(from: Point, to: Point) -> (Point, Point) {
    let length = from.distance(to);
    let round = (length / ROUND_MM).floor() * ROUND_MM;
    let part = if round > 0.0 { round / length } else { 1.0 };
    let middle = from.midpoint(to);
    (middle + (from - middle) * part, middle + (to - middle) * part)
}

impl Proof {
    /// What the tape's readings (mm) on the three bars say, in the bars' order.
    ///
    /// # Errors
    /// [`ProofError`] for a reading or a tolerance that can't be.
    pub fn of(bars: &[Bar; 3], readings_mm: [f64; 3], tolerance_mm_per_m: f64) -> Result<Self, ProofError> {
        if !(tolerance_mm_per_m > 0.0 && tolerance_mm_per_m.is_finite()) {
            return Err(ProofError::Tolerance(tolerance_mm_per_m));
        }
        let axis = |index: usize| {
            let (length_mm, reading_mm) = (bars[index].length_mm(), readings_mm[index]);
            let error = reading_mm / length_mm - 1.0;
            if error.is_nan() || error.abs() > SLIP_PART {
                return Err(ProofError::Reading { length_mm, reading_mm });
            }
            Ok(AxisProof {
                error_mm_per_m: 1000.0 * error,
                tape_mm_per_m: 1000.0 * tape_tolerance_mm(reading_mm) / length_mm,
            })
        };
        let (across, along, diagonal) = (axis(0)?, axis(1)?, axis(2)?);
        let way = bars[2].to - bars[2].from;
        let scaled = |length: f64, axis: AxisProof| length * (1.0 + axis.error_mm_per_m / 1000.0);
        let (x, y) = (scaled(way.x, across), scaled(way.y, along));
        let sine = (readings_mm[2].powi(2) - x * x - y * y) / (2.0 * x * y);
        Ok(Self { across, along, diagonal, off_square: sine.clamp(-1.0, 1.0).asin(), tolerance_mm_per_m })
    }

    /// The verdict against the tolerance.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let beyond = |axis: AxisProof, room: f64| axis.error_mm_per_m.abs() > self.tolerance_mm_per_m + room;
        let axes = [self.across, self.along, self.diagonal];
        if axes.iter().any(|&axis| beyond(axis, axis.tape_mm_per_m)) {
            Verdict::Bad
        } else if axes.iter().any(|&axis| beyond(axis, 0.0)) {
            Verdict::Unsure
        } else {
            Verdict::Good
        }
    }
}

/// What a tape of EU class II may be wrong by, in mm: 0.3 + 0.2·L, L in whole metres rounded up (Directive 2014/32/EU,
/// annex X).
fn tape_tolerance_mm(length_mm: f64) -> f64 {
    0.3 + 0.2 * (length_mm / 1000.0).ceil()
}

impl std::fmt::Display for Proof {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let [across, along, diagonal] =
            [self.across, self.along, self.diagonal].map(|axis| axis.error_mm_per_m);
        let verdict = match self.verdict() {
            Verdict::Good => "good to cut by",
            Verdict::Unsure => "at the limit of what the tape tells; read the bars again before cutting",
            Verdict::Bad => "not to be cut by; pick the marks again, then tape them again",
        };
        write!(
            f,
            "across {across:+.1} mm in a metre, along {along:+.1}, on the diagonal {diagonal:+.1}, with {:.1} allowed: \
             {verdict}",
            self.tolerance_mm_per_m
        )
    }
}
