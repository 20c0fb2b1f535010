//! The line to cut: the seam line and its allowances.
//!
//! Each edge goes outwards by its own width, arcs staying arcs. At a corner that points outwards the two
//! parallels are carried on straight to where they meet (a mitre), at most three widths from the corner of the
//! seam line; a longer point is cut off square to its middle. At a corner that points inwards they are cut where
//! they cross. A fold has no allowance, and what comes to it ends on its line, so that the two halves of an
//! opened-out piece meet in one point. Widths that differ along a smooth seam make a step square to it.
//!
//! Where an edge bends inwards with a radius below its allowance, the parallel's loop is left out
//! ([`cleared_parallel`]); no allowance is ever narrower than asked for.
//!
//! Other corners ([`CornerShape`]) are named in the allowances, and so are margin zones, whose dashed lines lie outside
//! the cutting line ([`CuttingLine::margins`]).
//!
//! The result is one closed outline, counter-clockwise, with each stretch named after the edge or the corner
//! that it belongs to. Moved inwards by the same widths, it is the seam line again.

mod shapes;

use super::draft::closed_polygon;
use super::{Allowances, AlterError, CornerShape, MarginAt};
use crate::geometry::tolerance::{FLATTEN_COARSE_MM, JOIN_MM};
use crate::geometry::{
    BezPath, Cleared, Curve, Line, Point, Segment, Vec2, brought_together, cleared_parallel, crossings,
    self_crossing,
};
use crate::pattern::{CornerId, EdgeId, Piece, PieceId};

/// Longest mitre, as a multiple of the wider allowance, measured from the corner of the seam line.
const MITRE_LIMIT: f64 = 3.0;

/// The line to cut around one piece.
#[derive(Debug, Clone, PartialEq)]
pub struct CuttingLine {
    /// Which piece.
    pub piece: PieceId,
    /// The stretches in order, counter-clockwise, each beginning where the one before ends.
    pub runs: Vec<CutRun>,
    /// Dashed lines around cloth that is left untrimmed for now; each begins and ends on the cutting line.
    pub margins: Vec<Curve>,
}

/// A stretch of a cutting line.
#[derive(Debug, Clone, PartialEq)]
pub struct CutRun {
    /// What it belongs to.
    pub of: CutRunOf,
    /// Its shape, in the piece's coordinates.
    pub curve: Curve,
}

/// What a stretch of a cutting line belongs to.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum CutRunOf {
    /// Runs along an edge of the seam line.
    Edge(EdgeId),
    /// Goes round a corner.
    Corner(CornerId),
}

impl CuttingLine {
    /// The whole line as one closed path.
    #[must_use]
    pub fn outline(&self) -> BezPath {
        let mut path = BezPath::new();
        if let Some(first) = self.runs.first() {
            path.move_to(first.curve.start());
            for run in &self.runs {
                run.curve.append_to(&mut path);
            }
            path.close_path();
        }
        path
    }

    /// The stretch along an edge.
    #[must_use]
    pub fn along(&self, edge: &EdgeId) -> Option<&CutRun> {
        self.runs.iter().find(|run| matches!(&run.of, CutRunOf::Edge(of) if of == edge))
    }
}

/// The cutting line of a piece.
///
/// # Errors
/// [`AlterError`] when an allowance is below 0, an edge bends so sharply that its allowance would fold over
/// itself, or the line crosses itself.
pub fn cutting_line(piece: &Piece, allowances: &Allowances) -> Result<CuttingLine, AlterError> {
    let mut sides = Vec::with_capacity(piece.edges.len());
    for (index, edge) in piece.edges.iter().enumerate() {
        let width_mm = allowances.width_mm(piece, index);
        if width_mm < 0.0 {
            return Err(AlterError::NegativeAllowance {
                piece: piece.id.clone(),
                edge: edge.id.clone(),
                width_mm,
            });
        }
        let side = cleared_parallel(&edge.curve, -width_mm).map_err(|cause| AlterError::NoParallel {
            piece: piece.id.clone(),
            edge: edge.id.clone(),
            cause,
        })?;
        sides.push((side, width_mm));
    }
    let count = sides.len();
    let mut corners = Vec::with_capacity(count);
    for index in 0..count {
        let next = (index + 1) % count;
        let corner = piece.edges[index].curve.end();
        let widest = sides[index].1.max(sides[next].1);
        let shape = allowances.corner(&piece.id, &piece.edges[index].to);
        let meeting = shapes::Meeting {
            piece,
            edges: [index, next],
            sides: [&sides[index].0.curve, &sides[next].0.curve],
            widths: [sides[index].1, sides[next].1],
        };
        let (before, after, around) = match (shape, meeting.shaped(shape)) {
            (CornerShape::Mitred, _) | (_, None) => go_round(&sides[index].0, &sides[next].0, corner, widest),
            (_, Some(rounded)) => rounded,
        };
        sides[index].0.curve = before;
        sides[next].0.curve = after;
        corners.push(around);
    }
    let mut runs = Vec::with_capacity(2 * count);
    for ((edge, (side, _)), around) in piece.edges.iter().zip(sides).zip(corners) {
        runs.push(CutRun { of: CutRunOf::Edge(edge.id.clone()), curve: side.curve });
        runs.extend(around.map(|curve| CutRun { of: CutRunOf::Corner(edge.to.clone()), curve }));
    }
    if let Some(at) =
        self_crossing(&closed_polygon(runs.iter().flat_map(|run| run.curve.flatten(FLATTEN_COARSE_MM))))
    {
        return Err(AlterError::CuttingLineCrosses { piece: piece.id.clone(), at });
    }
    let margins = margins(piece, allowances, &runs);
    Ok(CuttingLine { piece: piece.id.clone(), runs, margins })
}

