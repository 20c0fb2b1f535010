//! What is cut from one cloth: each piece with its outline and its centre, and the seams between them.
//!
//! Everything that a lay asks of a piece is derived here once, in the piece's own coordinates; while a piece is
//! dragged, points are only moved.

use super::Outline;
use super::join::{Join, joins};
use super::rules::Grain;
use crate::geometry::{Affine, BezPath, Line, Point, Vec2};
use crate::pattern::{ClothKind, EdgeRole, HowCut, Piece, PieceId, Seam};
use std::sync::Arc;

/// All that is cut from one cloth.
#[derive(Debug, Clone, Default)]
pub struct Parts {
    parts: Vec<Part>,
    joins: Vec<Join>,
}

/// A piece as the lay sees it.
#[derive(Debug, Clone)]
pub struct Part {
    /// The piece.
    pub piece: Arc<Piece>,
    /// How its copies are cut.
    pub how: HowCut,
    /// How many, mirrored ones counted.
    pub count: u32,
    half: Outline,
    whole: Outline,
    fold: Option<Line>,
    centre: Option<Line>,
}

impl Parts {
    /// The pieces that are cut from a kind of cloth, with their cutting lines, and the seams that show between
    /// them. A piece without a cutting line is left out, as is one that is not cut from this cloth. Of a piece that
    /// did not change, the part that was made of it before, for the same cloth, is taken over.
    #[must_use]
    pub fn of<'a>(
        pieces: impl IntoIterator<Item = (&'a Arc<Piece>, Option<&'a BezPath>, Option<&'a Part>)>,
        seams: &[Seam],
        cloth: ClothKind,
    ) -> Self {
        let parts: Vec<Part> = pieces
            .into_iter()
            .filter_map(|(piece, cutting_line, before)| match before {
                Some(known) => Some(Part { piece: Arc::clone(piece), ..known.clone() }),
                None => Part::of(piece, cutting_line?, cloth),
            })
            .collect();
        let joins = joins(&parts, seams);
        Self { parts, joins }
    }

    /// The parts, in the order of the cutting list.
    #[must_use]
    pub fn all(&self) -> &[Part] {
        &self.parts
    }

    /// A part by its piece.
    #[must_use]
    pub fn part(&self, piece: &PieceId) -> Option<&Part> {
        self.index(piece).map(|index| &self.parts[index])
    }

    pub(super) fn index(&self, piece: &PieceId) -> Option<usize> {
        self.parts.iter().position(|part| &part.piece.id == piece)
    }

    pub(super) fn joins(&self) -> &[Join] {
        &self.joins
    }
}

impl Part {
    fn of(piece: &Arc<Piece>, cutting_line: &BezPath, cloth: ClothKind) -> Option<Self> {
        let cutting = piece.cuttings.iter().find(|cutting| cutting.cloth == cloth)?;
        let half = Outline::of_path(cutting_line);
        let fold = piece.fold().map(|edge| Line::new(edge.curve.start(), edge.curve.end()));
        let halved = matches!(cutting.how, HowCut::OnFold | HowCut::OpenedOut);
        let mirror = piece.mirror_about_fold().filter(|_| halved);
        let whole = mirror.map_or_else(|| half.clone(), |mirror| half.opened_out(mirror));
        Some(Self {
            centre: fold.filter(|_| halved).or_else(|| centre_line(piece)),
            piece: Arc::clone(piece),
            how: cutting.how,
            count: cutting.count,
            half,
            whole,
            fold: fold.filter(|_| halved),
        })
    }

    /// The cutting line as drawn: one half of a piece with a fold.
    #[must_use]
    pub const fn half(&self) -> &Outline {
        &self.half
    }

    /// The cutting line with both halves of a piece with a fold.
    #[must_use]
    pub const fn whole(&self) -> &Outline {
        &self.whole
    }

    /// The fold edge of a piece that is cut on the fold or opened out.
    #[must_use]
    pub const fn fold(&self) -> Option<Line> {
        self.fold
    }

    /// The centre front or centre back: the fold, or the inner line that is named so.
    #[must_use]
    pub const fn centre(&self) -> Option<Line> {
        self.centre
    }

    /// The mirror about the fold of a piece that is cut on the fold or opened out.
    pub(super) fn mirror(&self) -> Option<Affine> {
        self.fold.and_then(|_| self.piece.mirror_about_fold())
    }

    /// Whether it is the inside of something: a facing, which shows no print.
    pub(super) fn is_facing(&self) -> bool {
        self.piece.edges.iter().any(|edge| edge.role == EdgeRole::FacingEdge)
    }

    /// The least width across the cloth that it takes in any turn its grain allows, opened out or not, in mm.
    #[must_use]
    pub fn least_width_mm(&self, grain: Grain, tolerance_degrees: f64, opened: bool) -> f64 {
        let outline = if opened { &self.whole } else { &self.half };
        let across = {
            let up = self.piece.grainline.direction();
            Vec2::new(-up.y, up.x)
        };
        let turns: &[f64] = match grain {
            Grain::Warp => &[0.0],
            Grain::Weft => &[90.0],
            Grain::Bias => &[45.0, 135.0],
        };
        let tilts = [-tolerance_degrees, 0.0, tolerance_degrees];
        turns
            .iter()
            .flat_map(|turn| tilts.map(|tilt| (turn + tilt).to_radians()))
            .map(|turn| outline.extent_along(Vec2::from_angle(turn).rotate_scale(across)))
            .fold(f64::INFINITY, f64::min)
    }

    /// The point of the centre line at the level of a point: straight across the grain from it.
    pub(super) fn centre_at_level(&self, of: Point) -> Option<Point> {
        let centre = self.centre?;
        let up = self.piece.grainline.direction();
        let along = centre.p1 - centre.p0;
        let rise = along.dot(up);
        (rise.abs() > 1e-6).then(|| centre.p0 + (of - centre.p0).dot(up) / rise * along)
    }
}

/// The inner line that is named as the centre front or back. A pattern has no other word for the centre of a piece
/// that has no fold.
fn centre_line(piece: &Piece) -> Option<Line> {
    let named = piece.inner_lines.iter().find(|line| {
        let name = line.name.to_lowercase();
        ["centre front", "centre back", "center front", "center back"]
            .iter()
            .any(|words| name.contains(words))
    })?;
    Some(Line::new(named.curve.start(), named.curve.end()))
}
