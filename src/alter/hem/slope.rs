//! An amount that varies along a hem, fitted to what is asked for at the side seam.

use super::HemSideError;
use super::REACH;
use crate::alter::AlterError;
use crate::geometry::{Along, Curve, ParallelError, Vec2, brought_together, displaced};
use crate::pattern::Piece;
use std::f64::consts::PI;

/// Over how much of a hem its end is turned, in mm: a hand's breadth and a half, long enough to show no corner.
const TURNED_MM: f64 = 120.0;

/// Most of a hem over which its end is turned; the rest keeps its line.
const TURNED_SHARE: f64 = 1.0 / 3.0;

/// How exactly a side seam changes by what was asked, in mm: what arc lengths are computed to, and room for sums.
const SEAM_MM: f64 = 1e-5;

/// How exactly a hem meets a side seam at the angle that was asked, in radians.
const ANGLE: f64 = 1e-7;

/// Rounds after which a fit is given up; each leaves a small share of the error, so ten are plenty.
const ROUNDS: u32 = 40;

/// Steepest that the end of a hem is turned, as a sine of the angle between hem and seam: flatter they don't meet.
const LEAST_SINE: f64 = 0.3;

/// How far a run of hem edges moves outwards, square to itself, by arc length along the run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::alter) struct Slope {
    /// Amounts at its start and its end, in mm; evenly between.
    pub amounts: [f64; 2],
    /// Which end (0 or 1) is turned, and the tangent of the angle.
    pub turned: Option<(usize, f64)>,
}

/// What is asked for at the side seam.
pub(super) struct Asked {
    /// How much longer the seam becomes, in mm.
    pub seam_longer_by: Option<f64>,
    /// The angle inside the cloth between hem and seam.
    pub angle: Option<f64>,
}

impl Slope {
    /// The larger of the amounts, in mm.
    pub(super) fn largest(&self) -> f64 {
        let [start, end] = self.amounts;
        if start.abs() >= end.abs() { start } else { end }
    }

    /// The amount at a distance along a run of `whole` mm, and its derivative.
    fn at(&self, distance: f64, whole: f64) -> (f64, f64) {
        let [start, end] = self.amounts;
        let even = (end - start) / whole.max(f64::MIN_POSITIVE);
        let amount = start + even * distance;
        let Some((turned, tangent)) = self.turned else { return (amount, even) };
        let (from_corner, away) = if turned == 0 { (distance, 1.0) } else { (whole - distance, -1.0) };
        let u = from_corner / turned_length(whole);
        if u >= 1.0 {
            return (amount, even);
        }
        let bend = tangent * from_corner * (1.0 - u) * (1.0 - u);
        (amount + bend, even + away * tangent * (1.0 - u) * (1.0 - 3.0 * u))
    }

    /// An edge of the run, which begins `passed` mm after its start, moved.
    pub(super) fn moved(&self, curve: &Curve, passed: f64, whole: f64) -> Result<Curve, ParallelError> {
        self.check_bends(curve, passed, whole)?;
        let length = turned_length(whole);
        let breaks = self.turned.map(|(end, _)| if end == 0 { length } else { whole - length } - passed);
        Ok(displaced(curve, breaks.as_slice(), |along: Along| {
            let (amount, slope) = self.at(passed + along.distance, whole);
            let outwards = Vec2::new(along.tangent.y, -along.tangent.x);
            (amount * outwards, slope * outwards + amount * along.curvature * along.tangent)
        }))
    }

    /// Refuses an amount that reaches the centre of curvature on the inner side.
    fn check_bends(&self, curve: &Curve, passed: f64, whole: f64) -> Result<(), ParallelError> {
        const STEPS: u32 = 64;
        let mut passed = passed;
        for segment in curve.segments() {
            let length = segment.length();
            for step in 0..=STEPS {
                let t = f64::from(step) / f64::from(STEPS);
                let inwards = -self.at(passed + t * length, whole).0;
                let curvature = segment.curvature(t);
                if curvature * inwards >= 1.0 {
                    return Err(ParallelError::FoldsOver {
                        radius_mm: 1.0 / curvature.abs(),
                        distance_mm: inwards.abs(),
                        at: segment.eval(t),
                    });
                }
            }
            passed += length;
        }
        Ok(())
    }

