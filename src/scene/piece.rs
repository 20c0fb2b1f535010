//! One copy of a piece as items of the overlay.

use super::signs;
use super::words;
use super::{Item, Layer, Meaning, Scene, Shape, Show};
use crate::geometry::tolerance::FLATTEN_COARSE_MM;
use crate::geometry::{Affine, BezPath, Curve, Line, Point, Vec2};
use crate::pattern::{BalanceLineId, Edge, EdgeRole, HowCut, NotchKind, Piece, TraceKind};

/// One copy of a piece, ready to be placed.
#[derive(Debug, Clone, Copy)]
pub struct CopyOfPiece<'a> {
    /// The altered piece.
    pub piece: &'a Piece,
    /// Its cutting line, closed; `None` when the allowance could not be made (the seam line is then drawn in
    /// the colour of what must not be cut).
    pub cutting_line: Option<&'a BezPath>,
    /// Outer lines of cloth that is left untrimmed for now.
    pub margins: &'a [Curve],
    /// How this copy is cut.
    pub how: HowCut,
    /// Words after the piece's name: which copy, which size.
    pub note: &'a str,
    /// From the piece's coordinates to the surface's.
    pub surface_from_piece: Affine,
    /// Direction of the print's top on the surface, for cloth that has one.
    pub print_top: Option<Vec2>,
    /// Whether this copy must not be cut yet.
    pub hold: bool,
    /// Corners of what the projector lights, on the surface: words stand in it where they can.
    pub lit: Option<[Point; 4]>,
}

/// Adds a copy of a piece. `amounts` are the changes in mm at balance lines.
pub fn add_copy(scene: &mut Scene, copy: &CopyOfPiece<'_>, amounts: &[(BalanceLineId, f64)], show: &Show) {
    let first = scene.items.len();
    let mut pen = Pen { scene, copy, show, motion: copy.surface_from_piece };
    let mirror = copy.piece.mirror_about_fold();
    pen.outline(None);
    pen.marks();
    if let Some(mirror) = mirror {
        match copy.how {
            HowCut::OpenedOut => {
                pen.motion = copy.surface_from_piece * mirror;
                pen.outline(None);
                pen.marks();
                pen.motion = copy.surface_from_piece;
            }
            _ if show.has(Layer::MirroredHalf) => {
                pen.motion = copy.surface_from_piece * mirror;
                pen.outline(Some(Meaning::MirroredHalf));
                pen.motion = copy.surface_from_piece;
            }
            _ => {}
        }
        pen.fold();
    }
    pen.grainline();
    pen.balance_lines();
    words::add_words(scene, copy, amounts, show, first);
}

struct Pen<'a> {
    scene: &'a mut Scene,
    copy: &'a CopyOfPiece<'a>,
    show: &'a Show,
    motion: Affine,
}

