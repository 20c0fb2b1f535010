//! A curve cut where it passes given heights in a direction.

use super::{Curve, Segment};
use kurbo::{Point, Vec2, common::solve_cubic};

/// The segments of `curve`, cut wherever the signed distance from `origin` along the unit vector `direction`
/// passes one of `levels` (mm). Places within a billionth of a segment's ends are not cut.
#[must_use]
pub fn split_at_levels(curve: &Curve, origin: Point, direction: Vec2, levels: &[f64]) -> Vec<Segment> {
    let mut pieces = Vec::new();
    for segment in curve.segments() {
        let mut cuts: Vec<f64> = levels
            .iter()
            .flat_map(|&level| places_at_level(segment, origin, direction, level))
            .filter(|t| (END_SLACK..=1.0 - END_SLACK).contains(t))
            .collect();
        cuts.sort_by(f64::total_cmp);
        cuts.dedup_by(|a, b| (*a - *b).abs() < END_SLACK);
        let mut from = 0.0;
        for to in cuts {
            pieces.push(segment.subsegment(from, to));
            from = to;
        }
        pieces.push(if from > 0.0 { segment.subsegment(from, 1.0) } else { *segment });
    }
    pieces
}

/// A cut closer than this to a segment's end (in its parameter) would leave a piece of no length.
const END_SLACK: f64 = 1e-9;

/// Parameters at which a segment passes a height.
fn places_at_level(segment: &Segment, origin: Point, direction: Vec2, level: f64) -> Vec<f64> {
    let height = |p: Point| (p - origin).dot(direction) - level;
    match segment {
        Segment::Line(line) => {
            let (h0, h1) = (height(line.p0), height(line.p1));
            let rise = h1 - h0;
            if rise == 0.0 { Vec::new() } else { vec![-h0 / rise] }
        }
        Segment::Cubic(c) => {
            let [h0, h1, h2, h3] = [c.p0, c.p1, c.p2, c.p3].map(height);
            solve_cubic(h0, 3.0 * (h1 - h0), 3.0 * (h2 - 2.0 * h1 + h0), h3 - 3.0 * h2 + 3.0 * h1 - h0)
                .to_vec()
        }
        Segment::Arc(arc) => {
            let cosine = -height(arc.center) / arc.radius;
            if cosine.abs() > 1.0 || arc.sweep == 0.0 {
                return Vec::new();
            }
            let turn = std::f64::consts::TAU;
            [cosine.acos(), -cosine.acos()]
                .into_iter()
                .map(|off| {
                    let ahead = (direction.atan2() + off - arc.start_angle) * arc.sweep.signum();
                    ahead.rem_euclid(turn) / arc.sweep.abs()
                })
                .collect()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_segment_is_cut_at_the_height_and_nowhere_else() {
        let curves = [
            Curve::line(Point::new(0.0, -10.0), Point::new(5.0, 30.0)),
            Curve::arc(Point::new(0.0, 0.0), Point::new(40.0, -9.0), 2.9),
            Curve::arc(Point::new(0.0, 0.0), Point::new(-40.0, -9.0), -2.9),
            Curve::cubic(
                Point::new(0.0, -20.0),
                Point::new(10.0, 60.0),
                Point::new(20.0, -60.0),
                Point::new(30.0, 20.0),
            ),
        ];
        for curve in curves {
            let pieces = split_at_levels(&curve, Point::new(0.0, 2.0), Vec2::new(0.0, 1.0), &[3.0, -4.0]);
            assert!(pieces.len() >= 3, "{curve:?}");
            let sum: f64 = pieces.iter().map(Segment::length).sum();
            assert!((sum - curve.length()).abs() < 1e-6);
            for pair in pieces.windows(2) {
                let y = pair[0].end().y;
                assert!((y - 5.0).abs() < 1e-8 || (y + 2.0).abs() < 1e-8, "{y}");
            }
            for piece in pieces {
                // Within a piece the band never changes.
                let band = |y: f64| i32::from(y > 5.0) + i32::from(y > -2.0);
                assert_eq!(band(piece.eval(0.1).y), band(piece.eval(0.9).y));
            }
        }
    }
}
