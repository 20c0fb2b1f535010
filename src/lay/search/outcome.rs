//! A lay that was found.

use super::problem::{Pose, Problem};
use crate::geometry::{Point, Vec2};

/// A lay that keeps every rule of its [`Problem`], as the checker confirmed.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// How far along the cloth the pieces reach, in mm.
    pub used_mm: f64,
    /// Area of the pieces over that of the cloth used, pinned ones and all.
    pub density: f64,
    /// No lay can be shorter than this.
    pub bound: Bound,
    /// Whether this lay was proved to be the shortest.
    pub proved: bool,
    /// Where the pieces lie: the copies of the first item, and so on.
    pub places: Vec<Placed>,
    /// Moves that it took.
    pub moves: u64,
}

/// Where one copy lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    /// Which item, counted from 0 in [`Problem::items`].
    pub item: usize,
    /// Which of its copies, counted from 0.
    pub copy: usize,
    /// How it lies.
    pub pose: Pose,
    /// Where the item's origin lies on the cloth.
    pub at: Point,
}

/// A length that no lay can go below, and why.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// In mm.
    pub mm: f64,
    /// Where it comes from.
    pub kind: BoundKind,
}

/// Where a bound comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BoundKind {
    /// The area of all pieces, over the width.
    Area,
    /// The longest piece.
    LongestPiece,
    /// The pieces on the fold, in their shortest order.
    FoldSequence,
    /// Where the pinned pieces end.
    Pinned,
    /// Every place that the print leaves was counted out: nothing shorter is left.
    CountedOut,
}

impl BoundKind {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Area => "area",
            Self::LongestPiece => "longest piece",
            Self::FoldSequence => "fold sequence",
            Self::Pinned => "pinned pieces",
            Self::CountedOut => "every place counted out",
        }
    }
}

impl Placed {
    /// A point of the item on the cloth.
    #[must_use]
    pub fn on_cloth(&self, p: Point) -> Point {
        self.at + self.pose.apply(p.to_vec2())
    }

    /// The item's outline on the cloth.
    #[must_use]
    pub fn outline(&self, problem: &Problem) -> Vec<Point> {
        let outline = problem.items.get(self.item).map_or(&[][..], |item| &item.outline);
        outline.iter().map(|p| self.on_cloth(*p)).collect()
    }
}

impl Outcome {
    /// By how much the length at hand falls short, in mm.
    #[must_use]
    pub fn short_by(&self, problem: &Problem) -> Option<f64> {
        let short = self.used_mm - problem.length?;
        (short > super::check::LARGEST_ERROR_MM).then_some(short)
    }

    /// The extent of a pose of an outline: along the cloth and across it.
    pub(super) fn extent(outline: &[Point], pose: Pose) -> Vec2 {
        let points: Vec<Vec2> = outline.iter().map(|p| pose.apply(p.to_vec2())).collect();
        super::polygon::middle_and_half(&points).1 * 2.0
    }
}