/// The dashed lines of the margin zones of a piece.
fn margins(piece: &Piece, allowances: &Allowances, runs: &[CutRun]) -> Vec<Curve> {
    let outline: Vec<Curve> = runs.iter().map(|run| run.curve.clone()).collect();
    let zones = allowances.margins.iter().filter(|zone| zone.piece == piece.id);
    zones
        .filter_map(|zone| {
            let (ends, outwards) = match &zone.at {
                MarginAt::Mouth { dart } => {
                    let mouth = &piece.dart_mouth(dart)?.curve;
                    let (start, end) = (mouth.start(), mouth.end());
                    let along = end - start;
                    ([start, end], Vec2::new(along.y, -along.x))
                }
                MarginAt::Corner { corner } => {
                    let after = piece.edges.iter().position(|edge| &edge.from == corner)?;
                    let before = (after + piece.edges.len() - 1) % piece.edges.len();
                    let at = piece.edges[after].curve.start();
                    let along =
                        piece.edges[before].curve.end_tangent() + piece.edges[after].curve.start_tangent();
                    ([at, at], Vec2::new(along.y, -along.x))
                }
            };
            let length = outwards.hypot();
            (length > 0.0).then(|| shapes::margin_line(ends, outwards / length, zone.width.mm(), &outline))?
        })
        .collect()
}

/// Two neighbouring sides of the cutting line, trimmed, and what goes round the corner between them.
fn go_round(first: &Cleared, second: &Cleared, corner: Point, widest: f64) -> (Curve, Curve, Option<Curve>) {
    match (&first.end_tail, &second.start_tail) {
        (Some(tail), _) => round_a_loop(&first.curve, tail, &second.curve, corner, widest),
        (None, Some(tail)) => {
            // The same, travelled the other way.
            let [second, tail, first] = [&second.curve, tail, &first.curve].map(Curve::reversed);
            let (second, first, around) = round_a_loop(&second, &tail, &first, corner, widest);
            (first.reversed(), second.reversed(), around.map(|curve| curve.reversed()))
        }
        (None, None) => {
            let (before, after) = (&first.curve, &second.curve);
            round_a_corner(before, before.end_tangent(), after, corner, widest)
        }
    }
}

/// The corner where the side before it ends in a loop: the loop's way back and the corner that it leads to are
/// cut where the side first meets them.
fn round_a_loop(
    before: &Curve,
    tail: &Curve,
    after: &Curve,
    corner: Point,
    widest: f64,
) -> (Curve, Curve, Option<Curve>) {
    let (tail, after, around) = round_a_corner(tail, -tail.end_tangent(), after, corner, widest);
    let mut way = tail.segments().to_vec();
    way.extend(around.iter().flat_map(|curve| curve.segments().iter().copied()));
    let to_side: f64 = way.iter().map(Segment::length).sum();
    way.extend(after.segments());
    let Ok(way) = Curve::new(way) else {
        return (before.clone(), after, around);
    };
    let Some(meeting) = crossings(before, &way).into_iter().next() else {
        return (before.clone(), after, way.portion(0.0, to_side));
    };
    let kept = before.portion(0.0, meeting.on_first).unwrap_or_else(|| before.clone());
    if meeting.on_second >= to_side {
        let rest = after.portion(meeting.on_second - to_side, f64::INFINITY);
        return (kept, rest.unwrap_or(after), None);
    }
    (kept, after, way.portion(meeting.on_second, to_side))
}

/// The corner between the side `before`, which is carried on in the direction `ahead`, and the side `after`.
fn round_a_corner(
    before: &Curve,
    ahead: Vec2,
    after: &Curve,
    corner: Point,
    widest: f64,
) -> (Curve, Curve, Option<Curve>) {
    let (p, q) = (before.end(), after.start());
    if p.distance(q) <= JOIN_MM * 0.01 {
        return (before.clone(), after.clone(), None);
    }
    let onward = after.start_tangent();
    let limit = MITRE_LIMIT * widest;
    let meeting = Line::new(p, p + ahead).crossing_point(Line::new(q, q + onward));
    if let Some(tip) = meeting {
        let beyond = (tip - p).dot(ahead) >= -ROUNDING_MM && (q - tip).dot(onward) >= -ROUNDING_MM;
        if beyond && tip.distance(corner) <= limit {
            return (before.clone(), after.clone(), through(&[p, tip, q]));
        }
        if beyond {
            let middle = (tip - corner) / tip.distance(corner);
            let cut = |from: Point| {
                let share = (limit - (from - corner).dot(middle)) / (tip - from).dot(middle);
                from.lerp(tip, share.clamp(0.0, 1.0))
            };
            return (before.clone(), after.clone(), through(&[p, cut(p), cut(q), q]));
        }
    }
    match brought_together(before, after, corner, limit) {
        Some((before, after)) => (before, after, None),
        None => (before.clone(), after.clone(), through(&[p, q])),
    }
}

/// Rounding of the ends of a parallel, in mm.
const ROUNDING_MM: f64 = 1e-3;

/// Straight lines through points; a point hardly away from the first or the last is left out.
fn through(points: &[Point]) -> Option<Curve> {
    let (first, last) = (*points.first()?, *points.last()?);
    let far = |p: &Point, from: Point| p.distance(from) > ROUNDING_MM;
    let inner = points[1..points.len() - 1].iter().copied();
    let mut kept = vec![first];
    kept.extend(inner.filter(|p| far(p, first) && far(p, last)));
    kept.push(last);
    Curve::polyline(&kept)
}
