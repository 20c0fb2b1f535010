//! A plain piece for the tests of checks: a skirt's half front, a rectangle on a fold.

use crate::alter::Allowances;
use crate::garment::EvaluatedPiece;
use crate::geometry::{Curve, Length, Point};
use crate::pattern::{ClothKind, Cutting, Edge, EdgeRole, Grainline, HowCut, Pattern, Piece};
use std::sync::Arc;

/// A rectangle from the origin: hem below, side to the right, waist above, fold to the left.
pub(super) fn rectangle(id: &str, width: f64, height: f64) -> Piece {
    let corners = [
        ("hem fold", Point::ORIGIN),
        ("hem side", Point::new(width, 0.0)),
        ("waist side", Point::new(width, height)),
        ("waist fold", Point::new(0.0, height)),
    ];
    let edges = [
        ("hem", EdgeRole::Hem),
        ("side", EdgeRole::Seam),
        ("waist", EdgeRole::Opening),
        ("fold", EdgeRole::Fold),
    ];
    let next = corners.iter().cycle().skip(1);
    let edges = edges.into_iter().zip(corners.iter().zip(next));
    Piece {
        id: id.into(),
        number: 1,
        cuttings: vec![Cutting { cloth: ClothKind::Cloth, count: 1, how: HowCut::OpenedOut }],
        edges: edges
            .map(|((id, role), ((from, start), (to, end)))| Edge {
                id: id.into(),
                from: (*from).into(),
                to: (*to).into(),
                role,
                allowance: None,
                curve: Curve::line(*start, *end),
            })
            .collect(),
        notches: Vec::new(),
        darts: Vec::new(),
        grainline: Grainline { from: Point::new(50.0, 50.0), to: Point::new(50.0, 250.0) },
        balance_lines: Vec::new(),
        drill_holes: Vec::new(),
        inner_lines: Vec::new(),
        texts: Vec::new(),
        traces: Vec::new(),
    }
}

/// The same allowance everywhere.
pub(super) fn allowances(mm: f64) -> Allowances {
    Allowances::of(&Pattern {
        name: String::new(),
        sizes: Vec::new(),
        pieces: Vec::new(),
        seams: Vec::new(),
        allowance: Length::from_mm(mm),
        hem_allowance: Length::from_mm(mm),
        bodies: Vec::new(),
        measures: Vec::new(),
    })
}

/// A piece before and after, with 15 mm everywhere.
pub(super) fn evaluated(printed: Piece, altered: Piece) -> EvaluatedPiece {
    EvaluatedPiece::of(Arc::new(printed), &Arc::new(altered), &allowances(15.0))
}