impl Pen<'_> {
    fn stroke(&mut self, meaning: Meaning, path: BezPath) {
        self.push(meaning, Shape::Stroke(self.motion * path));
    }

    fn push(&mut self, meaning: Meaning, shape: Shape) {
        let piece = Some(self.copy.piece.id.clone());
        self.scene.items.push(Item { meaning, piece, shape });
    }

    /// Cutting, seam and hem lines; all with one meaning for the faint other half.
    fn outline(&mut self, instead: Option<Meaning>) {
        let piece = self.copy.piece;
        if self.show.has(Layer::CuttingLines) {
            let ready = self.copy.cutting_line.filter(|_| !self.copy.hold);
            let meaning =
                instead.unwrap_or(if ready.is_some() { Meaning::CuttingLine } else { Meaning::Caution });
            let path = self.copy.cutting_line.cloned().unwrap_or_else(|| piece.outline());
            // The fold is no place to cut: where both halves are cut or one is only shown, the closing
            // stretch along it is left out.
            self.stroke(meaning, without_fold(path, piece));
            for margin in self.copy.margins {
                self.stroke(instead.unwrap_or(Meaning::MarginLine), margin.to_bezpath());
            }
        }
        if instead.is_some() {
            return;
        }
        let hem_moved = piece.traces.iter().any(|trace| trace.kind == TraceKind::OldHem);
        for edge in &piece.edges {
            let (meaning, layer) = match &edge.role {
                EdgeRole::Fold => continue,
                EdgeRole::Hem if hem_moved => (Meaning::NewHem, Layer::SeamLines),
                EdgeRole::Hem => (Meaning::HemLine, Layer::SeamLines),
                EdgeRole::DartMouth(_) => (Meaning::DartCap, Layer::Marks),
                _ => (Meaning::SeamLine, Layer::SeamLines),
            };
            if self.show.has(layer) {
                self.stroke(meaning, edge.curve.to_bezpath());
            }
        }
        if self.show.has(Layer::OldHem) {
            for trace in &piece.traces {
                let TraceKind::OldHem = trace.kind;
                self.stroke(Meaning::OldHem, trace.curve.to_bezpath());
            }
        }
    }

    fn marks(&mut self) {
        if !self.show.has(Layer::Marks) {
            return;
        }
        let piece = self.copy.piece;
        for notch in &piece.notches {
            let Some(edge) = piece.edge(&notch.edge) else {
                continue;
            };
            let distance = notch.distance_from_start(edge);
            let (at, along) = (edge.curve.point_at(distance), edge.curve.tangent_at(distance));
            let count = match notch.kind {
                NotchKind::Single => 1,
                NotchKind::Double => 2,
            };
            self.stroke(Meaning::Notch, signs::notch(at, along, count, self.show.sign_scale));
        }
        for dart in &piece.darts {
            let Some(mouth) = piece.dart_mouth(&dart.id) else {
                continue;
            };
            let mut legs = BezPath::new();
            legs.move_to(mouth.curve.start());
            legs.line_to(dart.apex);
            legs.line_to(mouth.curve.end());
            self.stroke(Meaning::DartLeg, legs);
        }
        for hole in &piece.drill_holes {
            self.stroke(Meaning::DrillHole, signs::drill_hole(hole.at, self.show.sign_scale));
        }
        for line in &piece.inner_lines {
            self.stroke(Meaning::InnerLine, line.curve.to_bezpath());
        }
    }

    fn fold(&mut self) {
        let piece = self.copy.piece;
        let Some(fold) = piece.fold().filter(|_| self.show.has(Layer::Folds)) else {
            return;
        };
        let line = fold_to_cutting_line(fold, self.copy.cutting_line);
        let mut path = BezPath::new();
        path.move_to(line.p0);
        path.line_to(line.p1);
        // Opened out there is nothing to fold: a full line there would be taken for one to cut.
        if self.copy.how == HowCut::OpenedOut {
            self.stroke(Meaning::CentreLine, path);
        } else {
            self.stroke(Meaning::FoldLine, path);
            self.stroke(Meaning::FoldBracket, signs::fold_bracket(line, self.show.sign_scale));
        }
    }

    fn grainline(&mut self) {
        if self.show.has(Layer::Grainlines) {
            let grain = self.copy.piece.grainline;
            let both_ways = self.copy.print_top.is_none();
            self.stroke(
                Meaning::Grainline,
                signs::arrow(grain.from, grain.to, both_ways, self.show.sign_scale),
            );
        }
    }

    fn balance_lines(&mut self) {
        if !self.show.has(Layer::BalanceLines) {
            return;
        }
        for balance in &self.copy.piece.balance_lines {
            let mut path = BezPath::new();
            path.move_to(balance.line.p0);
            path.line_to(balance.line.p1);
            self.stroke(Meaning::BalanceLine, path);
        }
    }
}

/// The fold carried on to where the cutting line meets it.
fn fold_to_cutting_line(fold: &Edge, cutting_line: Option<&BezPath>) -> Line {
    let (start, end) = (fold.curve.start(), fold.curve.end());
    let along = end - start;
    let length = along.hypot();
    if length <= 0.0 {
        return Line::new(start, end);
    }
    let along = along / length;
    let mut reach = (0.0_f64, length);
    for point in
        cutting_line.into_iter().flat_map(|path| path.elements().iter().filter_map(|e| e.end_point()))
    {
        let off = point - start;
        if off.cross(along).abs() < FLATTEN_COARSE_MM {
            reach = (reach.0.min(off.dot(along)), reach.1.max(off.dot(along)));
        }
    }
    Line::new(start + reach.0 * along, start + reach.1 * along)
}

/// The cutting line opened where it runs along the fold.
pub(super) fn without_fold(path: BezPath, piece: &Piece) -> BezPath {
    let Some(fold) = piece.fold() else { return path };
    let (start, along) = (fold.curve.start(), fold.curve.end() - fold.curve.start());
    let length = along.hypot();
    if length <= 0.0 {
        return path;
    }
    let on_fold = |point: Point| ((point - start).cross(along) / length).abs() < FLATTEN_COARSE_MM;
    let mut segments: Vec<_> = path.segments().collect();
    let is_fold = |segment: &kurbo::PathSeg| {
        use kurbo::ParamCurve as _;
        [0.0, 0.5, 1.0].iter().all(|&t| on_fold(segment.eval(t)))
    };
    // Begin after the fold, so that what is left is one open line with one arc length.
    if let Some(last) = segments.iter().rposition(is_fold) {
        segments.rotate_left(last + 1);
    }
    segments.retain(|segment| !is_fold(segment));
    BezPath::from_path_segments(segments.into_iter())
}
