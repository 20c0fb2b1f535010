//! Points and curves as the file writes them.

use crate::geometry::tolerance::{JOIN_MM, LARGEST_COORDINATE_MM};
use crate::geometry::{CircularArc, CubicBez, Curve, CurveError, Point, Segment};
use crate::pattern::FaultKind;
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// A point: x and y in mm.
pub(super) type XY = (f64, f64);

/// Decimals of a millimetre that are written: six, a thousandth of the wavelength of light.
const COORDINATE_DECIMALS: f64 = 1e6;

/// Decimals of a degree that are written: over a radius of two metres, less than the last of a coordinate.
const DEGREE_DECIMALS: f64 = 1e9;

/// One stretch of a curve, from where the one before ended.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) enum StretchTwin {
    Line(XY),
    Cubic(XY, XY, XY),
    Arc { center: XY, sweep_degrees: f64 },
}

/// A curve as written.
pub(super) struct CurveTwin<'a> {
    pub(super) start: XY,
    pub(super) path: &'a [StretchTwin],
}

pub(super) fn point((x, y): XY) -> Point {
    Point::new(x, y)
}

pub(super) fn xy(point: Point) -> XY {
    (rounded(point.x), rounded(point.y))
}

/// A number of millimetres as written. Adding zero makes minus zero a plain one.
pub(super) fn rounded(mm: f64) -> f64 {
    (mm * COORDINATE_DECIMALS).round() / COORDINATE_DECIMALS + 0.0
}

/// The stretches of a curve.
pub(super) fn stretches(curve: &Curve) -> Vec<StretchTwin> {
    let stretch = |segment: &Segment| match segment {
        Segment::Line(line) => StretchTwin::Line(xy(line.p1)),
        Segment::Cubic(cubic) => StretchTwin::Cubic(xy(cubic.p1), xy(cubic.p2), xy(cubic.p3)),
        Segment::Arc(arc) => StretchTwin::Arc {
            center: xy(arc.center),
            sweep_degrees: (arc.sweep.to_degrees() * DEGREE_DECIMALS).round() / DEGREE_DECIMALS + 0.0,
        },
    };
    curve.segments().iter().map(stretch).collect()
}

impl CurveTwin<'_> {
    /// The curve. Numbers that are none are refused before they reach the geometry.
    pub(super) fn to_curve(&self) -> Result<Curve, FaultKind> {
        check(&[self.start])?;
        let mut at = point(self.start);
        let mut segments = Vec::new();
        for stretch in self.path {
            let segment = match *stretch {
                StretchTwin::Line(to) => {
                    check(&[to])?;
                    Segment::line(at, point(to))
                }
                StretchTwin::Cubic(p1, p2, p3) => {
                    check(&[p1, p2, p3])?;
                    Segment::Cubic(CubicBez::new(at, point(p1), point(p2), point(p3)))
                }
                StretchTwin::Arc { center, sweep_degrees } => {
                    check(&[center, (sweep_degrees, 0.0)])?;
                    let arc = CircularArc::about(point(center), at, sweep_degrees.to_radians());
                    if arc.radius <= JOIN_MM || arc.sweep == 0.0 || arc.sweep.abs() > TAU + 1e-9 {
                        return Err(FaultKind::BadArc { degrees: sweep_degrees, radius_mm: arc.radius });
                    }
                    Segment::Arc(arc)
                }
            };
            at = segment.end();
            // Where an arc's end was computed, the next begins at exactly that place again when it is read.
            segments.push(segment);
        }
        if segments.is_empty() {
            return Err(FaultKind::Curve(CurveError::Empty));
        }
        Ok(Curve::new(segments)?)
    }
}

fn check(points: &[XY]) -> Result<(), FaultKind> {
    for number in points.iter().flat_map(|(x, y)| [*x, *y]) {
        if !number.is_finite() {
            return Err(FaultKind::NotFinite);
        }
        if number.abs() > LARGEST_COORDINATE_MM {
            return Err(FaultKind::TooLarge(number));
        }
    }
    Ok(())
}
