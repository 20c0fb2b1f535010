//! How deep two pieces overlap, for every place of the one seen from the other.
//!
//! The depth is the distance to the nearest place where the overlap ends: the distance inside the no-fit polygon
//! to its boundary, plus the room to keep. It is what the search pushes down. Most questions are about places far
//! inside or far outside, so the polygon is covered with a grid: cells well outside answer 0 at once, cells well
//! inside blend the distances at four cell centres, and cells that the level 0 may pass through ask the few edges
//! that can be nearest. The answer is therefore exact (f64) wherever it is near 0, and good guidance elsewhere.

use crate::geometry::Vec2;

/// Cells of a grid: enough that most questions stop at it, few enough that it stays in the cache.
const CELLS: f64 = 1600.0;

/// One edge of the boundary.
#[derive(Debug, Clone, Copy)]
struct Edge {
    start: Vec2,
    /// Kept as given: a neighbour must begin at the very same number, or a row could slip through between.
    end: Vec2,
    /// Unit vector along it; outside lies to its right.
    along: Vec2,
    length: f64,
    /// Sums of the outward unit normals that meet at its ends.
    normal_at_start: Vec2,
    normal_at_end: Vec2,
}

/// What a cell answers.
#[derive(Debug, Clone, Copy)]
enum Cell {
    Outside,
    Inside,
    /// Range of [`Field::near`].
    Edges(u32, u32),
}

/// The depth field of one pair of shapes, about the point where their centres coincide.
#[derive(Debug, Clone)]
pub(super) struct Field {
    edges: Vec<Edge>,
    /// Room to keep, in mm; negative where touching is meant to count as apart.
    clearance: f64,
    /// Half extents of where the depth may be positive.
    pub(super) half: Vec2,
    cell: f64,
    across: usize,
    up: usize,
    cells: Vec<Cell>,
    /// Depth at the cell centres.
    centres: Vec<f32>,
    near: Vec<u32>,
}

impl Field {
    /// A field from the contours of a no-fit polygon, outer ones counter-clockwise.
    pub(super) fn new(contours: &[Vec<Vec2>], clearance: f64) -> Self {
        let edges: Vec<Edge> = contours.iter().flat_map(|contour| edges_of(contour)).collect();
        let margin = clearance.max(0.0);
        let mut half = Vec2::ZERO;
        for edge in &edges {
            half = Vec2::new(half.x.max(edge.start.x.abs()), half.y.max(edge.start.y.abs()));
        }
        half += Vec2::new(margin, margin);
        let cell = (4.0 * half.x * half.y / CELLS).sqrt().max(half.x.max(half.y) / 128.0).max(1e-6);
        let (across, up) = (count(2.0 * half.x / cell), count(2.0 * half.y / cell));
        let mut field = Self {
            edges,
            clearance,
            half,
            cell,
            across,
            up,
            cells: Vec::with_capacity(across * up),
            centres: Vec::with_capacity(across * up),
            near: Vec::new(),
        };
        field.fill();
        field
    }

    fn fill(&mut self) {
        let reach = self.cell * std::f64::consts::FRAC_1_SQRT_2 * 1.001;
        let mut distances = vec![0.0_f64; self.edges.len()];
        for row in 0..self.up {
            for column in 0..self.across {
                let centre = Vec2::new(
                    (as_f64(column) + 0.5) * self.cell - self.half.x,
                    (as_f64(row) + 0.5) * self.cell - self.half.y,
                );
                let mut nearest = (f64::INFINITY, 0);
                for (index, edge) in self.edges.iter().enumerate() {
                    let (squared, _) = edge.squared_distance(centre);
                    distances[index] = squared;
                    if squared < nearest.0 {
                        nearest = (squared, index);
                    }
                }
                let distance = nearest.0.sqrt();
                let depth = self.signed(centre, nearest.1, distance) + self.clearance;
                #[expect(clippy::cast_possible_truncation, reason = "guidance only")]
                self.centres.push(depth as f32);
                self.cells.push(if depth < -reach {
                    Cell::Outside
                } else if depth > reach {
                    Cell::Inside
                } else {
                    let start = self.near.len();
                    let most = (distance + 2.0 * reach).powi(2);
                    let near = distances.iter().zip(0_u32..).filter(|(squared, _)| **squared <= most);
                    self.near.extend(near.map(|(_, index)| index));
                    Cell::Edges(as_u32(start), as_u32(self.near.len()))
                });
            }
        }
    }

