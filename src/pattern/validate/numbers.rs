//! Whether the numbers of a piece are ones that cloth could have.

use super::super::Piece;
use super::super::fault::{FaultKind, Part};
use crate::geometry::tolerance::{JOIN_MM, LARGEST_COORDINATE_MM};
use crate::geometry::{Curve, Point, Segment};
use std::f64::consts::TAU;

/// The first number of a piece that is not finite or too large, and whose it is.
pub(super) fn numbers_fault(piece: &Piece) -> Option<(Part, FaultKind)> {
    let edges = piece.edges.iter().map(|edge| (Part::Edge(edge.id.clone()), curve_fault(&edge.curve)));
    let notches =
        piece.notches.iter().map(|notch| (Part::Notch(notch.id.clone()), number_fault(notch.distance)));
    let darts = piece.darts.iter().map(|dart| (Part::Dart(dart.id.clone()), point_fault(dart.apex)));
    let grain =
        [piece.grainline.from, piece.grainline.to].into_iter().map(|end| (Part::Grainline, point_fault(end)));
    let lines = piece.balance_lines.iter().map(|balance| {
        let kind = point_fault(balance.line.p0).or_else(|| point_fault(balance.line.p1));
        (Part::BalanceLine(balance.id.clone()), kind)
    });
    let holes =
        piece.drill_holes.iter().map(|hole| (Part::DrillHole(hole.name.clone()), point_fault(hole.at)));
    let inner =
        piece.inner_lines.iter().map(|line| (Part::InnerLine(line.name.clone()), curve_fault(&line.curve)));
    let texts = piece.texts.iter().map(|text| {
        let height = if text.height_mm > 0.0 || !text.height_mm.is_finite() {
            number_fault(text.height_mm)
        } else {
            Some(FaultKind::NoLength)
        };
        (Part::Text(text.words.clone()), point_fault(text.at).or(height))
    });
    edges
        .chain(notches)
        .chain(darts)
        .chain(grain)
        .chain(lines)
        .chain(holes)
        .chain(inner)
        .chain(texts)
        .find_map(|(part, kind)| Some((part, kind?)))
}

fn number_fault(number: f64) -> Option<FaultKind> {
    if !number.is_finite() {
        return Some(FaultKind::NotFinite);
    }
    (number.abs() > LARGEST_COORDINATE_MM).then_some(FaultKind::TooLarge(number))
}

fn point_fault(point: Point) -> Option<FaultKind> {
    number_fault(point.x).or_else(|| number_fault(point.y))
}

fn curve_fault(curve: &Curve) -> Option<FaultKind> {
    curve.segments().iter().find_map(|segment| match segment {
        Segment::Line(line) => point_fault(line.p0).or_else(|| point_fault(line.p1)),
        Segment::Cubic(c) => [c.p0, c.p1, c.p2, c.p3].into_iter().find_map(point_fault),
        Segment::Arc(arc) => {
            let ends = [arc.center, arc.eval(0.0), arc.eval(1.0)];
            let bad = arc.radius <= JOIN_MM || arc.sweep == 0.0 || arc.sweep.abs() > TAU + 1e-9;
            ends.into_iter().find_map(point_fault).or_else(|| bad.then(|| bad_arc(arc.sweep, arc.radius)))
        }
    })
}

fn bad_arc(sweep: f64, radius_mm: f64) -> FaultKind {
    FaultKind::BadArc { degrees: sweep.to_degrees(), radius_mm }
}
