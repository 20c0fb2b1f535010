//! Where things repeat: an origin and every whole number of two steps from it.

use crate::geometry::tolerance::PARALLEL_SINE;
use crate::geometry::{Point, Rect, Vec2};

/// Places at an origin and every whole number of two steps from it, in mm on the cloth. A half-drop repeat is a
/// pair of steps such as (96, 70) and (192, 0).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lattice {
    /// One node.
    pub origin: Point,
    /// Two steps to neighbouring nodes, not parallel.
    pub steps: [Vec2; 2],
}

/// Nodes beyond which a repeat is too small to be drawn node by node.
const MOST_NODES: usize = 20_000;

/// Rounds of shortening after which two steps are as short as they get; each halves at least one, and no step is
/// longer than a hundred metres.
const MOST_ROUNDS: u32 = 64;

/// Steps each way among which the columns' distance is looked for.
const MOST_COLUMN_STEPS: i32 = 12;

impl Lattice {
    /// Whether the steps span the plane: finite, not parallel, not nothing.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        let [a, b] = self.steps;
        let (long, cross) = (a.hypot() * b.hypot(), a.cross(b).abs());
        self.origin.is_finite() && cross.is_finite() && cross > PARALLEL_SINE * long && long > 0.0
    }

    /// The same lattice spanned by its two shortest steps (Lagrange's reduction), the shorter first.
    #[must_use]
    pub fn reduced(&self) -> Self {
        let [mut a, mut b] = self.steps;
        for _ in 0..MOST_ROUNDS {
            if b.hypot2() < a.hypot2() {
                std::mem::swap(&mut a, &mut b);
            }
            let times = (a.dot(b) / a.hypot2()).round();
            if times == 0.0 || !times.is_finite() {
                break;
            }
            b -= times * a;
        }
        Self { origin: self.origin, steps: [a, b] }
    }

    /// Whole (and broken) numbers of steps that make up a way; `None` when the steps are parallel.
    #[must_use]
    pub fn in_steps(&self, way: Vec2) -> Option<(f64, f64)> {
        let [a, b] = self.steps;
        let cross = a.cross(b);
        self.is_sound().then(|| (way.cross(b) / cross, a.cross(way) / cross))
    }

    /// The way from node to node that is closest to `way`; nothing when the steps are parallel.
    #[must_use]
    pub fn nearest_way(&self, way: Vec2) -> Vec2 {
        let reduced = self.reduced();
        let Some((i, j)) = reduced.in_steps(way) else {
            return Vec2::ZERO;
        };
        let [a, b] = reduced.steps;
        // With the two shortest steps, the closest node is a corner of the cell or next to one.
        let mut best = Vec2::ZERO;
        let mut least = f64::INFINITY;
        for di in [-1.0, 0.0, 1.0, 2.0] {
            for dj in [-1.0, 0.0, 1.0, 2.0] {
                let candidate = (i.floor() + di) * a + (j.floor() + dj) * b;
                let off = (way - candidate).hypot2();
                if off < least {
                    (best, least) = (candidate, off);
                }
            }
        }
        best
    }

    /// Whether a way leads from node to node, within a tolerance in mm.
    #[must_use]
    pub fn holds(&self, way: Vec2, tolerance: f64) -> bool {
        self.is_sound() && (way - self.nearest_way(way)).hypot() <= tolerance
    }

    /// Distance between columns: the least that two nodes differ in across the cloth (y), in mm, differences below
    /// [`super::SMALLEST_REPEAT_MM`] taken for none. `None` when the steps are parallel.
    #[must_use]
    pub fn column_pitch_mm(&self) -> Option<f64> {
        let [a, b] = self.is_sound().then(|| self.reduced().steps)?;
        let counts = -MOST_COLUMN_STEPS..=MOST_COLUMN_STEPS;
        let ways = counts.clone().flat_map(|i| counts.clone().map(move |j| (i, j)));
        ways.map(|(i, j)| (f64::from(i) * a.y + f64::from(j) * b.y).abs())
            .filter(|pitch| *pitch >= super::SMALLEST_REPEAT_MM)
            .min_by(f64::total_cmp)
    }

    /// What a way lacks along the cloth (x) to lead from node to node, in mm, when it is first brought to the
    /// nearest column. `None` when the steps are parallel.
    ///
    /// In a half-drop the columns stand at two levels; which of them applies depends on how many columns lie
    /// between.
    #[must_use]
    pub fn level_error_mm(&self, way: Vec2) -> Option<f64> {
        let pitch = self.column_pitch_mm()?;
        let in_column = Vec2::new(way.x, (way.y / pitch).round() * pitch);
        Some((in_column - self.nearest_way(in_column)).x)
    }

    /// The nodes inside a rectangle; none when the steps are parallel, or when the repeat is so small that
    /// more than 20 000 fall inside.
    #[must_use]
    pub fn nodes_in(&self, area: Rect) -> Vec<Point> {
        let [a, b] = self.steps;
        let cross = a.cross(b);
        let cells = area.area() / cross.abs();
        if !cells.is_finite() || cells > 20_000.0 {
            return Vec::new();
        }
        // Corners of the area in steps from the origin bound the whole numbers to look at.
        let corners = [(area.x0, area.y0), (area.x1, area.y0), (area.x1, area.y1), (area.x0, area.y1)];
        let in_steps = corners.map(|corner| {
            let off = Point::from(corner) - self.origin;
            (off.cross(b) / cross, a.cross(off) / cross)
        });
        let range = |pick: fn(&(f64, f64)) -> f64| {
            let low = in_steps.iter().map(pick).fold(f64::INFINITY, f64::min).ceil();
            let high = in_steps.iter().map(pick).fold(f64::NEG_INFINITY, f64::max).floor();
            (low, high)
        };
        let ((i0, i1), (j0, j1)) = (range(|p| p.0), range(|p| p.1));
        let mut nodes = Vec::new();
        let mut i = i0;
        while i <= i1 {
            let mut j = j0;
            while j <= j1 && nodes.len() < MOST_NODES {
                let node = self.origin + i * a + j * b;
                if area.contains(node) {
                    nodes.push(node);
                }
                j += 1.0;
            }
            i += 1.0;
        }
        nodes
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn half_drop() -> Lattice {
        Lattice { origin: Point::new(5.0, 7.0), steps: [Vec2::new(96.0, 70.0), Vec2::new(192.0, 0.0)] }
    }

    #[test]
    fn a_half_drop_has_one_node_a_cell() {
        let nodes = half_drop().nodes_in(Rect::new(0.0, 0.0, 1920.0, 1400.0));
        // 1920 × 1400 mm hold 200 cells of 96 × 140 mm.
        assert_eq!(nodes.len(), 200);
        assert!(nodes.contains(&Point::new(101.0, 77.0)));
    }

    #[test]
    fn an_absurd_lattice_has_no_nodes() {
        let area = Rect::new(0.0, 0.0, 1000.0, 1000.0);
        let parallel = Lattice { origin: Point::ORIGIN, steps: [Vec2::new(1.0, 0.0), Vec2::new(2.0, 0.0)] };
        assert!(parallel.nodes_in(area).is_empty() && !parallel.is_sound());
        assert_eq!(parallel.nearest_way(Vec2::new(3.0, 4.0)), Vec2::ZERO);
        let tiny = Lattice { origin: Point::ORIGIN, steps: [Vec2::new(1e-3, 0.0), Vec2::new(0.0, 1e-3)] };
        assert!(tiny.nodes_in(area).is_empty());
    }

    #[test]
    fn an_odd_number_of_columns_of_a_half_drop_shifts_by_half_the_drop() {
        // 480 = 5 columns of 96: only odd halves of 140 agree.
        assert!(half_drop().holds(Vec2::new(480.0, 70.0), 1e-9));
        assert!(half_drop().holds(Vec2::new(480.0, -70.0), 1e-9));
        assert!(!half_drop().holds(Vec2::new(480.0, 140.0), 1.0));
        assert!(half_drop().holds(Vec2::new(192.0, 140.0), 1e-9));
    }

    #[test]
    fn five_columns_on_the_level_lacks_half_a_drop() {
        let along = Lattice { origin: Point::ORIGIN, steps: [Vec2::new(70.0, 96.0), Vec2::new(0.0, 192.0)] };
        assert_eq!(along.column_pitch_mm(), Some(96.0));
        let level = |x: f64, y: f64| along.level_error_mm(Vec2::new(x, y)).unwrap();
        assert!(level(70.0, 480.0).abs() < 1e-9 && level(1190.0, 479.0).abs() < 1e-9);
        assert!((level(5.0, 192.0) - 5.0).abs() < 1e-9);
        assert!((level(10.0, 480.0).abs() - 60.0).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn the_nearest_way_is_a_way_and_none_is_nearer(
            a in (-200.0..200.0_f64, -200.0..200.0_f64),
            b in (-200.0..200.0_f64, -200.0..200.0_f64),
            way in (-3000.0..3000.0_f64, -3000.0..3000.0_f64),
        ) {
            let lattice = Lattice { origin: Point::ORIGIN, steps: [a.into(), b.into()] };
            let reduced = lattice.reduced();
            prop_assume!(lattice.steps[0].cross(lattice.steps[1]).abs() > 100.0);
            let way = Vec2::from(way);
            let found = lattice.nearest_way(way);
            let (i, j) = lattice.in_steps(found).unwrap();
            prop_assert!((i - i.round()).abs() < 1e-6 && (j - j.round()).abs() < 1e-6);
            let (u, v) = reduced.in_steps(way).unwrap();
            for di in -6..=6_i8 {
                for dj in -6..=6_i8 {
                    let [p, q] = reduced.steps;
                    let other = (u.round() + f64::from(di)) * p + (v.round() + f64::from(dj)) * q;
                    prop_assert!((way - found).hypot() <= (way - other).hypot() + 1e-9);
                }
            }
        }
    }
}
