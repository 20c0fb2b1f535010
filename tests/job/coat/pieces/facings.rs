//! The coat's facings.

use super::{
    BACK_ARMHOLE_NOTCH, BACK_NECK_NOTCH, FRONT_ARMHOLE_NOTCH, FRONT_NECK_NOTCH, cut, edge,
    front_edge_notches, notch, piece, straight, text, upright, waist_line,
};
use crate::coat::draft::{Draft, FRONT_EDGE};
use chalkbeam::geometry::{CubicBez, Point};
use chalkbeam::pattern::{
    ClothKind, Cutting,
    EdgeRole::{FacingEdge, Fold, Hem, Seam as Sewn},
    HowCut, Notch,
    NotchKind::{Double, Single},
    Piece, PrintedText,
};

pub(super) fn front_facing(d: &Draft, size: &str) -> Piece {
    let edges = vec![
        edge("hem", "hem front edge", "hem inner", Hem, d.facing_hem()),
        edge("inner edge", "hem inner", "shoulder inner", FacingEdge, d.front_facing_inner()),
        edge(
            "shoulder",
            "shoulder inner",
            "shoulder neck",
            Sewn,
            straight(d.facing_shoulder(), d.front_shoulder_neck),
        ),
        edge("neck", "shoulder neck", "neck front edge", Sewn, d.front_neck_to_edge()),
        edge(
            "front edge",
            "neck front edge",
            "hem front edge",
            Sewn,
            straight(d.neck_front_edge(), d.hem_front_edge()),
        ),
    ];
    let mut facing =
        piece("front facing", 3, faced(2, HowCut::MirroredPair), edges, upright(12.0, -450.0, 200.0));
    facing.notches = vec![notch("neck front", "neck", "shoulder neck", FRONT_NECK_NOTCH, Single)];
    facing.notches.extend(front_edge_notches(d));
    facing.balance_lines = vec![waist_line(FRONT_EDGE, 55.0)];
    facing.texts = vec![
        text(format!("3 Front facing {size}"), -24.0, -520.0, 6.0),
        text("cut 2, mirrored".to_owned(), -24.0, -532.0, 5.0),
    ];
    facing
}

pub(super) fn back_neck_facing(d: &Draft, size: &str) -> Piece {
    let inner = d.neck_facing_inner();
    let (fold_inner, shoulder_inner) = (inner[0].start(), inner[inner.len() - 1].end());
    let edges = vec![
        edge("inner edge", "fold inner", "shoulder inner", FacingEdge, inner),
        edge(
            "shoulder",
            "shoulder inner",
            "shoulder neck",
            Sewn,
            straight(shoulder_inner, d.back_shoulder_neck),
        ),
        edge("neck", "shoulder neck", "neck centre", Sewn, d.back_neck_to_centre()),
        edge("fold", "neck centre", "fold inner", Fold, straight(d.back_neck_centre, fold_inner)),
    ];
    let y = d.back_neck_centre.y;
    let mut facing =
        piece("back neck facing", 4, faced(1, HowCut::OnFold), edges, upright(15.0, y - 54.0, y - 6.0));
    facing.notches = vec![notch("neck back", "neck", "shoulder neck", BACK_NECK_NOTCH, Double)];
    facing.texts = vec![text(format!("4 Back neck facing {size}"), 20.0, y - 40.0, 4.0)];
    facing
}

pub(super) fn front_armhole_facing(d: &Draft, size: &str) -> Piece {
    let c = &d.front_armhole;
    let mut facing = armhole_facing(
        "front armhole facing",
        5,
        c,
        d.front_facing_side(),
        notch("armhole front", "armhole", "underarm", FRONT_ARMHOLE_NOTCH, Single),
    );
    facing.texts = facing_texts("5 Front armhole", format!("facing, size {size}"), c);
    facing
}

pub(super) fn back_armhole_facing(d: &Draft, size: &str) -> Piece {
    let c = &d.back_armhole;
    let mut facing = armhole_facing(
        "back armhole facing",
        6,
        c,
        d.back_facing_side(),
        notch("armhole back", "armhole", "underarm", BACK_ARMHOLE_NOTCH, Double),
    );
    facing.texts = facing_texts("6 Back armhole", format!("facing, size {size}"), c);
    facing
}

/// Two short lines in the middle of a narrow facing.
fn facing_texts(first: &str, second: String, c: &CubicBez) -> Vec<PrintedText> {
    let at = Draft::armhole_facing_middle(c, 0.6);
    vec![text(first.to_owned(), at.x - 19.0, at.y + 1.0, 3.5), text(second, at.x - 19.0, at.y - 6.0, 3.5)]
}

fn armhole_facing(id: &str, number: u32, c: &CubicBez, side_inner: Point, mark: Notch) -> Piece {
    let inner = Draft::armhole_facing_inner(c);
    let shoulder_inner = inner[0].start();
    let edges = vec![
        edge("armhole", "underarm", "shoulder tip", Sewn, Draft::armhole_up(c)),
        edge("shoulder", "shoulder tip", "shoulder inner", Sewn, straight(c.p0, shoulder_inner)),
        edge("inner edge", "shoulder inner", "side inner", FacingEdge, inner),
        edge("side", "side inner", "underarm", Sewn, straight(side_inner, c.p3)),
    ];
    let middle = Draft::armhole_facing_middle(c, 0.3);
    let grain = upright(middle.x, middle.y - 30.0, middle.y + 30.0);
    let mut facing = piece(id, number, faced(2, HowCut::MirroredPair), edges, grain);
    facing.notches = vec![mark];
    facing
}

/// A facing is cut from cloth and from interfacing alike.
fn faced(count: u32, how: HowCut) -> Vec<Cutting> {
    vec![cut(ClothKind::Cloth, count, how), cut(ClothKind::Interfacing, count, how)]
}
