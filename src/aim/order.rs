//! Whether marks are spread well enough, and lie the same way round in the picture and on the surface.
//!
//! A projective map with every mark in front of the lens keeps the sense of each triangle, or turns each one
//! over: orient(H a, H b, H c) = det H · orient(a, b, c) / (w_a·w_b·w_c). So the senses of all triangles are
//! compared in both planes: all equal is right, all opposite is a mirror, mixed is crossed. The singular values
//! of the equations for H do not show three marks in line; the least height of a triangle does.
//!
//! What this cannot see: a cyclic shift of the marks of a convex quad, which turns the surface by about 90°.

use super::AimError;
use super::error::Plane;
use crate::geometry::{Point, Vec2};

/// Least height of a triangle of marks, as part of the marks' extent: below it they count as in line.
const IN_LINE_PART: f64 = 0.01;
/// Least distance of two marks, as part of the marks' extent: below it they count as one.
const REPEATED_PART: f64 = 0.005;
/// How many of the worst marks are tried against each other when an order is sought among more than four.
const SUSPECTS: usize = 8;

/// A picture's points with y turned up, so that senses compare with the surface.
pub(super) fn upright(picks: &[Point]) -> Vec<Point> {
    picks.iter().map(|pick| Point::new(pick.x, -pick.y)).collect()
}

/// Largest distance between two points.
pub(super) fn extent(points: &[Point]) -> f64 {
    pairs(points.len()).map(|(a, b)| points[a].distance(points[b])).fold(0.0, f64::max)
}

/// Twice the signed area of a triangle, counter-clockwise (y up) positive.
pub(super) fn sense(a: Point, b: Point, c: Point) -> f64 {
    (b - a).cross(c - a)
}

/// Least of a triangle's three heights.
fn least_height(a: Point, b: Point, c: Point) -> f64 {
    let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
    if longest > 0.0 { sense(a, b, c).abs() / longest } else { 0.0 }
}

fn pairs(count: usize) -> impl Iterator<Item = (usize, usize)> {
    (0..count).flat_map(move |a| (a + 1..count).map(move |b| (a, b)))
}

fn triples(count: usize) -> impl Iterator<Item = [usize; 3]> {
    pairs(count).flat_map(move |(a, b)| (b + 1..count).map(move |c| [a, b, c]))
}

/// Refuses marks that coincide and marks of which no four are in general position.
///
/// # Errors
/// [`AimError::Repeated`], [`AimError::Collinear`].
pub(super) fn check_spread(points: &[Point], plane: Plane) -> Result<(), AimError> {
    let extent = extent(points);
    for (first, second) in pairs(points.len()) {
        if points[first].distance(points[second]) <= REPEATED_PART * extent {
            return Err(AimError::Repeated { first, second, plane });
        }
    }
    let open = |[a, b, c]: [usize; 3]| least_height(points[a], points[b], points[c]) >= IN_LINE_PART * extent;
    let general = triples(points.len()).filter(|&three| open(three)).any(|[a, b, c]| {
        (c + 1..points.len()).any(|d| open([a, b, d]) && open([a, c, d]) && open([b, c, d]))
    });
    if general {
        return Ok(());
    }
    Err(AimError::Collinear { marks: line_of_most(points, IN_LINE_PART * extent), plane })
}

/// The most marks that lie within `width` of a line through two of them.
fn line_of_most(points: &[Point], width: f64) -> Vec<usize> {
    let on_line = |(a, b): (usize, usize)| -> Vec<usize> {
        (0..points.len())
            .filter(|&c| c == a || c == b || least_height(points[a], points[b], points[c]) < width)
            .collect()
    };
    pairs(points.len()).map(on_line).max_by_key(Vec::len).unwrap_or_default()
}

/// How many triangles have the same sense in both planes and how many the opposite, for each mark; triangles
/// that are nearly flat in either plane are left out.
fn compare(picks: &[Point], places: &[Point]) -> Vec<(usize, usize)> {
    let (height_p, height_s) = (IN_LINE_PART * extent(picks), IN_LINE_PART * extent(places));
    let mut counts = vec![(0, 0); picks.len()];
    for [a, b, c] in triples(picks.len()) {
        let (p, s) = ((picks[a], picks[b], picks[c]), (places[a], places[b], places[c]));
        if least_height(p.0, p.1, p.2) < height_p || least_height(s.0, s.1, s.2) < height_s {
            continue;
        }
        let same = (sense(p.0, p.1, p.2) > 0.0) == (sense(s.0, s.1, s.2) > 0.0);
        for mark in [a, b, c] {
            if same {
                counts[mark].0 += 1;
            } else {
                counts[mark].1 += 1;
            }
        }
    }
    counts
}

/// Triangles of opposite sense less those of the same: above 0, `places` are better mirrored.
pub(super) fn mirror_balance(picks: &[Point], places: &[Point]) -> isize {
    compare(picks, places).iter().map(|&(same, opposite)| opposite.cast_signed() - same.cast_signed()).sum()
}

/// Refuses marks that go round differently in the picture (`picks`, y turned up) and on the surface.
///
/// # Errors
/// [`AimError::Mirrored`], [`AimError::Crossed`], with the order that works where one is found.
pub(super) fn check_order(picks: &[Point], places: &[Point]) -> Result<(), AimError> {
    let counts = compare(picks, places);
    if counts.iter().all(|&(_, opposite)| opposite == 0) {
        return Ok(());
    }
    let mirrored = counts.iter().all(|&(same, _)| same == 0);
    let order = working_order(picks, places, &counts, mirrored);
    if mirrored {
        return Err(AimError::Mirrored { order });
    }
    let mut marks = worst_first(&counts);
    marks.truncate(2);
    marks.sort_unstable();
    Err(AimError::Crossed { marks, order })
}

