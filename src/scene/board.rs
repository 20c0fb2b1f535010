//! What only the desk's board shows: a piece before and after, the light's edge, the tapes.

use super::clear::{Taken, words_box, words_width};
use super::{CopyOfPiece, Item, Meaning, Pointed, Scene, Shape, Show, add_copy, overlay, words};
use crate::aim::Aim;
use crate::garment::{Evaluated, EvaluatedPiece};
use crate::geometry::{Affine, BezPath, Line, Point, Rect, Vec2};
use crate::pattern::{BalanceLineId, EdgeRole, HowCut, Piece};
use kurbo::Shape as _;

/// Height of numbers on the board, in mm at sign scale 1.
const NUMBER_MM: f64 = 14.0;
/// Room between a number and the lines, in mm at sign scale 1.
const NUMBER_OFF_MM: f64 = 8.0;

fn on_board<'a>(piece: &'a Piece, cutting_line: Option<&'a BezPath>, note: &'a str) -> CopyOfPiece<'a> {
    let how = piece.cuttings.first().map_or(HowCut::Single, |cutting| cutting.how);
    // One half is enough to look at: what is opened out is drawn as if on the fold.
    let how = if how == HowCut::OpenedOut { HowCut::OnFold } else { how };
    CopyOfPiece {
        piece,
        cutting_line,
        margins: &[],
        how,
        note,
        surface_from_piece: Affine::IDENTITY,
        print_top: None,
        hold: false,
        lit: None,
    }
}

/// A piece as printed.
#[must_use]
pub fn printed_piece(piece: &Piece, cutting_line: Option<&BezPath>, note: &str, show: &Show) -> Scene {
    let mut scene = Scene::default();
    add_copy(&mut scene, &on_board(piece, cutting_line, note), &[], show);
    scene
}

/// A piece before and after its alterations, one over the other; each edge whose shape changed bears its number
/// in [`changed_edges`], clear of all lines.
#[must_use]
pub fn before_and_after(
    piece: &EvaluatedPiece,
    amounts: &[(BalanceLineId, f64)],
    note: &str,
    show: &Show,
) -> Scene {
    let mut scene = Scene::default();
    let of = Some(piece.altered.id.clone());
    let changed = changed_edges(piece);
    for before in changed.iter().filter_map(|edge| piece.printed.edge(edge)) {
        scene.items.push(Item {
            meaning: Meaning::Before,
            piece: of.clone(),
            shape: Shape::Stroke(before.curve.to_bezpath()),
        });
    }
    let copy = on_board(&piece.altered, piece.cutting_path.as_ref(), note);
    let copy = CopyOfPiece { margins: piece.margins(), ..copy };
    add_copy(&mut scene, &copy, amounts, show);
    let mut taken = Taken::of(&scene, 0, None, show.reading_angle, show.sign_scale);
    let height = NUMBER_MM * show.sign_scale;
    for (number, edge) in changed.iter().enumerate() {
        let Some(after) = piece.altered.edge(edge) else {
            continue;
        };
        let words = (number + 1).to_string();
        let size = Vec2::new(words_width(&words, height), 1.4 * height);
        // Beside the middle of the edge, on either side; else nearer to its ends, and further off.
        let places = [1.0, 2.0, 4.0].into_iter().flat_map(|gaps| {
            [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8].into_iter().flat_map(move |share| {
                let distance = share * after.curve.length();
                let (at, along) = (after.curve.point_at(distance), after.curve.tangent_at(distance));
                let stretch = Line::new(at - along, at + along);
                let beside = words::beside(stretch, size, gaps * NUMBER_OFF_MM * show.sign_scale);
                beside.into_iter().take(2)
            })
        });
        let places: Vec<Point> = places.map(|place| taken.reader_from_surface() * place).collect();
        let Some((place, _)) = taken.clearest(size, places, 0.6 * NUMBER_OFF_MM) else {
            continue;
        };
        let at = place - Vec2::new(0.0, 0.5 * height);
        taken.add_box(words_box(&words, at, height));
        let shape = Shape::Label {
            words,
            at: taken.reader_from_surface().inverse() * at,
            height_mm: height,
            angle: show.reading_angle,
        };
        scene.items.push(Item { meaning: Meaning::EdgeNumber, piece: of.clone(), shape });
    }
    scene
}

