//! What is printed on a piece beside its outline.

use super::{BalanceLineId, CornerId, DartId, Edge, EdgeId, NotchId};
use crate::geometry::{Curve, Line, Point, Vec2};
use serde::{Deserialize, Serialize};

/// A mark on the seam line that meets its like on the mate.
#[derive(Debug, Clone, PartialEq)]
pub struct Notch {
    /// Its name, unique in the piece; the mate's notch has the same.
    pub id: NotchId,
    /// On which edge.
    pub edge: EdgeId,
    /// From which end of that edge it is measured.
    pub corner: CornerId,
    /// Arc length from that corner along the edge, in mm.
    pub distance: f64,
    /// Single or double.
    pub kind: NotchKind,
}

/// How many ticks a notch has. Single at the front, double at the back: common practice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum NotchKind {
    /// One tick.
    Single,
    /// Two ticks side by side.
    Double,
}

impl Notch {
    /// Arc length from the start of its edge, in mm.
    #[must_use]
    pub fn distance_from_start(&self, edge: &Edge) -> f64 {
        if self.corner == edge.to { edge.curve.length() - self.distance } else { self.distance }
    }
}

/// A wedge of cloth folded away. Its legs run from the apex to the ends of its mouth edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Dart {
    /// Its name, unique in the piece.
    pub id: DartId,
    /// The point.
    pub apex: Point,
    /// The corner of the mouth towards which the wedge is pressed.
    pub pressed_toward: CornerId,
}

/// The direction of the warp.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Grainline {
    /// The lower end.
    pub from: Point,
    /// The end that is up when the garment is worn.
    pub to: Point,
}

impl Grainline {
    /// Unit vector towards the upper end; straight up where both ends coincide.
    #[must_use]
    pub fn direction(&self) -> Vec2 {
        let along = self.to - self.from;
        if along.hypot() > 0.0 { along.normalize() } else { Vec2::new(0.0, 1.0) }
    }
}

/// A line across the grain at which a piece is lengthened or shortened, together with every piece that carries
/// the same name.
#[derive(Debug, Clone, PartialEq)]
pub struct BalanceLine {
    /// The name shared by the pieces that it goes through.
    pub id: BalanceLineId,
    /// From edge to edge.
    pub line: Line,
}

/// A point marked through the cloth.
#[derive(Debug, Clone, PartialEq)]
pub struct DrillHole {
    /// What it marks.
    pub name: String,
    /// Where.
    pub at: Point,
}

/// A line that is marked and not cut: a pocket's place, a button line.
#[derive(Debug, Clone, PartialEq)]
pub struct InnerLine {
    /// What it marks.
    pub name: String,
    /// Its shape.
    pub curve: Curve,
}

/// Words printed on the piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PrintedText {
    /// The words.
    pub words: String,
    /// Left end of the baseline.
    pub at: Point,
    /// Height of a capital in mm.
    pub height_mm: f64,
}

/// A line where it was before an alteration.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    /// What it was.
    pub kind: TraceKind,
    /// Its shape before.
    pub curve: Curve,
}

/// What a trace remembers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TraceKind {
    /// The hem before it was shortened or lengthened.
    OldHem,
}
