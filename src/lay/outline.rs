//! A piece's outline as a polygon: what it overlaps, how far it is from another, how wide it is.
//!
//! The cutting line is flattened once, within [`FLATTEN_MM`]; on the cloth only its corners are moved. Overlaps are
//! computed on the whole polygons in f64 on a 64-bit grid (i_overlay), so that touching is told from overlapping
//! down to [`OVERLAP_MM2`]; no hull, no raster.

use crate::geometry::tolerance::FLATTEN_MM;
use crate::geometry::{Affine, BezPath, Line, Point, Rect, Vec2};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use kurbo::{ParamCurveNearest as _, PathEl};

/// An overlap of less area is touching, in mm².
pub const OVERLAP_MM2: f64 = 0.01;

/// A closed polygon, in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    points: Vec<Point>,
    bounds: Rect,
}

/// What two outlines have in common.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Overlap {
    /// Its area in mm².
    pub area_mm2: f64,
    /// Its width where it is deepest: how far apart they must at least be moved, in mm.
    pub depth_mm: f64,
    /// A place in it.
    pub at: Point,
}

impl Outline {
    /// A polygon through points; fewer than three enclose nothing.
    #[must_use]
    pub fn new(points: Vec<Point>) -> Self {
        let first = points.first().copied().unwrap_or_default();
        let bounds = points.iter().fold(Rect::from_points(first, first), |all, &point| all.union_pt(point));
        Self { points, bounds }
    }

    /// The first closed run of a path.
    #[must_use]
    pub fn of_path(path: &BezPath) -> Self {
        let mut points: Vec<Point> = Vec::new();
        let mut runs = 0;
        kurbo::flatten(path, FLATTEN_MM, |element| match element {
            PathEl::MoveTo(point) => {
                runs += 1;
                if runs == 1 {
                    points.push(point);
                }
            }
            PathEl::LineTo(point) if runs == 1 => points.push(point),
            _ => {}
        });
        points.dedup();
        if points.len() > 1 && points.first() == points.last() {
            points.pop();
        }
        Self::new(points)
    }

    /// The outline of a rectangle.
    #[must_use]
    pub fn of_rect(rect: Rect) -> Self {
        let corners = [(rect.x0, rect.y0), (rect.x1, rect.y0), (rect.x1, rect.y1), (rect.x0, rect.y1)];
        Self::new(corners.map(Point::from).to_vec())
    }