    fn signed(&self, v: Vec2, nearest: usize, distance: f64) -> f64 {
        match self.edges.get(nearest) {
            Some(edge) if edge.is_left(v) => distance,
            _ => -distance,
        }
    }

    /// The depth at v, 0 where the two are apart.
    #[inline]
    pub(super) fn depth(&self, v: Vec2) -> f64 {
        if v.x.abs() >= self.half.x || v.y.abs() >= self.half.y {
            return 0.0;
        }
        let (x, y) = ((v.x + self.half.x) / self.cell, (v.y + self.half.y) / self.cell);
        let (column, row) = (whole(x).min(self.across - 1), whole(y).min(self.up - 1));
        match self.cells[row * self.across + column] {
            Cell::Outside => 0.0,
            Cell::Inside => self.blended(x, y),
            Cell::Edges(start, end) => self.exact(v, &self.near[start as usize..end as usize]).max(0.0),
        }
    }

    fn blended(&self, x: f64, y: f64) -> f64 {
        let (x, y) = ((x - 0.5).max(0.0), (y - 0.5).max(0.0));
        let (column, row) =
            (whole(x).min(self.across.saturating_sub(2)), whole(y).min(self.up.saturating_sub(2)));
        let (u, v) = ((x - as_f64(column)).min(1.0), (y - as_f64(row)).min(1.0));
        let at = |c: usize, r: usize| {
            f64::from(self.centres[r.min(self.up - 1) * self.across + c.min(self.across - 1)])
        };
        let low = at(column, row) * (1.0 - u) + at(column + 1, row) * u;
        let high = at(column, row + 1) * (1.0 - u) + at(column + 1, row + 1) * u;
        (low * (1.0 - v) + high * v).max(0.0)
    }

    fn exact(&self, v: Vec2, near: &[u32]) -> f64 {
        let mut nearest = (f64::INFINITY, 0);
        for &index in near {
            let (squared, _) = self.edges[index as usize].squared_distance(v);
            if squared < nearest.0 {
                nearest = (squared, index as usize);
            }
        }
        self.signed(v, nearest.1, nearest.0.sqrt()) + self.clearance
    }

    /// The stretches of x, at this y, in which the two overlap, in order and joined.
    pub(super) fn overlaps_at(&self, y: f64, stretches: &mut Vec<(f64, f64)>) {
        stretches.clear();
        if y.abs() >= self.half.y {
            return;
        }
        let mut crossings: Vec<f64> = Vec::new();
        let room = self.clearance.max(0.0);
        for edge in &self.edges {
            let end = edge.end;
            if (edge.start.y <= y) != (end.y <= y) {
                let t = (y - edge.start.y) / (end.y - edge.start.y);
                crossings.push(edge.start.x + t * (end.x - edge.start.x));
            }
            if room > 0.0 && y > edge.start.y.min(end.y) - room && y < edge.start.y.max(end.y) + room {
                stretches.extend(edge.band_at(y, room));
            }
        }
        crossings.sort_by(f64::total_cmp);
        stretches.extend(crossings.chunks_exact(2).map(|pair| (pair[0], pair[1])));
        join(stretches);
    }

    /// The room kept, in mm.
    pub(super) fn clearance(&self) -> f64 {
        self.clearance
    }
}

impl Edge {
    #[inline]
    fn squared_distance(&self, v: Vec2) -> (f64, f64) {
        let off = v - self.start;
        let t = off.dot(self.along);
        let clamped = t.clamp(0.0, self.length);
        let (dx, dy) = (off.x - clamped * self.along.x, off.y - clamped * self.along.y);
        (dx * dx + dy * dy, t)
    }

