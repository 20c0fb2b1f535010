//! One piece in one size.

use super::{
    BalanceLine, CornerId, Dart, DartId, DrillHole, EdgeId, Grainline, InnerLine, Notch, PieceId,
    PrintedText, Trace,
};
use crate::geometry::{Affine, BezPath, Curve, Length, Point, Rect};
use serde::{Deserialize, Serialize};

/// A piece of cloth to be cut, complete for one size.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Its name, unique in the pattern.
    pub id: PieceId,
    /// Number on the cutting list, from 1.
    pub number: u32,
    /// What to cut it from and how often.
    pub cuttings: Vec<Cutting>,
    /// The seam line: closed, counter-clockwise; each edge begins where the one before ends.
    pub edges: Vec<Edge>,
    /// Marks on the seam line.
    pub notches: Vec<Notch>,
    /// Darts; each takes up one edge with the role [`EdgeRole::DartMouth`].
    pub darts: Vec<Dart>,
    /// Direction of the warp, with the end that is up.
    pub grainline: Grainline,
    /// Lengthen/shorten lines.
    pub balance_lines: Vec<BalanceLine>,
    /// Points to be marked through the cloth.
    pub drill_holes: Vec<DrillHole>,
    /// Lines inside that are marked and not cut.
    pub inner_lines: Vec<InnerLine>,
    /// Words printed on the piece.
    pub texts: Vec<PrintedText>,
    /// Where a line was before an alteration moved it; empty as bought.
    pub traces: Vec<Trace>,
}

/// A stretch of the seam line between two corners.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// Its name, unique in the piece.
    pub id: EdgeId,
    /// Corner where it begins.
    pub from: CornerId,
    /// Corner where it ends.
    pub to: CornerId,
    /// What becomes of it.
    pub role: EdgeRole,
    /// Its own allowance, where it differs from the pattern's.
    pub allowance: Option<Length>,
    /// Its shape, travelled from `from` to `to`.
    pub curve: Curve,
}

/// What becomes of an edge.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum EdgeRole {
    /// Sewn to a mate; which one, the pattern's seams say.
    Seam,
    /// Lies on a fold: no allowance, and the other half is the mirror image.
    Fold,
    /// Turned up.
    Hem,
    /// Finished by itself or bound: neckline, front edge.
    Opening,
    /// Inner edge of a facing, not sewn to anything.
    FacingEdge,
    /// Where the legs of a dart reach the seam line; the edge is the cap between them.
    DartMouth(DartId),
}

/// Which cloth a piece is cut from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub enum ClothKind {
    /// The garment's main cloth.
    #[default]
    Cloth,
    /// Lining.
    Lining,
    /// Interfacing.
    Interfacing,
}

impl ClothKind {
    /// All of them, the main cloth first.
    pub const ALL: [Self; 3] = [Self::Cloth, Self::Lining, Self::Interfacing];

    /// Its name.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Cloth => "cloth",
            Self::Lining => "lining",
            Self::Interfacing => "interfacing",
        }
    }

    /// Whether it is the main cloth.
    #[must_use]
    pub fn is_main(&self) -> bool {
        *self == Self::Cloth
    }
}

/// How the copies of a piece are cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum HowCut {
    /// As drawn, each copy alike.
    Single,
    /// One as drawn, one mirrored, and so on: a left and a right.
    MirroredPair,
    /// With its fold edge on the fold of the cloth.
    OnFold,
    /// On flat cloth, both halves: the piece and its mirror image about the fold edge.
    OpenedOut,
}

/// A line of the cutting list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cutting {
    /// From which cloth.
    pub cloth: ClothKind,
    /// How many, mirrored ones counted.
    pub count: u32,
    /// How.
    pub how: HowCut,
}

impl Piece {
    /// An edge by name.
    #[must_use]
    pub fn edge(&self, id: &EdgeId) -> Option<&Edge> {
        self.edges.iter().find(|edge| &edge.id == id)
    }

    /// Place of an edge in [`Piece::edges`].
    #[must_use]
    pub fn edge_index(&self, id: &EdgeId) -> Option<usize> {
        self.edges.iter().position(|edge| &edge.id == id)
    }

    /// The place of a corner.
    #[must_use]
    pub fn corner(&self, id: &CornerId) -> Option<Point> {
        self.edges.iter().find(|edge| &edge.from == id).map(|edge| edge.curve.start())
    }

    /// A dart by name.
    #[must_use]
    pub fn dart(&self, id: &DartId) -> Option<&Dart> {
        self.darts.iter().find(|dart| &dart.id == id)
    }

    /// The edge that takes up a dart.
    #[must_use]
    pub fn dart_mouth(&self, id: &DartId) -> Option<&Edge> {
        self.edges.iter().find(|edge| matches!(&edge.role, EdgeRole::DartMouth(dart) if dart == id))
    }

    /// The place of a notch on the seam line.
    #[must_use]
    pub fn notch_point(&self, notch: &Notch) -> Option<Point> {
        let edge = self.edge(&notch.edge)?;
        Some(edge.curve.point_at(notch.distance_from_start(edge)))
    }

    /// The edge on the fold, if the piece has one.
    #[must_use]
    pub fn fold(&self) -> Option<&Edge> {
        self.edges.iter().find(|edge| edge.role == EdgeRole::Fold)
    }

    /// The mirror about the fold edge, if the piece has a straight one.
    #[must_use]
    pub fn mirror_about_fold(&self) -> Option<Affine> {
        let fold = self.fold()?;
        let (start, end) = (fold.curve.start(), fold.curve.end());
        (start != end).then(|| Affine::reflect(start, end - start))
    }

    /// The whole seam line as one closed path.
    #[must_use]
    pub fn outline(&self) -> BezPath {
        let mut path = BezPath::new();
        if let Some(first) = self.edges.first() {
            path.move_to(first.curve.start());
            for edge in &self.edges {
                edge.curve.append_to(&mut path);
            }
            path.close_path();
        }
        path
    }

    /// Smallest upright rectangle around the seam line.
    #[must_use]
    pub fn bounding_box(&self) -> Rect {
        let boxes = self.edges.iter().map(|edge| edge.curve.bounding_box());
        boxes.reduce(|a, b| a.union(b)).unwrap_or_default()
    }
}