    /// This outline and its mirror image as one: a piece opened out at its fold.
    #[must_use]
    pub fn opened_out(&self, mirror: Affine) -> Self {
        let other = self.moved(mirror);
        let shapes = self.pairs().overlay_as::<i64>(&other.pairs(), OverlayRule::Union, FillRule::NonZero);
        let outer = shapes.into_iter().filter_map(|shape| shape.into_iter().next());
        let largest = outer
            .map(|contour| Self::new(corners(contour)))
            .max_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()));
        largest.unwrap_or_else(|| self.clone())
    }

    /// The outline under a motion.
    #[must_use]
    pub fn moved(&self, motion: Affine) -> Self {
        Self::new(self.points.iter().map(|&point| motion * point).collect())
    }

    /// Its corners.
    #[must_use]
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// Smallest upright rectangle around it.
    #[must_use]
    pub const fn bounds(&self) -> Rect {
        self.bounds
    }

    /// What it encloses, in mm².
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        area(&self.points).abs()
    }

    /// What it has in common with another; `None` when they only touch.
    #[must_use]
    pub fn overlap(&self, other: &Self) -> Option<Overlap> {
        let common = self.bounds.intersect(other.bounds);
        if common.width() <= 0.0 || common.height() <= 0.0 {
            return None;
        }
        if self.is_surely_apart_from(other, common) {
            return None;
        }
        let shapes =
            self.pairs().overlay_as::<i64>(&other.pairs(), OverlayRule::Intersect, FillRule::NonZero);
        let islands: Vec<Vec<Point>> =
            shapes.into_iter().filter_map(|shape| shape.into_iter().next()).map(corners).collect();
        let area_mm2: f64 = islands.iter().map(|island| area(island).abs()).sum();
        if area_mm2 <= OVERLAP_MM2 {
            return None;
        }
        let deepest = islands
            .iter()
            .map(|island| (least_width(&hull(island)), island))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let (depth_mm, at) = deepest.map_or((0.0, common.center()), |(depth, island)| {
            let sum = island.iter().fold(Vec2::ZERO, |sum, point| sum + point.to_vec2());
            #[expect(clippy::cast_precision_loss, reason = "a count of corners")]
            let count = island.len() as f64;
            (depth, (sum / count).to_point())
        });
        Some(Overlap { area_mm2, depth_mm, at })
    }

    /// Whether the outlines have nothing in common for sure, which is quickly told: no chord comes near one of the
    /// other's, and neither outline holds a corner of the other. `common` is what their bounds share.
    fn is_surely_apart_from(&self, other: &Self, common: Rect) -> bool {
        /// Chords that come so near, in mm, are looked at exactly.
        const NEAR_MM: f64 = 1e-3;
        let shared = common.inflate(NEAR_MM, NEAR_MM);
        let in_shared = |outline: &Self| -> Vec<(Line, Rect)> {
            let chords = outline.chords().map(|chord| (chord, chord_bounds(chord).inflate(NEAR_MM, NEAR_MM)));
            chords.filter(|(_, bounds)| overlaps(*bounds, shared)).collect()
        };
        let (mine, theirs) = (in_shared(self), in_shared(other));
        let meets = mine.iter().any(|(chord, bounds)| {
            theirs.iter().any(|(their, their_bounds)| {
                overlaps(*bounds, *their_bounds) && !is_beside(*chord, *their, NEAR_MM)
            })
        });
        let holds_first =
            |outer: &Self, inner: &Self| inner.points.first().is_none_or(|&first| outer.winds(first));
        !meets && !holds_first(self, other) && !holds_first(other, self)
    }

    /// Whether the outline winds around a point (the rule by which overlaps are computed).
    fn winds(&self, point: Point) -> bool {
        let turns = self.chords().map(|chord| {
            let (a, b) = (chord.p0, chord.p1);
            let side = (b - a).cross(point - a);
            i32::from(a.y <= point.y && b.y > point.y && side > 0.0)
                - i32::from(b.y <= point.y && a.y > point.y && side < 0.0)
        });
        turns.sum::<i32>() != 0
    }

    /// Distance to another outline where it is less than `within` mm, and the place on this one; `None` when it is
    /// not. Outlines that overlap are told by [`Outline::overlap`].
    #[must_use]
    pub fn gap_below(&self, other: &Self, within: f64) -> Option<(f64, Point)> {
        let reach = other.bounds.inflate(within, within);
        if !overlaps(self.bounds, reach) {
            return None;
        }
        let mut least: Option<(f64, Point)> = None;
        for mine in self.chords() {
            let around = chord_bounds(mine).inflate(within, within);
            if !overlaps(around, other.bounds) {
                continue;
            }
            for theirs in other.chords() {
                if !overlaps(around, chord_bounds(theirs)) {
                    continue;
                }
                // Chords that do not cross are closest at an end of one of them.
                let ends = [
                    (theirs.nearest(mine.p0, 1e-9).distance_sq, mine.p0),
                    (theirs.nearest(mine.p1, 1e-9).distance_sq, mine.p1),
                    (mine.nearest(theirs.p0, 1e-9).distance_sq, theirs.p0),
                    (mine.nearest(theirs.p1, 1e-9).distance_sq, theirs.p1),
                ];
                for (square, at) in ends {
                    if square < within * within && least.is_none_or(|(known, _)| square < known) {
                        least = Some((square, at));
                    }
                }
            }
        }
        least.map(|(square, at)| (square.sqrt(), at))
    }

    /// Whether a point lies inside.
    #[must_use]
    pub fn holds(&self, point: Point) -> bool {
        let crossings = self.chords().filter(|chord| {
            let (a, b) = (chord.p0, chord.p1);
            (a.y > point.y) != (b.y > point.y) && point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x)
        });
        crossings.count() % 2 == 1
    }

    /// Extent square to a direction, in mm.
    #[must_use]
    pub fn extent_along(&self, direction: Vec2) -> f64 {
        let places = self.points.iter().map(|point| point.to_vec2().dot(direction));
        let (low, high) = places
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), place| (low.min(place), high.max(place)));
        (high - low).max(0.0)
    }

    fn chords(&self) -> impl Iterator<Item = Line> {
        let next = self.points.iter().cycle().skip(1);
        self.points.iter().zip(next).map(|(&a, &b)| Line::new(a, b))
    }

    fn pairs(&self) -> Vec<[f64; 2]> {
        self.points.iter().map(|point| [point.x, point.y]).collect()
    }
}

