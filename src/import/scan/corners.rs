//! Corners of a traced line: where its direction over a short way changes sharply.

use crate::geometry::{Point, Vec2};

/// A corner turns by more than this, in radians (20°), as in drawings.
const TURN: f64 = 0.349;

/// Points at equal distances along a closed line.
pub(super) fn evenly(line: &[Point], step: f64) -> Vec<Point> {
    let mut places = Vec::new();
    let mut carried = 0.0;
    let count = line.len();
    for index in 0..count {
        let (from, to) = (line[index], line[(index + 1) % count]);
        let length = from.distance(to);
        while carried < length {
            places.push(from.lerp(to, carried / length.max(f64::MIN_POSITIVE)));
            carried += step;
        }
        carried -= length;
    }
    places
}

/// The corners among points at equal distances along a closed line, looking `reach` points ahead and back.
pub(super) fn corners(points: &[Point], reach: usize) -> Vec<usize> {
    let count = points.len();
    if count < 4 * reach.max(1) {
        return Vec::new();
    }
    let at = |index: usize| points[index % count];
    // The direction of a way is that between the middles of its halves: single points are noise.
    let middle = |from: usize, to: usize| {
        let sum: Vec2 = (from..to).map(|index| at(index).to_vec2()).fold(Vec2::ZERO, |a, b| a + b);
        #[expect(clippy::cast_precision_loss, reason = "a handful of points")]
        let count = (to - from).max(1) as f64;
        (sum / count).to_point()
    };
    let half = (reach / 2).max(1);
    let turn = |index: usize| {
        let here = index + count;
        let before = middle(here - half, here) - middle(here - 2 * half, here - half);
        let after = middle(here + half, here + 2 * half) - middle(here, here + half);
        before.cross(after).atan2(before.dot(after)).abs()
    };
    let turns: Vec<f64> = (0..count).map(turn).collect();
    let mut found = Vec::new();
    for index in 0..count {
        let own = turns[index];
        let highest = (1..=2 * half)
            .all(|step| own >= turns[(index + step) % count] && own > turns[(index + count - step) % count]);
        if own > TURN && highest {
            found.push(index);
        }
    }
    found
}
