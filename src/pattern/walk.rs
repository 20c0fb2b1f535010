//! Walking a seam: both sides laid along each other from its beginning to its end, as one walks two paper pieces.
//!
//! Darts are closed: their mouths count nothing. The sides are compared at every notch that both carry under the
//! same name, because a seam whose whole lengths agree can still be sewn askew between two notches. Millimetres.

use super::{CornerId, Edge, EdgeRole, Notch, NotchId, Piece, Run, Seam};
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Point, Vec2};

/// One side of a seam, ready to be walked.
#[derive(Debug, Clone)]
pub struct SeamSide<'a> {
    piece: &'a Piece,
    /// Each edge, whether it is travelled as the outline is, and how much of the seam lies before it.
    edges: Vec<(&'a Edge, bool, f64)>,
    length: f64,
}

/// A place of a seam that both sides know.
#[derive(Debug, Clone, PartialEq)]
pub struct WalkMark {
    /// The notch; `None` at the beginning and at the end of the seam.
    pub notch: Option<NotchId>,
    /// Distance from the beginning of the seam on its first and on its second side.
    pub on_sides_mm: [f64; 2],
}

/// Both sides of a seam, walked.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// The beginning, every common notch in the order of the first side, the end.
    pub marks: Vec<WalkMark>,
}

impl<'a> SeamSide<'a> {
    /// A run on its piece; `None` when the piece lacks one of its edges or they do not follow each other.
    #[must_use]
    pub fn new(piece: &'a Piece, run: &Run) -> Option<Self> {
        let mut at = &run.from;
        let (mut edges, mut length) = (Vec::with_capacity(run.edges.len()), 0.0);
        for id in &run.edges {
            let edge = piece.edge(id)?;
            let meets = |corner: &CornerId| edge.from == *corner || edge.to == *corner;
            if !meets(at) {
                at = across_dart(piece, at).filter(|beyond| meets(beyond))?;
            }
            let forward = edge.from == *at;
            edges.push((edge, forward, length));
            length += edge.curve.length();
            at = if forward { &edge.to } else { &edge.from };
        }
        Some(Self { piece, edges, length })
    }

    /// Sewn length in mm.
    #[must_use]
    pub const fn length(&self) -> f64 {
        self.length
    }

    /// The piece that it goes along.
    #[must_use]
    pub const fn piece(&self) -> &'a Piece {
        self.piece
    }

    /// The edges in the order of the walk, each with whether it is travelled as the outline is.
    pub fn edges(&self) -> impl ExactSizeIterator<Item = (&'a Edge, bool)> + '_ {
        self.edges.iter().map(|&(edge, forward, _)| (edge, forward))
    }

    /// The corner at which the walk begins, and the one at which it ends.
    #[must_use]
    pub fn ends(&self) -> Option<[&'a CornerId; 2]> {
        let &(first, first_forward, _) = self.edges.first()?;
        let &(last, last_forward, _) = self.edges.last()?;
        let begins = if first_forward { &first.from } else { &first.to };
        Some([begins, if last_forward { &last.to } else { &last.from }])
    }

    /// Distance of a notch from the beginning; `None` when it lies elsewhere.
    #[must_use]
    pub fn distance_of(&self, notch: &Notch) -> Option<f64> {
        let &(edge, forward, before) = self.edges.iter().find(|(edge, ..)| edge.id == notch.edge)?;
        let from_start = notch.distance_from_start(edge);
        Some(
            before
                + if forward {
                    from_start
                } else {
                    edge.curve.length() - from_start
                },
        )
    }

    /// Distance of a corner from the beginning; `None` when it lies elsewhere.
    #[must_use]
    pub fn distance_of_corner(&self, corner: &CornerId) -> Option<f64> {
        self.edges.iter().find_map(|&(edge, forward, before)| {
            let begins = if forward { &edge.from } else { &edge.to };
            let ends = if forward { &edge.to } else { &edge.from };
            if begins == corner {
                Some(before)
            } else {
                (ends == corner).then(|| before + edge.curve.length())
            }
        })
    }

    /// The notches on this side with their distance from the beginning, in the order of the walk.
    #[must_use]
    pub fn notches(&self) -> Vec<(&'a NotchId, f64)> {
        let notches = self.piece.notches.iter();
        let mut found: Vec<_> = notches
            .filter_map(|notch| Some((&notch.id, self.distance_of(notch)?)))
            .collect();
        found.sort_by(|a, b| a.1.total_cmp(&b.1));
        found
    }

    /// The point at a distance from the beginning, and the direction of the walk there; clamped to the ends.
    #[must_use]
    pub fn at(&self, distance: f64) -> Option<(Point, Vec2)> {
        let holds = |(_, _, before): &&(&Edge, bool, f64)| *before <= distance + JOIN_MM;
        let &(edge, forward, before) = self.edges.iter().rev().find(holds).or(self.edges.first())?;
        let within = distance - before;
        Some(if forward {
            (edge.curve.point_at(within), edge.curve.tangent_at(within))
        } else {
            let from_start = edge.curve.length() - within;
            (
                edge.curve.point_at(from_start),
                -edge.curve.tangent_at(from_start),
            )
        })
    }
}

/// The other end of the dart mouth that begins or ends at a corner.
pub(super) fn across_dart<'a>(piece: &'a Piece, corner: &CornerId) -> Option<&'a CornerId> {
    let mouths = piece.edges.iter();
    let mut mouths = mouths.filter(|edge| matches!(edge.role, EdgeRole::DartMouth(_)));
    mouths.find_map(|edge| {
        if edge.from == *corner {
            Some(&edge.to)
        } else {
            (edge.to == *corner).then_some(&edge.from)
        }
    })
}

impl Walk {
    /// Walks two sides along each other.
    #[must_use]
    pub fn of(first: &SeamSide<'_>, second: &SeamSide<'_>) -> Self {
        let mark = |notch: Option<NotchId>, on_sides_mm| WalkMark { notch, on_sides_mm };
        let theirs = second.notches();
        let common = first.notches().into_iter().filter_map(|(id, on_first)| {
            let (_, on_second) = theirs.iter().find(|(their, _)| *their == id)?;
            Some(mark(Some(id.clone()), [on_first, *on_second]))
        });
        let marks = std::iter::once(mark(None, [0.0, 0.0]))
            .chain(common)
            .chain(std::iter::once(mark(None, [first.length(), second.length()])))
            .collect();
        Self { marks }
    }

    /// Walks a seam; `None` when a side cannot be walked on its piece.
    #[must_use]
    pub fn along(seam: &Seam, first: &Piece, second: &Piece) -> Option<Self> {
        let [first_run, second_run] = &seam.sides;
        Some(Self::of(
            &SeamSide::new(first, first_run)?,
            &SeamSide::new(second, second_run)?,
        ))
    }

    /// Whole lengths of both sides in mm.
    #[must_use]
    pub fn lengths_mm(&self) -> [f64; 2] {
        self.marks.last().map_or([0.0, 0.0], |end| end.on_sides_mm)
    }

    /// The stretches between neighbouring marks.
    pub fn stretches(&self) -> impl Iterator<Item = (&WalkMark, &WalkMark)> {
        self.marks.windows(2).map(|pair| (&pair[0], &pair[1]))
    }
}

impl WalkMark {
    /// How much further from the beginning it lies on the second side than on the first, in mm.
    #[must_use]
    pub fn drift_mm(&self) -> f64 {
        self.on_sides_mm[1] - self.on_sides_mm[0]
    }
}