fn corners(contour: Vec<[f64; 2]>) -> Vec<Point> {
    contour.into_iter().map(|[x, y]| Point::new(x, y)).collect()
}

/// Whether one chord lies on one side of the other, at least `near` mm off the other's line.
fn is_beside(first: Line, second: Line, near: f64) -> bool {
    let lies_beside = |chord: Line, of: Line| {
        let along = of.p1 - of.p0;
        let [start, end] = [chord.p0, chord.p1].map(|point| along.cross(point - of.p0));
        let least = near * along.hypot();
        (start > least && end > least) || (start < -least && end < -least)
    };
    lies_beside(first, second) || lies_beside(second, first)
}

fn chord_bounds(chord: Line) -> Rect {
    Rect::from_points(chord.p0, chord.p1)
}

/// Whether two rectangles meet, sides counted.
fn overlaps(a: Rect, b: Rect) -> bool {
    a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1
}

/// Signed area in mm², counter-clockwise positive (the shoelace formula).
fn area(points: &[Point]) -> f64 {
    let next = points.iter().cycle().skip(1);
    let twice: f64 = points.iter().zip(next).map(|(a, b)| a.to_vec2().cross(b.to_vec2())).sum();
    0.5 * twice
}

/// Convex hull, counter-clockwise (Andrew's monotone chain, Information Processing Letters 9 (1979), 216–219).
fn hull(points: &[Point]) -> Vec<Point> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let half = |order: &mut dyn Iterator<Item = Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for point in order {
            while let [.., a, b] = chain[..]
                && (b - a).cross(point - b) <= 0.0
            {
                chain.pop();
            }
            chain.push(point);
        }
        chain.pop();
        chain
    };
    let mut all = half(&mut sorted.iter().copied());
    all.extend(half(&mut sorted.iter().rev().copied()));
    all
}