    /// The same slope, with the amount and the turn at an end such that the seam beside it changes by what is asked and
    /// meets the hem at the angle that is asked.
    ///
    /// Amount and turn hardly bear on each other: the turn leaves the corner where it is. So each is corrected by what
    /// it still lacks until neither lacks anything.
    pub(super) fn fitted(
        self,
        piece: &Piece,
        edges: &[usize],
        end: usize,
        asked: &Asked,
    ) -> Result<Self, AlterError> {
        let count = piece.edges.len();
        let at_end = if end == 0 { edges.first() } else { edges.last() };
        let hem = at_end.copied().unwrap_or_default();
        let beside = if end == 0 { (hem + count - 1) % count } else { (hem + 1) % count };
        let (line, seam) = (&piece.edges[hem].curve, &piece.edges[beside].curve);
        let whole: f64 = edges.iter().map(|&at| piece.edges[at].curve.length()).sum();
        let passed = if end == 0 { 0.0 } else { whole - line.length() };
        let corner = if end == 0 { line.start() } else { line.end() };
        let refused = |cause| AlterError::NoParallel {
            piece: piece.id.clone(),
            edge: piece.edges[hem].id.clone(),
            cause,
        };
        let apart = |by_mm| HemSideError::MissesSide {
            piece: piece.id.clone(),
            hem: piece.edges[hem].id.clone(),
            side: piece.edges[beside].id.clone(),
            by_mm,
        };
        let mut slope = self;
        for _ in 0..ROUNDS {
            let moved = slope.moved(line, passed, whole).map_err(refused)?;
            let reach = REACH * slope.largest().abs();
            let joined = if end == 0 {
                brought_together(seam, &moved, corner, reach)
            } else {
                brought_together(&moved, seam, corner, reach).map(|(hem, seam)| (seam, hem))
            };
            let (cut, new) = joined.ok_or_else(|| apart(slope.amounts[end]))?;
            let angle = if end == 0 {
                inside(cut.end_tangent(), new.start_tangent())
            } else {
                inside(new.end_tangent(), cut.start_tangent())
            };
            let lacks = asked.seam_longer_by.map_or(0.0, |asked| asked - (cut.length() - seam.length()));
            let lacks_turn = asked.angle.map_or(0.0, |asked| asked - angle);
            if lacks.abs() <= SEAM_MM && lacks_turn.abs() <= ANGLE {
                return Ok(slope);
            }
            if angle.sin() < LEAST_SINE {
                break;
            }
            slope.amounts[end] += lacks * angle.sin();
            if asked.angle.is_some() {
                let turn = slope.turned.map_or(0.0, |(_, tangent)| tangent).atan() + lacks_turn;
                if turn.cos() < LEAST_SINE {
                    break;
                }
                slope.turned = Some((end, turn.tan()));
            }
        }
        Err(apart(asked.seam_longer_by.unwrap_or(self.amounts[end])).into())
    }
}

/// Over how much of a hem its end is turned, in mm.
fn turned_length(whole: f64) -> f64 {
    TURNED_MM.min(TURNED_SHARE * whole).max(f64::MIN_POSITIVE)
}

/// The angle inside the cloth at the corner between two neighbouring edges.
pub(super) fn inside_angle(piece: &Piece, before: usize, after: usize) -> f64 {
    inside(piece.edges[before].curve.end_tangent(), piece.edges[after].curve.start_tangent())
}

/// The angle to the left of travel where one direction follows another.
fn inside(came: Vec2, goes: Vec2) -> f64 {
    PI - came.cross(goes).atan2(came.dot(goes))
}
