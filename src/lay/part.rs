//! What is cut from one cloth: each piece with its outline and its centre, and the seams between them.
//!
//! Everything that a lay asks of a piece is derived here once, in the piece's own coordinates; while a piece is
//! dragged, points are only moved.

use super::Outline;
use super::join::{Join, joins};
use super::rules::Grain;
use crate::geometry::{Affine, BezPath, Line, Point, Vec2};
use crate::pattern::{ClothKind, EdgeRole, HowCut, Piece, PieceId, Seam};
use kurbo::ParamCurveNearest as _;
use std::sync::Arc;

/// Chords that a hem is looked at by, in mm, and how many at most.
const HEM_CHORD_MM: f64 = 10.0;
const MOST_HEM_CHORDS: f64 = 200.0;

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

    /// The same with every hem's allowance cut down to `most_mm`, but for the pieces that `stays` names; `None` where no
    /// hem is wider.
    #[must_use]
    pub fn with_hems(&self, most_mm: f64, stays: impl Fn(&PieceId) -> bool) -> Option<Self> {
        let mut narrowed = self.clone();
        let mut any = false;
        for part in narrowed.parts.iter_mut().filter(|part| !stays(&part.piece.id)) {
            any |= part.narrow_hems(most_mm);
        }
        any.then_some(narrowed)
    }

    /// The widest allowance of any hem, in mm.
    #[must_use]
    pub fn widest_hem_mm(&self) -> f64 {
        self.parts.iter().flat_map(Part::hems).map(|hem| hem.width_mm).fold(0.0, f64::max)
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

/// A hem with the allowance that was cut to it.
struct HemLine {
    /// The hem, as a line of short chords.
    chords: Vec<Line>,
    /// Which side of the chords the allowance lies on: 1 left, −1 right.
    side: f64,
    width_mm: f64,
}

impl HemLine {
    /// How far out of the hem a point lies, and in which direction that is; the first and the last chord go on for ever.
    fn off(&self, point: Point) -> Option<(f64, Vec2)> {
        let last = self.chords.len().checked_sub(1)?;
        let (index, _) = self.chords.iter().enumerate().min_by(|(_, a), (_, b)| {
            let [a, b] = [a, b].map(|chord| chord.nearest(point, 1e-9).distance_sq);
            a.total_cmp(&b)
        })?;
        let chord = self.chords[index];
        let along = (chord.p1 - chord.p0).normalize();
        let t = (point - chord.p0).dot(along);
        let beside = (index == 0 || t >= 0.0) && (index == last || t <= chord.length());
        let out = self.side * Vec2::new(-along.y, along.x);
        if beside {
            return Some(((point - chord.p0).dot(out), out));
        }
        let corner = if t < 0.0 { chord.p0 } else { chord.p1 };
        let off = point - corner;
        let sign = if off.dot(out) < 0.0 { -1.0 } else { 1.0 };
        (off.hypot() > 0.0).then(|| (sign * off.hypot(), sign * off.normalize()))
    }
}

impl Part {
    /// The hems, with what is turned up at each.
    fn hems(&self) -> Vec<HemLine> {
        let hems = self.piece.edges.iter().filter(|edge| edge.role == EdgeRole::Hem);
        let lines = hems.filter_map(|edge| {
            let length = edge.curve.length();
            let count = (length / HEM_CHORD_MM).ceil().clamp(1.0, MOST_HEM_CHORDS);
            let at = |n: f64| edge.curve.point_at(length * n / count);
            let starts = std::iter::successors(Some(0.0), |n| (n + 1.5 < count).then_some(n + 1.0));
            let chords: Vec<Line> =
                starts.map(|n| Line::new(at(n), at(n + 1.0))).filter(|chord| chord.length() > 0.0).collect();
            let middle = chords.get(chords.len() / 2)?;
            let along = (middle.p1 - middle.p0).normalize();
            // What is sewn lies on the other side from the allowance.
            let inner = self.half.bounds().center() - middle.midpoint();
            let side = if along.cross(inner) > 0.0 { -1.0 } else { 1.0 };
            let mut line = HemLine { chords, side, width_mm: 0.0 };
            let out = side * Vec2::new(-along.y, along.x);
            // Straight out from the middle of the hem, to the cutting line.
            line.width_mm = way_out(&self.half, line.chords[line.chords.len() / 2].midpoint(), out)?;
            Some(line)
        });
        lines.collect()
    }

    /// Cuts what is turned up at the hems down to a width; false when none is wider.
    fn narrow_hems(&mut self, most_mm: f64) -> bool {
        let hems: Vec<HemLine> =
            self.hems().into_iter().filter(|hem| hem.width_mm > most_mm + 1e-6).collect();
        for hem in &hems {
            let narrowed = self.half.points().iter().map(|&point| match hem.off(point) {
                Some((off, out)) if off > most_mm && off < 2.0 * hem.width_mm + HEM_CHORD_MM => {
                    point - (off - most_mm) * out
                }
                _ => point,
            });
            self.half = Outline::new(narrowed.collect());
        }
        if !hems.is_empty() {
            self.whole =
                self.mirror().map_or_else(|| self.half.clone(), |mirror| self.half.opened_out(mirror));
        }
        !hems.is_empty()
    }

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

/// How far it is from a point in a direction to an outline; `None` when it is not met.
fn way_out(outline: &Outline, from: Point, direction: Vec2) -> Option<f64> {
    let corners = outline.points();
    let met = corners.iter().zip(corners.iter().cycle().skip(1)).filter_map(|(&a, &b)| {
        let cross = direction.cross(b - a);
        let (t, u) = ((a - from).cross(b - a) / cross, (a - from).cross(direction) / cross);
        (cross.abs() > f64::EPSILON && t >= 0.0 && (0.0..=1.0).contains(&u)).then_some(t)
    });
    met.min_by(f64::total_cmp)
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