/// Adds a ring around what a finding points to, or the outline of the whole piece, where the board shows that
/// piece.
pub fn add_pointed(scene: &mut Scene, piece: &Piece, pointed: &Pointed, show: &Show) {
    if pointed.piece == piece.id {
        overlay::add_pointer(scene, piece, Affine::IDENTITY, pointed.at, show);
    }
}

/// Adds a line that was taken hold of, strong.
pub fn add_held(scene: &mut Scene, piece: &Piece, path: BezPath) {
    scene.items.push(Item {
        meaning: Meaning::Pointed,
        piece: Some(piece.id.clone()),
        shape: Shape::Stroke(path),
    });
}

/// The edges of a piece whose shape differs from the printed one, in the order of the outline.
#[must_use]
pub fn changed_edges(piece: &EvaluatedPiece) -> Vec<crate::pattern::EdgeId> {
    let edges = piece.altered.edges.iter();
    edges
        .filter(|edge| edge.role != EdgeRole::Fold)
        .filter(|edge| piece.printed.edge(&edge.id).is_none_or(|before| before.curve != edge.curve))
        .map(|edge| edge.id.clone())
        .collect()
}

/// All altered pieces, side by side.
#[must_use]
pub fn all_pieces(evaluated: &Evaluated, show: &Show) -> Scene {
    let mut scene = Scene::default();
    for (piece, place) in evaluated.pieces.iter().zip(side_by_side(evaluated)) {
        let bounds = extent(piece);
        let mut copy = on_board(&piece.altered, piece.cutting_path.as_ref(), "");
        copy.surface_from_piece = Affine::translate((place.x0 - bounds.x0, place.y0 - bounds.y0));
        add_copy(&mut scene, &copy, &[], show);
    }
    scene
}

/// The rectangle in which [`all_pieces`] draws, in mm; `None` without any.
#[must_use]
pub fn all_pieces_extent(evaluated: &Evaluated) -> Option<Rect> {
    side_by_side(evaluated).into_iter().reduce(|all, place| all.union(place))
}

fn side_by_side(evaluated: &Evaluated) -> Vec<Rect> {
    /// Space between pieces, in mm.
    const SPACE_MM: f64 = 60.0;
    let mut right = 0.0;
    let mut places = Vec::new();
    for piece in &evaluated.pieces {
        let size = extent(piece).size();
        places.push(Rect::from_origin_size((right, 0.0), size));
        right += size.width + SPACE_MM;
    }
    places
}

fn extent(piece: &EvaluatedPiece) -> Rect {
    let cutting = piece.cutting_path.as_ref().map(BezPath::bounding_box);
    cutting.unwrap_or_else(|| piece.altered.bounding_box())
}

/// Adds the edge of what the projector lights.
pub fn add_light(scene: &mut Scene, aim: &Aim) {
    let mut path = BezPath::new();
    let [first, rest @ ..] = aim.lit_quad();
    path.move_to(first);
    rest.into_iter().for_each(|corner| path.line_to(corner));
    path.close_path();
    scene.items.push(Item { meaning: Meaning::LightEdge, piece: None, shape: Shape::Stroke(path) });
}

/// Adds the tapes of an aim with their readings.
pub fn add_tapes(scene: &mut Scene, aim: &Aim, show: &Show) {
    for tape in aim.tapes() {
        let ends = [tape.from, tape.to].map(|mark| aim.marks().get(mark).map(|mark| mark.surface));
        let [Some(from), Some(to)] = ends else { continue };
        let mut path = BezPath::new();
        path.move_to(from);
        path.line_to(to);
        scene.items.push(Item { meaning: Meaning::TapeLine, piece: None, shape: Shape::Stroke(path) });
        let height = NUMBER_MM * show.sign_scale;
        let words = format!("{:.0} mm", tape.mm);
        let size = Vec2::new(words_width(&words, height), height);
        // Off the middle, where the diagonals would write over each other, and beside the tape.
        let stretch = Line::new(from.lerp(to, 0.28), from.lerp(to, 0.32));
        let beside = words::beside(stretch, size, 0.5 * height);
        let place = beside.first().copied().unwrap_or(from);
        let shape =
            Shape::Label { words, at: place - Vec2::new(0.0, 0.5 * height), height_mm: height, angle: 0.0 };
        scene.items.push(Item { meaning: Meaning::TapeLine, piece: None, shape });
    }
}
