//! Convex outlines: the hull of points, its area, and what two hulls share.
//!
//! Sources: Andrew, Another efficient algorithm for convex hulls (1979); Sutherland & Hodgman, Reentrant polygon
//! clipping (1974).

use super::order::sense;
use crate::geometry::Point;

/// The convex hull, counter-clockwise (y up); fewer than three points when they lie on a line.
pub(super) fn hull(points: &[Point]) -> Vec<Point> {
    let mut sorted: Vec<Point> = points.iter().copied().filter(|point| point.is_finite()).collect();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup();
    let chain = |points: &mut dyn Iterator<Item = Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for point in points {
            while let [.., a, b] = chain[..]
                && sense(a, b, point) <= 0.0
            {
                chain.pop();
            }
            chain.push(point);
        }
        // Its end is the other chain's beginning.
        chain.pop();
        chain
    };
    let mut hull = chain(&mut sorted.iter().copied());
    hull.extend(chain(&mut sorted.iter().rev().copied()));
    hull
}

/// Area of an outline, positive when it goes round counter-clockwise (y up).
pub(super) fn area(outline: &[Point]) -> f64 {
    let ends = outline.iter().zip(outline.iter().cycle().skip(1));
    0.5 * ends.map(|(a, b)| a.to_vec2().cross(b.to_vec2())).sum::<f64>()
}

/// The part of a convex outline that lies in another one, counter-clockwise.
pub(super) fn shared(outline: &[Point], within: &[Point]) -> Vec<Point> {
    let mut left = outline.to_vec();
    for (&a, &b) in within.iter().zip(within.iter().cycle().skip(1)) {
        let mut kept = Vec::with_capacity(left.len() + 1);
        for (&p, &q) in left.iter().zip(left.iter().cycle().skip(1)) {
            let (from, to) = (sense(a, b, p), sense(a, b, q));
            if from >= 0.0 {
                kept.push(p);
            }
            if from * to < 0.0 {
                kept.push(p.lerp(q, from / (from - to)));
            }
        }
        left = kept;
    }
    left
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, side: f64) -> Vec<Point> {
        [(x, y), (x + side, y), (x + side, y + side), (x, y + side)].map(Point::from).to_vec()
    }

    #[test]
    fn a_hull_goes_round_its_outermost_points() {
        let mut points = square(0.0, 0.0, 10.0);
        points.extend([(5.0, 5.0), (10.0, 5.0), (2.0, 7.0), (0.0, 0.0)].map(Point::from));
        let hull = hull(&points);
        assert_eq!(hull.len(), 4);
        assert!((area(&hull) - 100.0).abs() < 1e-12);
    }

    #[test]
    fn points_on_a_line_have_no_area() {
        let line = [(0.0, 0.0), (1.0, 1.0), (2.0, 2.0), (5.0, 5.0)].map(Point::from);
        assert!(hull(&line).len() < 3);
        assert!(hull(&[]).is_empty() && hull(&line[..1]).is_empty());
    }

    #[test]
    fn two_squares_share_their_overlap() {
        let both = shared(&square(0.0, 0.0, 10.0), &square(6.0, 7.0, 10.0));
        assert!((area(&both) - 12.0).abs() < 1e-12);
        assert!(area(&shared(&square(0.0, 0.0, 1.0), &square(2.0, 2.0, 1.0))).abs() < 1e-12);
    }
}