/// Least width of a convex polygon: it is taken square to one of its sides.
fn least_width(hull: &[Point]) -> f64 {
    let next = hull.iter().cycle().skip(1);
    hull.iter()
        .zip(next)
        .filter(|(a, b)| a != b)
        .map(|(&a, &b)| {
            let square = Vec2::new(-(b - a).y, (b - a).x).normalize();
            hull.iter().map(|&point| (point - a).dot(square)).fold(0.0, f64::max)
        })
        .fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn square(x: f64, y: f64, side: f64) -> Outline {
        Outline::of_rect(Rect::new(x, y, x + side, y + side))
    }

    #[test]
    fn touching_is_not_overlapping() {
        let a = square(0.0, 0.0, 100.0);
        assert_eq!(a.overlap(&square(100.0, 0.0, 100.0)), None);
        // 0.00009 mm over a side of 100 mm: 0.009 mm².
        assert_eq!(a.overlap(&square(100.0 - 9e-5, 0.0, 100.0)), None);
        let over = a.overlap(&square(100.0 - 2e-4, 0.0, 100.0)).unwrap();
        assert!((over.area_mm2 - 0.02).abs() < 1e-6);
    }

    #[test]
    fn an_overlap_is_as_deep_as_the_move_that_ends_it() {
        let over = square(0.0, 0.0, 100.0).overlap(&square(93.0, 40.0, 100.0)).unwrap();
        assert!((over.depth_mm - 7.0).abs() < 1e-9, "{over:?}");
        assert!((over.area_mm2 - 420.0).abs() < 1e-6);
        assert!(over.at.x > 93.0 && over.at.x < 100.0);
    }

    #[test]
    fn the_gap_between_corners_is_measured_aslant() {
        let gap =
            |other: &Outline, within| square(0.0, 0.0, 100.0).gap_below(other, within).map(|(gap, _)| gap);
        assert!((gap(&square(103.0, 104.0, 50.0), 6.0).unwrap() - 5.0).abs() < 1e-9);
        assert_eq!(gap(&square(103.0, 104.0, 50.0), 4.0), None);
        assert_eq!(gap(&square(300.0, 0.0, 50.0), 6.0), None);
    }

    #[test]
    fn a_half_and_its_mirror_image_are_one_outline_without_the_fold() {
        let half = square(0.0, 0.0, 100.0);
        let whole = half.opened_out(Affine::reflect(Point::ORIGIN, Vec2::new(0.0, 1.0)));
        assert!((whole.area_mm2() - 20_000.0).abs() < 1e-6);
        assert_eq!(whole.bounds(), Rect::new(-100.0, 0.0, 100.0, 100.0));
    }

    #[test]
    fn a_piece_within_another_overlaps_with_all_it_has() {
        let over = square(0.0, 0.0, 100.0).overlap(&square(40.0, 40.0, 10.0)).unwrap();
        assert!((over.area_mm2 - 100.0).abs() < 1e-6);
    }

    proptest! {
        /// Blunt stars that fit into each other: what is told quickly is what the whole computation tells.
        #[test]
        fn what_is_surely_apart_has_no_area_in_common(
            x in -150.0..150.0_f64, y in -150.0..150.0_f64, radii in proptest::collection::vec(20.0..90.0_f64, 6..20)
        ) {
            let step = std::f64::consts::TAU / f64::from(u32::try_from(radii.len()).unwrap());
            let star = |shift: usize| {
                let place = |k: usize| {
                    let angle = step * f64::from(u32::try_from(k).unwrap());
                    (radii[(k + shift) % radii.len()] * Vec2::from_angle(angle)).to_point()
                };
                Outline::new((0..radii.len()).map(place).collect())
            };
            let (a, b) = (star(0), star(3).moved(Affine::translate((x, y))));
            let shapes = a.pairs().overlay_as::<i64>(&b.pairs(), OverlayRule::Intersect, FillRule::NonZero);
            let common: f64 = shapes.iter().flatten().map(|contour| area(&corners(contour.clone()))).sum();
            let shared = a.bounds.intersect(b.bounds);
            prop_assert!(!a.is_surely_apart_from(&b, shared) || common.abs() < 1e-9);
            // The quick way is taken wherever there is room for a thread between them.
            prop_assert!(common.abs() > 1e-9 || a.gap_below(&b, 0.01).is_some() || a.is_surely_apart_from(&b, shared));
        }

        /// Overlap of two turned rectangles against a count of grid points in both.
        #[test]
        fn the_area_of_an_overlap_is_what_points_say(
            x in -80.0..80.0_f64, y in -80.0..80.0_f64, turn in 0.0..1.5_f64
        ) {
            let a = Outline::of_rect(Rect::new(-50.0, -30.0, 50.0, 30.0));
            let b = a.moved(Affine::translate((x, y)) * Affine::rotate(turn));
            let mut count = 0_u32;
            for i in 0..100_u8 {
                for j in 0..60_u8 {
                    let point = Point::new(-49.5 + f64::from(i), -29.5 + f64::from(j));
                    if a.holds(point) && b.holds(point) {
                        count += 1;
                    }
                }
            }
            let area = a.overlap(&b).map_or(0.0, |over| over.area_mm2);
            prop_assert!((area - f64::from(count)).abs() < 160.0, "{area} {count}");
        }
    }
}
