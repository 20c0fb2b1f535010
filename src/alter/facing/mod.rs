//! A facing drawn again from the edge that it faces.
//!
//! A facing is never altered on its own. Its outer edge is copied from the altered piece, darts closed; over several
//! pieces they are first joined at their seams, as they will be sewn. Its inner edge runs parallel inside at the
//! facing's width, which may differ from edge to edge ([`Facing::other_widths`]): the parallels then meet in a corner.
//! Its ends follow the edges that the faced run begins and ends at (shoulder, side, fold, hem), as far as the inner
//! edge. For the turn of the cloth the outer edge may be trimmed by 1 to 2 mm.
//!
//! The facing keeps its edges, by name (`build.rs` tells which is which): one outer edge for each that is faced, or one
//! for all; inner edge and ends may be of several edges and are divided as they were. It comes to lie in the
//! coordinates of the first piece faced. A join is a rigid motion that brings corner to corner and seam to seam; if
//! the next piece is drawn as its other half, it is mirrored (`outer.rs`).

mod again;
mod build;
mod outer;

use super::draft::{Change, Draft};
use super::reshape::{Profile, moved_out};
use super::{AlterError, Amount, Figure};
use crate::geometry::Shape as _;
use crate::geometry::{Curve, Length, brought_together, crossings, parallel};
use crate::pattern::{Edge, EdgeId, EdgeRole, Grainline, Piece, PieceId};
use build::{Build, divided};
use outer::Outer;
use serde::{Deserialize, Serialize};

/// A facing drawn again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Facing {
    /// The facing.
    pub piece: PieceId,
    /// What it faces, in the order in which its own edges follow each other.
    pub along: Vec<Faced>,
    /// How wide it is; 50 to 60 mm is usual.
    pub width: Length,
    /// Outer edges of the facing along which it has another width: a front facing that is wider down the front edge, for
    /// the buttons, than round the neck.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub other_widths: Vec<WidthAlong>,
    /// How much its outer edge is trimmed for the turn of the cloth.
    #[serde(default)]
    pub trim: Option<Length>,
}

/// The width along one edge of a facing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WidthAlong {
    /// Which of its outer edges.
    pub edge: EdgeId,
    /// How wide it is there.
    pub width: Length,
}

/// Edges of one piece that are faced.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Faced {
    /// Which piece.
    pub piece: PieceId,
    /// Its edges, in the order of its outline, dart mouths left out.
    pub edges: Vec<EdgeId>,
}

impl Facing {
    pub(super) fn apply(&self, draft: &Draft<'_>) -> Result<Change, AlterError> {
        let other = self.other_widths.iter().map(|other| &other.width);
        for width in std::iter::once(&self.width).chain(other).map(Length::mm) {
            if width.is_nan() || width <= 0.0 {
                return Err(AlterError::NotPositive { what: "the width of a facing", given_mm: width });
            }
        }
        let old = draft.piece(&self.piece)?;
        if let Some(unknown) = self.other_widths.iter().find(|other| old.edge(&other.edge).is_none()) {
            return Err(AlterError::UnknownEdge { piece: old.id.clone(), edge: unknown.edge.clone() });
        }
        let mut faced = Vec::with_capacity(self.along.len());
        for part in &self.along {
            faced.push(draft.piece(&part.piece)?);
        }
        let mut parts = self.along.iter().zip(&faced).enumerate();
        let nothing = || AlterError::NotOneRun { piece: self.piece.clone() };
        let (_, (part, piece)) = parts.next().ok_or_else(nothing)?;
        let mut outer = Outer::of(piece, &part.edges)?;
        for (number, (part, piece)) in parts {
            let next = Outer::of(piece, &part.edges)?;
            // The first run may be drawn so that the joint is its beginning.
            let turned = outer.mirrored();
            if number == 1 && turned.misfit(&next).0 + 1e-9 < outer.misfit(&next).0 {
                outer = turned;
            }
            outer = outer.joined(next);
        }
        let build = Build::of(old, |edge| self.lies_on_faced(draft, edge));
        let build = build.ok_or_else(|| AlterError::FacingBuild { piece: old.id.clone() })?;
        let mut piece = with_marks(old, &faced, self.drawn(old, &build, &outer)?);
        let mut change = Change::default();
        let length =
            |piece: &Piece| build.outer.iter().map(|&at| piece.edges[at].curve.length()).sum::<f64>();
        change.figures.push(Figure {
            name: "outer edge of the facing",
            piece: Some(piece.id.clone()),
            before: Some(Amount::Mm(length(old))),
            after: Amount::Mm(length(&piece)),
        });
        if let Some(trim) = self.trim.as_ref().map(Length::mm).filter(|trim| *trim != 0.0) {
            piece = moved_out(&piece, &build.outer, -trim, &Profile::EVEN)?;
        }
        change.pieces.push(piece);
        Ok(change)
    }

    /// Whether an edge of the facing is sewn to what it faces.
    fn lies_on_faced(&self, draft: &Draft<'_>, edge: &Edge) -> bool {
        let mut mates = draft.seams.iter().filter_map(|seam| seam.mate_of(&self.piece, &edge.id));
        mates.any(|mate| {
            let mut parts = self.along.iter().filter(|part| part.piece == mate.piece);
            parts.any(|part| part.edges.iter().any(|edge| mate.edges.contains(edge)))
        })
    }

    /// The width along an edge of the facing, in mm.
    fn width_along(&self, edge: &EdgeId) -> f64 {
        let other = self.other_widths.iter().find(|other| &other.edge == edge);
        other.map_or(&self.width, |other| &other.width).mm()
    }

