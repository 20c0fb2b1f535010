//! Lengths by dense sampling, and single pieces to measure.

use super::draft::{edge, mm, piece};
use chalkbeam::geometry::{Curve, Point, Vec2};
use chalkbeam::pattern::*;
use std::sync::Arc;

/// A pattern of one piece in one size.
pub(super) fn lone(piece: Piece) -> Pattern {
    Pattern {
        name: "Lone".to_owned(),
        sizes: vec!["one".into()],
        pieces: vec![SizedPiece { id: piece.id.clone(), by_size: vec![Arc::new(piece)] }],
        seams: Vec::new(),
        allowance: mm(15.0),
        hem_allowance: mm(25.0),
        bodies: Vec::new(),
        measures: Vec::new(),
    }
}

/// Half of a circle skirt, cut on a fold: `turn` radians of a ring from the waist circle to the hem circle.
pub(super) fn circle_skirt(waist_radius: f64, length: f64, turn: f64, count: u32, how: HowCut) -> Piece {
    let at = |radius: f64, angle: f64| {
        Point::ORIGIN + radius * Vec2::from_angle(angle - std::f64::consts::FRAC_PI_2)
    };
    let outer = waist_radius + length;
    let fold = if how == HowCut::Single { EdgeRole::Seam } else { EdgeRole::Fold };
    let mut skirt = piece(
        "skirt",
        vec![
            edge(
                "hem",
                "hem_fold",
                "hem_side",
                EdgeRole::Hem,
                Curve::arc(Point::ORIGIN, at(outer, 0.0), turn),
            ),
            edge(
                "side",
                "hem_side",
                "waist_side",
                EdgeRole::Seam,
                Curve::line(at(outer, turn), at(waist_radius, turn)),
            ),
            edge(
                "waist",
                "waist_side",
                "waist_fold",
                EdgeRole::Seam,
                Curve::arc(Point::ORIGIN, at(waist_radius, turn), -turn),
            ),
            edge("fold", "waist_fold", "hem_fold", fold, Curve::line(at(waist_radius, 0.0), at(outer, 0.0))),
        ],
        count,
        how,
    );
    skirt.grainline =
        Grainline { from: at(outer - 50.0, 0.3), to: at(outer - 50.0, 0.3) + Vec2::new(0.0, 200.0) };
    skirt
}

/// Length by dense sampling: nothing of the library's arc lengths is used.
pub(super) fn sampled(curve: &Curve) -> f64 {
    curve.segments().iter().map(|segment| sampled_length(|t| segment.eval(t))).sum()
}

pub(super) fn sampled_length(at: impl Fn(f64) -> Point) -> f64 {
    const STEPS: u32 = 4000;
    let points: Vec<Point> = (0..=STEPS).map(|step| at(f64::from(step) / f64::from(STEPS))).collect();
    points.windows(2).map(|pair| pair[0].distance(pair[1])).sum()
}

/// A cubic by its definition.
pub(super) fn bezier(p: [Point; 4], t: f64) -> Point {
    let u = 1.0 - t;
    (u * u * u * p[0].to_vec2()
        + 3.0 * u * u * t * p[1].to_vec2()
        + 3.0 * u * t * t * p[2].to_vec2()
        + t * t * t * p[3].to_vec2())
    .to_point()
}
