//! What repeats on the cloth: bars and motifs.

use super::Colour;
use crate::geometry::{Point, Rect, Vec2, pair};
use serde::{Deserialize, Serialize};

/// A print or weave that repeats.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Print {
    /// Bars that run along the cloth, repeated across it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lengthwise: Option<Bars>,
    /// Bars that run across the cloth, repeated along it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crosswise: Option<Bars>,
    /// A motif.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub motif: Option<Lattice>,
}

/// Bars side by side, repeated.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bars {
    /// Where the first bar of some repeat begins, in mm from the selvedge (or from the cut end).
    pub start_mm: f64,
    /// The bars of one repeat, in order.
    pub bars: Vec<Bar>,
}

/// One bar and the ground after it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bar {
    /// Width in mm.
    pub width_mm: f64,
    /// Ground up to the next bar, in mm.
    pub gap_mm: f64,
    /// Its colour.
    pub colour: Colour,
}

impl Bars {
    /// The repeat in mm: all bars and gaps.
    #[must_use]
    pub fn period_mm(&self) -> f64 {
        self.bars.iter().map(|bar| bar.width_mm + bar.gap_mm).sum()
    }
}

/// Where a motif stands: at an origin and every whole number of two steps from it. A half-drop repeat is a
/// pair of steps such as (96, 70) and (192, 0).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lattice {
    /// One node.
    #[serde(with = "pair")]
    pub origin: Point,
    /// Two steps to neighbouring nodes, not parallel.
    #[serde(with = "pair::two")]
    pub steps: [Vec2; 2],
}

/// Nodes beyond which a repeat is too small to be drawn node by node.
const MOST_NODES: usize = 20_000;

impl Lattice {
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
        let corners = [
            (area.x0, area.y0),
            (area.x1, area.y0),
            (area.x1, area.y1),
            (area.x0, area.y1),
        ];
        let in_steps = corners.map(|corner| {
            let off = Point::from(corner) - self.origin;
            (off.cross(b) / cross, a.cross(off) / cross)
        });
        let range = |pick: fn(&(f64, f64)) -> f64| {
            let low = in_steps.iter().map(pick).fold(f64::INFINITY, f64::min).ceil();
            let high = in_steps
                .iter()
                .map(pick)
                .fold(f64::NEG_INFINITY, f64::max)
                .floor();
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

    #[test]
    fn a_half_drop_has_one_node_a_cell() {
        let lattice = Lattice {
            origin: Point::new(5.0, 7.0),
            steps: [Vec2::new(96.0, 70.0), Vec2::new(192.0, 0.0)],
        };
        let nodes = lattice.nodes_in(Rect::new(0.0, 0.0, 1920.0, 1400.0));
        // 1920 × 1400 mm hold 200 cells of 96 × 140 mm.
        assert_eq!(nodes.len(), 200);
        assert!(nodes.contains(&Point::new(101.0, 77.0)));
    }

    #[test]
    fn an_absurd_lattice_has_no_nodes() {
        let area = Rect::new(0.0, 0.0, 1000.0, 1000.0);
        let parallel = Lattice {
            origin: Point::ORIGIN,
            steps: [Vec2::new(1.0, 0.0), Vec2::new(2.0, 0.0)],
        };
        assert!(parallel.nodes_in(area).is_empty());
        let tiny = Lattice {
            origin: Point::ORIGIN,
            steps: [Vec2::new(1e-3, 0.0), Vec2::new(0.0, 1e-3)],
        };
        assert!(tiny.nodes_in(area).is_empty());
    }
}