    /// The facing's edges from a faced run.
    fn drawn(&self, old: &Piece, build: &Build, run: &Outer) -> Result<Piece, AlterError> {
        let refused = || AlterError::FacingBuild { piece: old.id.clone() };
        let curves = match build.outer.as_slice() {
            many if many.len() == run.curves.len() => run.curves.clone(),
            [_] => vec![chained(&run.curves).ok_or_else(refused)?],
            _ => return Err(refused()),
        };
        let inner = self.inner_edge(old, build, &curves)?;
        let widest = build.outer.iter().map(|&at| self.width_along(&old.edges[at].id)).fold(0.0, f64::max);
        let long = inner.extended(2.0 * widest, 2.0 * widest);
        let meet = |end: &Curve| crossings(end, &long).into_iter().next();
        let (Some(at_start), Some(at_end)) = (meet(&run.before.curve), meet(&run.after.curve)) else {
            return Err(AlterError::FacingTooWide { piece: old.id.clone(), width_mm: widest });
        };
        let inner = long.portion(at_start.on_second, at_end.on_second).ok_or_else(refused)?;
        let start = run.before.curve.portion(0.0, at_start.on_first).ok_or_else(refused)?;
        let end = run.after.curve.portion(0.0, at_end.on_first).ok_or_else(refused)?;
        let mut piece = old.clone();
        let mut put = |slots: &[usize], curves: Vec<Curve>| {
            for (&slot, curve) in slots.iter().zip(curves) {
                piece.edges[slot].curve = curve;
            }
        };
        put(&build.outer, curves);
        put(&build.end, divided(old, &build.end, &end, &run.after.joints).ok_or_else(refused)?);
        put(&build.inner, divided(old, &build.inner, &inner.reversed(), &[]).ok_or_else(refused)?);
        let passed = start.length();
        let joints: Vec<f64> = run.before.joints.iter().rev().map(|joint| passed - joint).collect();
        put(&build.start, divided(old, &build.start, &start.reversed(), &joints).ok_or_else(refused)?);
        Ok(piece)
    }

    /// The inner edge, travelled as the outer edges are: the parallel of each stretch of one width, joined to the next.
    fn inner_edge(&self, old: &Piece, build: &Build, curves: &[Curve]) -> Result<Curve, AlterError> {
        let mut inner: Option<Curve> = None;
        let mut from = 0;
        while from < curves.len() {
            let edge = &old.edges[build.outer[from]].id;
            let width = self.width_along(edge);
            let alike = build.outer[from..]
                .iter()
                .take_while(|&&at| (self.width_along(&old.edges[at].id) - width).abs() < f64::EPSILON);
            let until = from + alike.count().max(1);
            let stretch = chained(&curves[from..until]);
            let stretch = stretch.ok_or_else(|| AlterError::FacingBuild { piece: old.id.clone() })?;
            let next = parallel(&stretch, width).map_err(|cause| AlterError::NoParallel {
                piece: old.id.clone(),
                edge: edge.clone(),
                cause,
            })?;
            inner = Some(match inner {
                None => next,
                Some(before) => {
                    let near = before.end().midpoint(next.start());
                    let reach = before.end().distance(next.start()) + 2.0 * width;
                    let apart = || AlterError::FacingTooWide { piece: old.id.clone(), width_mm: width };
                    let (kept, rest) = brought_together(&before, &next, near, reach).ok_or_else(apart)?;
                    kept.joined(&rest).map_err(|_gap| apart())?
                }
            });
            from = until;
        }
        inner.ok_or_else(|| AlterError::FacingBuild { piece: old.id.clone() })
    }
}

/// Curves one after the other as one.
fn chained(curves: &[Curve]) -> Option<Curve> {
    Curve::new(curves.iter().flat_map(Curve::segments).copied().collect()).ok()
}

/// Marks of the facing on its new outline.
fn with_marks(old: &Piece, faced: &[&Piece], mut piece: Piece) -> Piece {
    for (notch, was) in piece.notches.iter_mut().zip(&old.notches) {
        // As on the faced piece, where it has the same notch; else at its share of the edge.
        if let Some(twin) = faced
            .iter()
            .flat_map(|faced| &faced.notches)
            .find(|twin| twin.id == was.id && twin.corner == was.corner)
        {
            notch.distance = twin.distance;
        } else if let (Some(before), Some(after)) = (old.edge(&was.edge), old.edge_index(&was.edge)) {
            let share = was.distance / before.curve.length().max(f64::MIN_POSITIVE);
            notch.distance = share * piece.edges[after].curve.length();
        }
    }
    for line in &mut piece.balance_lines {
        // In the coordinates of the first piece faced, and as long as it was.
        let twin = faced.first().and_then(|faced| faced.balance_lines.iter().find(|twin| twin.id == line.id));
        if let Some(twin) = twin {
            line.line = twin.line;
        }
    }
    let outline = piece.outline();
    let grain = old.grainline;
    if !outline.contains(grain.from.midpoint(grain.to)) {
        let along = faced.first().map_or_else(|| grain.direction(), |faced| faced.grainline.direction());
        let area = piece.bounding_box();
        let half = 0.2 * area.width().max(area.height());
        // The middle of the inner edge, a little outwards, lies on the facing.
        let inner = piece.edges.iter().find(|edge| edge.role == EdgeRole::FacingEdge);
        let middle = inner.map_or(area.center(), |edge| {
            let middle = 0.5 * edge.curve.length();
            let tangent = edge.curve.tangent_at(middle);
            edge.curve.point_at(middle) + 15.0 * crate::geometry::Vec2::new(-tangent.y, tangent.x)
        });
        piece.grainline = Grainline { from: middle - half * along, to: middle + half * along };
    }
    piece
}
