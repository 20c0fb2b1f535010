//! A dart closed, and opened at another place.
//!
//! The piece is cut from the new place to the pivot; what lies between the cut and the old mouth turns about the
//! pivot until the old mouth is closed, and the cut opens by the same angle. Along its own seam this moves the
//! mouth: the closed seam stays the line that it was. On another edge, that edge is cut in two (the part away
//! from the turned side is named “… 2”), the seams that hold it are told, and the old mouth leaves a plain corner.
//!
//! What turns is the side without the fold, or the shorter one. Marks and other darts on it turn with it.

use super::{Wedge, dart_named};
use crate::alter::AlterError;
use crate::alter::draft::Draft;
use crate::alter::place::{Spot, edges_of_run};
use crate::geometry::Shape as _;
use crate::geometry::{Affine, BezPath, Curve, Point};
use crate::pattern::{CornerId, DartId, Edge, EdgeId, EdgeRole, Piece, Seam};

/// Nearest that the new mouth may be to a corner, in mm: less than a seam allowance cannot be sewn.
const CORNER_CLEAR_MM: f64 = 5.0;

/// A piece with a turned dart, and the seams, where an edge of theirs was cut in two.
pub(super) struct Turned {
    pub piece: Piece,
    pub seams: Option<Vec<Seam>>,
}

pub(super) fn rotated(
    old: &Piece,
    dart: &DartId,
    pivot: Point,
    spot: Spot,
    draft: &Draft<'_>,
) -> Result<Turned, AlterError> {
    let wedge = Wedge { apex: pivot, ..Wedge::of(old, dart_named(old, dart)?)? };
    let count = old.edges.len();
    let [first_mm, second_mm] = wedge.legs();
    if !super::equal_legs(&wedge) {
        return Err(AlterError::LegsDiffer {
            piece: old.id.clone(),
            dart: dart.clone(),
            first_mm,
            second_mm,
        });
    }
    let length = old.edges[spot.edge].curve.length();
    if spot.edge == wedge.mouth || spot.along < CORNER_CLEAR_MM || spot.along > length - CORNER_CLEAR_MM {
        return Err(AlterError::NoRoomForMouth {
            piece: old.id.clone(),
            edge: old.edges[spot.edge].id.clone(),
            clear_mm: CORNER_CLEAR_MM,
        });
    }
    // Forwards from the mouth to the spot, and the rest.
    let steps = (spot.edge + count - wedge.mouth) % count;
    let ahead: Vec<usize> = (1..=steps).map(|step| (wedge.mouth + step) % count).collect();
    let behind: Vec<usize> = (steps..count).map(|step| (wedge.mouth + step) % count).collect();
    let has_fold = |edges: &[usize]| edges.iter().any(|&at| old.edges[at].role == EdgeRole::Fold);
    let long = |edges: &[usize]| edges.iter().map(|&at| old.edges[at].curve.length()).sum::<f64>();
    let forwards = match (has_fold(&ahead), has_fold(&behind)) {
        (true, false) => false,
        (false, true) => true,
        _ => long(&ahead) <= long(&behind),
    };
    let (mut piece, cut) = if forwards {
        turned_ahead(old, dart, wedge, spot)
    } else {
        let backwards = reversed(old);
        let wedge = Wedge { mouth: count - 1 - wedge.mouth, ends: [wedge.ends[1], wedge.ends[0]], ..wedge };
        let spot = Spot { edge: count - 1 - spot.edge, along: length - spot.along };
        let (piece, cut) = turned_ahead(&backwards, dart, wedge, spot);
        (reversed(&piece), cut)
    };
    for known in piece.darts.iter_mut().filter(|known| &known.id == dart) {
        known.apex = pivot;
    }
    let seams = cut.map(|cut| {
        let mut seams = draft.seams.to_vec();
        for run in seams.iter_mut().flat_map(|seam| seam.sides.iter_mut()) {
            if run.piece != old.id {
                continue;
            }
            let Some(at) = run.edges.iter().position(|edge| edge == &cut.0) else {
                continue;
            };
            let travels = edges_of_run(old, run).is_none_or(|(_, forward)| forward) == forwards;
            run.edges.insert(if travels { at + 1 } else { at }, cut.1.clone());
        }
        seams
    });
    Ok(Turned { piece, seams })
}

/// The same piece with its outline travelled the other way.
pub(in crate::alter) fn reversed(piece: &Piece) -> Piece {
    let mut turned = piece.clone();
    turned.edges = piece
        .edges
        .iter()
        .rev()
        .map(|edge| Edge {
            from: edge.to.clone(),
            to: edge.from.clone(),
            curve: edge.curve.reversed(),
            ..edge.clone()
        })
        .collect();
    turned
}