    /// Whether a point whose nearest edge this is lies inside: at an end, the sum of both normals decides.
    fn is_left(&self, v: Vec2) -> bool {
        let off = v - self.start;
        let t = off.dot(self.along);
        if t <= 0.0 {
            off.dot(self.normal_at_start) < 0.0
        } else if t >= self.length {
            (v - self.end).dot(self.normal_at_end) < 0.0
        } else {
            self.along.cross(off) > 0.0
        }
    }

    /// The stretch of x, at this y, that lies within `room` of the edge.
    fn band_at(&self, y: f64, room: f64) -> Option<(f64, f64)> {
        let end = self.end;
        let mut stretch: Option<(f64, f64)> = None;
        let mut take = |x0: f64, x1: f64| {
            stretch = Some(stretch.map_or((x0, x1), |(a, b)| (a.min(x0), b.max(x1))));
        };
        for corner in [self.start, end] {
            let off = y - corner.y;
            if off.abs() < room {
                let reach = (room * room - off * off).sqrt();
                take(corner.x - reach, corner.x + reach);
            }
        }
        let normal = Vec2::new(self.along.y, -self.along.x) * room;
        let corners = [self.start + normal, end + normal, end - normal, self.start - normal];
        for (p, q) in corners.iter().zip(corners.iter().cycle().skip(1)) {
            if (p.y <= y) != (q.y <= y) {
                let x = p.x + (y - p.y) / (q.y - p.y) * (q.x - p.x);
                take(x, x);
            }
        }
        stretch
    }
}

fn edges_of(contour: &[Vec2]) -> Vec<Edge> {
    let next = contour.iter().cycle().skip(1);
    let mut edges: Vec<Edge> = contour
        .iter()
        .zip(next)
        .filter(|(p, q)| p != q)
        .map(|(&start, &end)| {
            let (span, length) = (end - start, (end - start).hypot());
            Edge {
                start,
                end,
                along: span / length,
                length,
                normal_at_start: Vec2::ZERO,
                normal_at_end: Vec2::ZERO,
            }
        })
        .collect();
    let count = edges.len();
    for index in 0..count {
        let after = (index + 1) % count;
        let sum = edges[index].along + edges[after].along;
        let normal = Vec2::new(sum.y, -sum.x);
        edges[index].normal_at_end = normal;
        edges[after].normal_at_start = normal;
    }
    edges
}

