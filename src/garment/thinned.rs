//! Outlines with fewer corners, for the search.

use crate::geometry::Point;

/// Furthest that a thinned outline may lie from the true one, in mm: an eighth of a millimetre of a projector's
/// pixel, and a blade is wider.
pub(super) const THINNED_MM: f64 = 0.05;

/// Fewer corners within [`THINNED_MM`], none of the outermost given up (Ramer, Douglas and Peucker).
pub(super) fn thinned(points: &[Point]) -> Vec<Point> {
    let key = |of: fn(&Point) -> f64| {
        let places = points.iter().enumerate();
        places.max_by(|a, b| of(a.1).total_cmp(&of(b.1))).map(|(index, _)| index)
    };
    let mut kept: Vec<usize> =
        [key(|p| p.x), key(|p| -p.x), key(|p| p.y), key(|p| -p.y)].into_iter().flatten().collect();
    kept.sort_unstable();
    kept.dedup();
    if kept.len() < 2 {
        return points.to_vec();
    }
    let count = points.len();
    let mut keep = vec![false; count];
    let mut stretches: Vec<(usize, usize)> = Vec::new();
    for (n, &from) in kept.iter().enumerate() {
        keep[from] = true;
        let to = kept.get(n + 1).copied().unwrap_or(kept[0] + count);
        stretches.push((from, to));
    }
    while let Some((from, to)) = stretches.pop() {
        let (a, b) = (points[from % count], points[to % count]);
        let chord = b - a;
        let away = |index: usize| {
            let off = points[index % count] - a;
            let t = (off.dot(chord) / chord.hypot2().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
            (off - t * chord).hypot()
        };
        let furthest = (from + 1..to).max_by(|p, q| away(*p).total_cmp(&away(*q)));
        if let Some(middle) = furthest.filter(|middle| away(*middle) > THINNED_MM) {
            keep[middle % count] = true;
            stretches.extend([(from, middle), (middle, to)]);
        }
    }
    points.iter().zip(keep).filter(|(_, keep)| *keep).map(|(p, _)| *p).collect()
}