/// Turns what lies from the mouth forwards to the spot; also the names of an edge that was cut in two.
fn turned_ahead(old: &Piece, dart: &DartId, wedge: Wedge, spot: Spot) -> (Piece, Option<(EdgeId, EdgeId)>) {
    let count = old.edges.len();
    let turn = Affine::rotate_about(-wedge.angle(), wedge.apex);
    let steps = (spot.edge + count - wedge.mouth) % count;
    let order = |step: usize| (wedge.mouth + step) % count;
    let opened = old.edges[spot.edge].curve.point_at(spot.along);
    let mouth = Edge { curve: Curve::line(turn * opened, opened), ..old.edges[wedge.mouth].clone() };
    let (near, far) = old.edges[spot.edge].curve.split_at(spot.along);
    let (Some(near), Some(far)) = (near, far) else {
        return (old.clone(), None);
    };
    let near = near.transformed(turn);
    let mut piece = old.clone();
    turn_marks(old, &mut piece, wedge, spot, turn);
    let before = order(count - 1);
    let mut edges: Vec<Edge> = Vec::with_capacity(count + 1);
    let mut cut = None;
    if steps == 1 {
        // Along its own seam: the boundary between the two edges beside the mouth moves.
        let added = spot.along;
        let (first, second) = (&old.edges[before], &old.edges[spot.edge]);
        let near = near.with_ends(first.curve.end(), near.end());
        for (notch, was) in piece.notches.iter_mut().zip(&old.notches) {
            let along = was.edge == second.id && was.distance_from_start(second) < added;
            if along {
                notch.distance = first.curve.length() + was.distance_from_start(second);
                (notch.edge, notch.corner) = (first.id.clone(), first.from.clone());
            } else if was.edge == second.id && was.corner == second.from {
                notch.distance -= added;
            } else if was.edge == first.id && was.corner == first.to {
                notch.distance += added;
            }
        }
        edges.extend((2..count - 1).map(|step| old.edges[order(step)].clone()));
        edges.push(Edge {
            curve: first.curve.joined(&near).unwrap_or_else(|_| first.curve.clone()),
            ..first.clone()
        });
        edges.push(mouth);
        edges.push(Edge { curve: far, ..second.clone() });
    } else {
        let closed = CornerId::from(format!("{dart} closed"));
        let whole = &old.edges[spot.edge];
        let other = unused_name(old, &whole.id);
        for (notch, was) in piece.notches.iter_mut().zip(&old.notches).filter(|(_, was)| was.edge == whole.id)
        {
            let along = was.distance_from_start(whole);
            if along >= spot.along {
                notch.edge = other.clone();
                if was.corner == whole.from {
                    (notch.distance, notch.corner) = (along - spot.along, mouth.to.clone());
                }
            } else if was.corner == whole.to {
                (notch.distance, notch.corner) = (spot.along - along, mouth.from.clone());
            }
        }
        for notch in &mut piece.notches {
            for (edge, lost) in [(before, &mouth.from), (order(1), &mouth.to)] {
                if notch.edge == old.edges[edge].id && &notch.corner == lost {
                    notch.corner = closed.clone();
                }
            }
        }
        for step in 1..steps {
            let mut edge = old.edges[order(step)].clone();
            edge.curve = edge.curve.transformed(turn);
            if step == 1 {
                edge.from = closed.clone();
                edge.curve = edge.curve.with_ends(old.edges[before].curve.end(), edge.curve.end());
            }
            edges.push(edge);
        }
        edges.push(Edge { to: mouth.from.clone(), curve: near, ..whole.clone() });
        edges.push(mouth.clone());
        edges.push(Edge { id: other.clone(), from: mouth.to.clone(), curve: far, ..whole.clone() });
        edges.extend((steps + 1..count).map(|step| old.edges[order(step)].clone()));
        for edge in edges.iter_mut().filter(|edge| edge.id == old.edges[before].id) {
            edge.to = closed.clone();
        }
        cut = Some((whole.id.clone(), other));
    }
    // The outline begins where it began.
    if let Some(start) = old.edges.first().and_then(|first| edges.iter().position(|edge| edge.id == first.id))
    {
        edges.rotate_left(start);
    }
    piece.edges = edges;
    (piece, cut)
}

fn unused_name(piece: &Piece, edge: &EdgeId) -> EdgeId {
    let mut number = 2;
    loop {
        let name = EdgeId::from(format!("{edge} {number}"));
        if piece.edge(&name).is_none() {
            return name;
        }
        number += 1;
    }
}

/// Turns what lies on the turned side, inside the outline and on it.
fn turn_marks(old: &Piece, piece: &mut Piece, wedge: Wedge, spot: Spot, turn: Affine) {
    let count = old.edges.len();
    let steps = (spot.edge + count - wedge.mouth) % count;
    let mut region = BezPath::new();
    region.move_to(wedge.apex);
    region.line_to(wedge.ends[1]);
    for step in 1..=steps {
        let edge = &old.edges[(wedge.mouth + step) % count];
        let part = if step == steps { edge.curve.portion(0.0, spot.along) } else { Some(edge.curve.clone()) };
        if let Some(part) = part {
            part.append_to(&mut region);
        }
        if let EdgeRole::DartMouth(other) = &edge.role {
            for dart in piece.darts.iter_mut().filter(|dart| &dart.id == other) {
                dart.apex = turn * dart.apex;
            }
        }
    }
    region.close_path();
    for hole in piece.drill_holes.iter_mut().filter(|hole| region.contains(hole.at)) {
        hole.at = turn * hole.at;
    }
    for text in piece.texts.iter_mut().filter(|text| region.contains(text.at)) {
        text.at = turn * text.at;
    }
    for line in &mut piece.inner_lines {
        if region.contains(line.curve.point_at(0.5 * line.curve.length())) {
            line.curve = line.curve.transformed(turn);
        }
    }
}