/// Sorts stretches and joins those that meet.
pub(super) fn join(stretches: &mut Vec<(f64, f64)>) {
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
    stretches.dedup_by(|later, kept| {
        let meets = later.0 <= kept.1;
        if meets {
            kept.1 = kept.1.max(later.1);
        }
        meets
    });
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to a few hundred")]
fn count(cells: f64) -> usize {
    (cells.ceil() as usize).max(1)
}

#[inline]
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to a few hundred")]
fn whole(cells: f64) -> usize {
    cells as usize
}

#[inline]
#[expect(clippy::cast_precision_loss, reason = "a few hundred")]
fn as_f64(cells: usize) -> f64 {
    cells as f64
}

#[expect(clippy::cast_possible_truncation, reason = "far fewer than 2³² edges")]
fn as_u32(index: usize) -> u32 {
    index as u32
}

#[cfg(test)]
mod tests {
    use super::super::no_fit;
    use super::super::polygon::{Outline, middle_and_half, vector};
    use super::*;
    use i_overlay::core::{fill_rule::FillRule, overlay_rule::OverlayRule};
    use i_overlay::float::single::SingleFloatOverlay as _;
    use proptest::prelude::*;

    const UNITS: f64 = 65536.0;

    /// A star-shaped outline with inward corners, centred.
    fn outline() -> impl Strategy<Value = Outline> {
        proptest::collection::vec(20.0..100.0_f64, 3..12).prop_map(|radii| {
            let turn = std::f64::consts::TAU / as_f64(radii.len());
            let corners = radii.iter().enumerate();
            let points: Vec<Vec2> = corners.map(|(n, r)| Vec2::from_angle(as_f64(n) * turn) * *r).collect();
            let (middle, _) = middle_and_half(&points);
            let centred: Vec<Vec2> = points.iter().map(|p| *p - middle).collect();
            Outline::new(&centred, UNITS).unwrap()
        })
    }

    fn field(a: &Outline, b: &Outline, clearance: f64) -> Field {
        let contours: Vec<Vec<Vec2>> = no_fit::sum(&a.nodes, &b.signed(-1, -1))
            .iter()
            .map(|contour| contour.iter().map(|n| vector(*n, UNITS)).collect())
            .collect();
        Field::new(&contours, clearance)
    }

    fn overlap(a: &Outline, b: &Outline, v: Vec2) -> f64 {
        let a: Vec<[f64; 2]> = a.points.iter().map(|p| [p.x, p.y]).collect();
        let b: Vec<[f64; 2]> = b.points.iter().map(|p| [p.x + v.x, p.y + v.y]).collect();
        let shared = a.overlay(&b, OverlayRule::Intersect, FillRule::NonZero);
        let contours = shared.iter().flatten();
        contours
            .map(|contour| {
                let next = contour.iter().cycle().skip(1);
                let cross: f64 = contour.iter().zip(next).map(|(p, q)| p[0] * q[1] - p[1] * q[0]).sum();
                cross / 2.0
            })
            .sum()
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn depth_is_positive_exactly_where_two_overlap(
            a in outline(), b in outline(), places in proptest::collection::vec((-1.0..1.0_f64, -1.0..1.0_f64), 20),
        ) {
            let field = field(&a, &b, 0.0);
            for (x, y) in places {
                let v = Vec2::new(x * field.half.x, y * field.half.y);
                let (depth, area) = (field.depth(v), overlap(&a, &b, v));
                if depth > 1e-3 {
                    prop_assert!(area > 0.0, "depth {depth} at {v:?} with no overlap");
                } else if depth <= 0.0 {
                    prop_assert!(area < 0.01, "no depth at {v:?} with an overlap of {area}");
                }
            }
        }

        #[test]
        fn a_row_is_free_outside_its_stretches(
            a in outline(), b in outline(), y in -1.0..1.0_f64, room in 0.0..20.0_f64,
        ) {
            let field = field(&a, &b, room);
            let y = y * field.half.y;
            let mut stretches = Vec::new();
            field.overlaps_at(y, &mut stretches);
            let (mut x, end) = (-field.half.x, field.half.x);
            while x < end {
                let inside = stretches.iter().any(|(from, to)| *from + 1e-6 < x && x < *to - 1e-6);
                let outside = stretches.iter().all(|(from, to)| x < *from - 1e-6 || x > *to + 1e-6);
                let depth = field.depth(Vec2::new(x, y));
                prop_assert!(!inside || depth > 0.0, "{x} lies in a stretch and is free");
                prop_assert!(!outside || depth < 1e-6, "{x} lies in no stretch and overlaps by {depth}");
                x += field.half.x / 37.0;
            }
        }
    }

    #[test]
    fn two_squares_are_as_deep_as_the_shortest_way_out() {
        let square = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(Vec2::from);
        let square = Outline::new(&square, UNITS).unwrap();
        let field = field(&square, &square, 0.0);
        // On the ridge in the middle the depth is blended between cells, and only guides.
        let blended = field.cell;
        for (v, depth, within) in [
            ((0.0, 0.0), 2.0, blended),
            ((1.0, 0.25), 1.0, 1e-6),
            ((1.9, 0.0), 0.1, 1e-6),
            ((2.0, 0.0), 0.0, 1e-6),
        ] {
            assert!((field.depth(v.into()) - depth).abs() < within, "{v:?}: {}", field.depth(v.into()));
        }
    }
}
