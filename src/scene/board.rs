//! What only the desk's board shows: a piece before and after, the light's edge, the tapes.

use super::{CopyOfPiece, Item, Meaning, Scene, Shape, Show, add_copy};
use crate::aim::Aim;
use crate::garment::{Evaluated, EvaluatedPiece};
use crate::geometry::{Affine, BezPath, Point, Vec2};
use crate::pattern::{BalanceLineId, EdgeRole, HowCut, Piece};

/// Height of numbers on the board, in mm on the piece.
const NUMBER_MM: f64 = 14.0;
/// Distance of an edge's number from the edge, in mm.
const NUMBER_OFF_MM: f64 = 14.0;

fn on_board<'a>(piece: &'a Piece, cutting_line: Option<&'a BezPath>, note: &'a str) -> CopyOfPiece<'a> {
    let how = piece
        .cuttings
        .first()
        .map_or(HowCut::Single, |cutting| cutting.how);
    // One half is enough to look at: what is opened out is drawn as if on the fold.
    let how = if how == HowCut::OpenedOut {
        HowCut::OnFold
    } else {
        how
    };
    let surface_from_piece = Affine::IDENTITY;
    CopyOfPiece {
        piece,
        cutting_line,
        margins: &[],
        how,
        note,
        surface_from_piece,
        print_top: None,
        hold: false,
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
/// in `changed_edges`.
#[must_use]
pub fn before_and_after(
    piece: &EvaluatedPiece,
    amounts: &[(BalanceLineId, f64)],
    note: &str,
    show: &Show,
) -> Scene {
    let mut scene = Scene::default();
    let of = Some(piece.altered.id.clone());
    for (number, edge) in changed_edges(piece).iter().enumerate() {
        if let Some(before) = piece.printed.edge(edge) {
            let shape = Shape::Stroke(before.curve.to_bezpath());
            scene.items.push(Item {
                meaning: Meaning::Before,
                piece: of.clone(),
                shape,
            });
        }
        if let Some(after) = piece.altered.edge(edge) {
            let middle = 0.5 * after.curve.length();
            let (at, along) = (after.curve.point_at(middle), after.curve.tangent_at(middle));
            // The piece lies to the left of travel; the number goes to the other side.
            let at = at + NUMBER_OFF_MM * Vec2::new(along.y, -along.x) - Vec2::new(0.0, 0.5 * NUMBER_MM);
            let words = (number + 1).to_string();
            let shape = Shape::Label {
                words,
                at,
                height_mm: NUMBER_MM,
                angle: 0.0,
            };
            scene.items.push(Item {
                meaning: Meaning::EdgeNumber,
                piece: of.clone(),
                shape,
            });
        }
    }
    let copy = on_board(&piece.altered, piece.cutting_path.as_ref(), note);
    add_copy(
        &mut scene,
        &CopyOfPiece {
            margins: piece.margins(),
            ..copy
        },
        amounts,
        show,
    );
    scene
}

/// The edges of a piece whose shape differs from the printed one, in the order of the outline.
#[must_use]
pub fn changed_edges(piece: &EvaluatedPiece) -> Vec<crate::pattern::EdgeId> {
    let edges = piece.altered.edges.iter();
    edges
        .filter(|edge| edge.role != EdgeRole::Fold)
        .filter(|edge| {
            piece
                .printed
                .edge(&edge.id)
                .is_none_or(|before| before.curve != edge.curve)
        })
        .map(|edge| edge.id.clone())
        .collect()
}

/// All altered pieces, side by side.
#[must_use]
pub fn all_pieces(evaluated: &Evaluated, show: &Show) -> Scene {
    /// Space between pieces, in mm.
    const SPACE_MM: f64 = 60.0;
    let mut scene = Scene::default();
    let mut right = 0.0;
    for piece in &evaluated.pieces {
        let bounds = piece.altered.bounding_box();
        let mut copy = on_board(&piece.altered, piece.cutting_path.as_ref(), "");
        copy.surface_from_piece = Affine::translate((right - bounds.x0, 0.0));
        add_copy(&mut scene, &copy, &[], show);
        right += bounds.width() + SPACE_MM;
    }
    scene
}

/// Adds the edge of what the projector lights.
pub fn add_light(scene: &mut Scene, aim: &Aim) {
    let mut path = BezPath::new();
    let [first, rest @ ..] = aim.lit_quad();
    path.move_to(first);
    rest.into_iter().for_each(|corner| path.line_to(corner));
    path.close_path();
    scene.items.push(Item {
        meaning: Meaning::LightEdge,
        piece: None,
        shape: Shape::Stroke(path),
    });
}

/// Adds the tapes of an aim with their readings.
pub fn add_tapes(scene: &mut Scene, aim: &Aim) {
    for tape in aim.tapes() {
        let ends = [tape.from, tape.to].map(|mark| aim.marks().get(mark).map(|mark| mark.surface));
        let [Some(from), Some(to)] = ends else { continue };
        let mut path = BezPath::new();
        path.move_to(from);
        path.line_to(to);
        scene.items.push(Item {
            meaning: Meaning::TapeLine,
            piece: None,
            shape: Shape::Stroke(path),
        });
        // Off the middle, where the diagonals would write over each other.
        let at: Point = from.lerp(to, 0.35);
        let words = format!("{:.0}", tape.mm);
        let shape = Shape::Label {
            words,
            at,
            height_mm: 2.0 * NUMBER_MM,
            angle: 0.0,
        };
        scene.items.push(Item {
            meaning: Meaning::TapeLine,
            piece: None,
            shape,
        });
    }
}
