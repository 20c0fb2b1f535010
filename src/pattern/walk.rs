//! Walking a seam: both sides laid along each other from its beginning to its end, as one walks two paper pieces.
//!
//! Darts are closed: their mouths count nothing. The sides are compared at every notch that both carry under the
//! same name, because a seam whose whole lengths agree can still be sewn askew between two notches. Millimetres.

use super::{CornerId, Edge, EdgeRole, Notch, NotchId, Piece, Run, Seam};
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Affine, Point, Vec2};

/// One side of a seam, ready to be walked.
#[derive(Debug, Clone)]
pub struct SeamSide<'a> {
    piece: &'a Piece,
    edges: Vec<Stage<'a>>,
    length: f64,
}

/// One edge of a side.
#[derive(Debug, Clone, Copy)]
struct Stage<'a> {
    edge: &'a Edge,
    /// Whether it is travelled as the outline is.
    forward: bool,
    /// How much of the seam lies before it, in mm.
    before: f64,
    /// The motion that closes the darts before it.
    closing: Affine,
}

impl<'a> Stage<'a> {
    const fn begins(&self) -> &'a CornerId {
        if self.forward { &self.edge.from } else { &self.edge.to }
    }

    const fn ends(&self) -> &'a CornerId {
        if self.forward { &self.edge.to } else { &self.edge.from }
    }
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
        let (mut edges, mut before, mut closing) =
            (Vec::with_capacity(run.edges.len()), 0.0, Affine::IDENTITY);
        for id in &run.edges {
            let edge = piece.edge(id)?;
            let meets = |corner: &CornerId| edge.from == *corner || edge.to == *corner;
            if !meets(at) {
                let beyond = across_dart(piece, at).filter(|beyond| meets(beyond))?;
                closing *= closed(piece, at, beyond)?;
                at = beyond;
            }
            let forward = edge.from == *at;
            let stage = Stage { edge, forward, before, closing };
            before += edge.curve.length();
            at = stage.ends();
            edges.push(stage);
        }
        Some(Self { piece, edges, length: before })
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
        self.edges.iter().map(|stage| (stage.edge, stage.forward))
    }

    /// The corner at which the walk begins, and the one at which it ends.
    #[must_use]
    pub fn ends(&self) -> Option<[&'a CornerId; 2]> {
        Some([self.edges.first()?.begins(), self.edges.last()?.ends()])
    }

    /// Distance of a notch from the beginning; `None` when it lies elsewhere.
    #[must_use]
    pub fn distance_of(&self, notch: &Notch) -> Option<f64> {
        let stage = self.edges.iter().find(|stage| stage.edge.id == notch.edge)?;
        let from_start = notch.distance_from_start(stage.edge);
        let within = if stage.forward { from_start } else { stage.edge.curve.length() - from_start };
        Some(stage.before + within)
    }

    /// Distance of a corner from the beginning; `None` when it lies elsewhere.
    #[must_use]
    pub fn distance_of_corner(&self, corner: &CornerId) -> Option<f64> {
        self.edges.iter().find_map(|stage| {
            if stage.begins() == corner {
                Some(stage.before)
            } else {
                (stage.ends() == corner).then(|| stage.before + stage.edge.curve.length())
            }
        })
    }

    /// The notches on this side with their distance from the beginning, in the order of the walk.
    #[must_use]
    pub fn notches(&self) -> Vec<(&'a NotchId, f64)> {
        let notches = self.piece.notches.iter();
        let mut found: Vec<_> =
            notches.filter_map(|notch| Some((&notch.id, self.distance_of(notch)?))).collect();
        found.sort_by(|a, b| a.1.total_cmp(&b.1));
        found
    }

    /// The point at a distance from the beginning, as it lies on the piece; clamped to the ends.
    #[must_use]
    pub fn point_at(&self, distance: f64) -> Option<Point> {
        self.stage_at(distance).map(|(_, point)| point)
    }

    /// The point at a distance from the beginning when the darts on the way to it are closed; the first edge stays
    /// where it lies on the piece.
    #[must_use]
    pub fn closed_point_at(&self, distance: f64) -> Option<Point> {
        self.stage_at(distance).map(|(stage, point)| stage.closing * point)
    }

    fn stage_at(&self, distance: f64) -> Option<(&Stage<'a>, Point)> {
        let holds = |stage: &&Stage<'_>| stage.before <= distance + JOIN_MM;
        let stage = self.edges.iter().rev().find(holds).or_else(|| self.edges.first())?;
        let (curve, within) = (&stage.edge.curve, distance - stage.before);
        let from_start = if stage.forward { within } else { curve.length() - within };
        Some((stage, curve.point_at(from_start)))
    }
}

/// The turn about a dart's apex that brings its corner `beyond` onto its corner `at`.
fn closed(piece: &Piece, at: &CornerId, beyond: &CornerId) -> Option<Affine> {
    let mut darts = piece.darts.iter();
    let dart = darts.find(|dart| {
        let mouth = piece.dart_mouth(&dart.id);
        mouth.is_some_and(|mouth| {
            [&mouth.from, &mouth.to] == [at, beyond] || [&mouth.to, &mouth.from] == [at, beyond]
        })
    })?;
    let (to, from): (Vec2, Vec2) = (piece.corner(at)? - dart.apex, piece.corner(beyond)? - dart.apex);
    let angle = from.cross(to).atan2(from.dot(to));
    Some(Affine::rotate_about(angle, dart.apex))
}

/// The other end of the dart mouth that begins or ends at a corner.
pub(super) fn across_dart<'a>(piece: &'a Piece, corner: &CornerId) -> Option<&'a CornerId> {
    let mouths = piece.edges.iter();
    let mut mouths = mouths.filter(|edge| matches!(edge.role, EdgeRole::DartMouth(_)));
    mouths.find_map(|edge| {
        if edge.from == *corner { Some(&edge.to) } else { (edge.to == *corner).then_some(&edge.from) }
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
        Some(Self::of(&SeamSide::new(first, first_run)?, &SeamSide::new(second, second_run)?))
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