fn worst_first(counts: &[(usize, usize)]) -> Vec<usize> {
    let mut marks: Vec<usize> = (0..counts.len()).collect();
    marks.sort_by_key(|&mark| std::cmp::Reverse(counts[mark].1));
    marks
}

/// The order of picks that puts every triangle right: of four marks any, of more an exchange of two. Among
/// several that undo a crossing, the one that moves fewest marks: two were exchanged. A mirror has several such
/// exchanges, so there the order counts that turns the picture least.
fn working_order(
    picks: &[Point],
    places: &[Point],
    counts: &[(usize, usize)],
    mirrored: bool,
) -> Option<Vec<usize>> {
    let identity: Vec<usize> = (0..picks.len()).collect();
    let orders = if picks.len() == 4 {
        permutations(&identity)
    } else {
        let worst: Vec<usize> = worst_first(counts).into_iter().take(SUSPECTS).collect();
        pairs(worst.len())
            .map(|(a, b)| {
                let mut order = identity.clone();
                order.swap(worst[a], worst[b]);
                order
            })
            .collect()
    };
    orders
        .into_iter()
        .filter_map(|order| {
            let dealt: Vec<Point> = order.iter().map(|&mark| picks[mark]).collect();
            let right = compare(&dealt, places).iter().all(|&(_, opposite)| opposite == 0);
            let moved = order.iter().zip(&identity).filter(|(a, b)| a != b).count();
            right.then(|| (moved, misfit(&dealt, places), order))
        })
        .min_by(|a, b| {
            let (moved, turned) = (a.0.cmp(&b.0), a.1.total_cmp(&b.1));
            if mirrored { turned } else { moved.then(turned) }
        })
        .map(|(_, _, order)| order)
}

fn permutations(items: &[usize]) -> Vec<Vec<usize>> {
    if items.len() <= 1 {
        return vec![items.to_vec()];
    }
    let mut all = Vec::new();
    for (index, &first) in items.iter().enumerate() {
        let mut rest = items.to_vec();
        rest.remove(index);
        for mut tail in permutations(&rest) {
            tail.insert(0, first);
            all.push(tail);
        }
    }
    all
}

/// Sum of squares left between the places and the picks scaled and shifted, but not turned, onto them.
fn misfit(picks: &[Point], places: &[Point]) -> f64 {
    let (centre_p, centre_s) = (centroid(picks), centroid(places));
    let arms: Vec<_> = picks.iter().zip(places).map(|(&p, &s)| (p - centre_p, s - centre_s)).collect();
    let along: f64 = arms.iter().map(|(p, s)| p.dot(*s)).sum();
    let square: f64 = arms.iter().map(|(p, _)| p.hypot2()).sum();
    let scale = if square > 0.0 { (along / square).max(0.0) } else { 0.0 };
    arms.iter().map(|(p, s)| (*s - *p * scale).hypot2()).sum()
}

/// Mean of points; the origin for none.
pub(super) fn centroid(points: &[Point]) -> Point {
    let mut sum = Vec2::ZERO;
    let mut count = 0.0_f64;
    for point in points {
        sum += point.to_vec2();
        count += 1.0;
    }
    (sum / count.max(1.0)).to_point()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square() -> Vec<Point> {
        [(0.0, 0.0), (1500.0, 20.0), (1480.0, 900.0), (10.0, 880.0)].map(Point::from).to_vec()
    }

    fn exchanged(a: usize, b: usize) -> Vec<Point> {
        let mut points = square();
        points.swap(a, b);
        points
    }

    #[test]
    fn every_exchange_of_two_marks_is_seen_and_taken_back() {
        for (a, b) in pairs(4) {
            let error = check_order(&exchanged(a, b), &square()).unwrap_err();
            let mut expected = vec![0, 1, 2, 3];
            expected.swap(a, b);
            let (AimError::Crossed { order, .. } | AimError::Mirrored { order }) = error else {
                panic!("{error}");
            };
            assert_eq!(order, Some(expected));
        }
    }

    #[test]
    fn three_marks_in_line_are_named() {
        let mut points = square();
        points[2] = points[0].midpoint(points[1]);
        assert_eq!(
            check_spread(&points, Plane::Surface),
            Err(AimError::Collinear { marks: vec![0, 1, 2], plane: Plane::Surface })
        );
    }

    #[test]
    fn a_grid_has_rows_in_line_and_still_four_marks_in_general_position() {
        let grid: Vec<Point> = [0.0, 400.0, 800.0]
            .iter()
            .flat_map(|&y| [0.0, 700.0, 1400.0].map(|x| Point::new(x, y)))
            .collect();
        assert_eq!(check_spread(&grid, Plane::Picture), Ok(()));
        let mut crossed = grid.clone();
        crossed.swap(1, 5);
        assert_eq!(
            check_order(&crossed, &grid),
            Err(AimError::Crossed { marks: vec![1, 5], order: Some(vec![0, 5, 2, 3, 4, 1, 6, 7, 8]) })
        );
    }

    #[test]
    fn a_mark_inside_the_others_in_one_plane_only_fits_no_order() {
        let mut dented = square();
        dented[2] = Point::new(500.0, 300.0);
        let error = check_order(&dented, &square()).unwrap_err();
        assert!(matches!(error, AimError::Crossed { order: None, .. }), "{error}");
    }
}
