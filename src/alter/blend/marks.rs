//! A piece's marks after its outline has gone over to another size.

use super::weave::Woven;
use crate::geometry::{Affine, Curve, Line, Point};
use crate::pattern::Piece;

/// The piece with its woven outline, its marks gone over with the seam beside them.
pub(super) fn gone_over(old: &Piece, new: &Piece, woven: &Woven) -> Piece {
    let mut piece = old.clone();
    for (edge, curve) in piece.edges.iter_mut().zip(&woven.curves) {
        edge.curve = curve.clone();
    }
    for (notch, was) in piece.notches.iter_mut().zip(&old.notches) {
        let Some(at) = old.edge_index(&was.edge).filter(|&at| woven.is_touched(at)) else {
            continue;
        };
        let along = was.distance_from_start(&old.edges[at]);
        let twin = new.notches.iter().find(|twin| twin.id == was.id && twin.edge == was.edge);
        let new_along = twin.map_or_else(
            || along * new.edges[at].curve.length() / old.edges[at].curve.length(),
            |twin| twin.distance_from_start(&new.edges[at]),
        );
        let out = woven.mark(at, along, new_along);
        notch.distance = if notch.corner == old.edges[at].to { woven.curves[at].length() - out } else { out };
    }
    let beside = |point: Point| {
        let places = old.edges.iter().enumerate().map(|(at, edge)| (at, edge.curve.nearest(point)));
        let closest = places.min_by(|a, b| a.1.1.total_cmp(&b.1.1));
        closest.map_or(0.0, |(at, (along, _))| woven.weight(at, along))
    };
    for dart in &mut piece.darts {
        let Some(twin) = new.dart(&dart.id) else { continue };
        let mouth = old.dart_mouth(&dart.id).and_then(|mouth| old.edge_index(&mouth.id));
        let w = mouth.map_or(0.0, |at| woven.weight(at, 0.5 * old.edges[at].curve.length()));
        dart.apex = dart.apex.lerp(twin.apex, w);
    }
    for line in &mut piece.balance_lines {
        if let Some(twin) = new.balance_lines.iter().find(|twin| twin.id == line.id) {
            let w = beside(line.line.p1).max(beside(line.line.p0));
            line.line = Line::new(line.line.p0.lerp(twin.line.p0, w), line.line.p1.lerp(twin.line.p1, w));
        }
    }
    for (at, hole) in piece.drill_holes.iter_mut().enumerate() {
        if let Some(twin) = new.drill_holes.get(at).filter(|twin| twin.name == hole.name) {
            hole.at = hole.at.lerp(twin.at, beside(hole.at));
        }
    }
    for (at, line) in piece.inner_lines.iter_mut().enumerate() {
        if let Some(twin) = new.inner_lines.get(at).filter(|twin| twin.name == line.name) {
            let middle = |curve: &Curve| curve.point_at(0.5 * curve.length());
            let (here, there) = (middle(&line.curve), middle(&twin.curve));
            let w = beside(here);
            line.curve = if w >= 1.0 {
                twin.curve.clone()
            } else {
                line.curve.transformed(Affine::translate(w * (there - here)))
            };
        }
    }
    piece
}
