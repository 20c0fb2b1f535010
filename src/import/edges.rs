//! Corners put into an outline and taken out of it, with all that is measured from them.

use crate::geometry::Point;
use crate::pattern::{CornerId, Dart, DartId, Edge, EdgeId, EdgeRole, Notch, Piece};
use std::collections::BTreeSet;

/// A corner closer to another than this is the same, in mm.
const SAME_CORNER_MM: f64 = 1.0;

/// A place on an outline: an edge by its place, and the arc length along it.
pub(super) type OnEdge = (usize, f64);

/// The place on an outline nearest to a point, and how far that is.
pub(super) fn nearest(piece: &Piece, point: Point) -> Option<(OnEdge, f64)> {
    let places = piece.edges.iter().enumerate().map(|(index, edge)| {
        let (along, off) = edge.curve.nearest(point);
        ((index, along), off)
    });
    places.min_by(|a, b| a.1.total_cmp(&b.1))
}

/// The piece with a corner at a place of its outline, and the edge that begins there. A corner that is there already
/// is answered as it is.
pub(super) fn with_corner(piece: &Piece, (index, along): OnEdge) -> Option<(Piece, usize)> {
    let edge = piece.edges.get(index)?;
    if along <= SAME_CORNER_MM {
        return Some((piece.clone(), index));
    }
    if along >= edge.curve.length() - SAME_CORNER_MM {
        return Some((piece.clone(), (index + 1) % piece.edges.len()));
    }
    let (Some(before), Some(after)) = edge.curve.split_at(along) else {
        return None;
    };
    let mut split = piece.clone();
    let corner = CornerId::from(free("corner", split.edges.iter().map(|edge| edge.from.as_str())));
    let second: EdgeId = free_like(edge.id.as_str(), split.edges.iter().map(|edge| edge.id.as_str())).into();
    split.edges[index] = Edge { to: corner.clone(), curve: before, ..edge.clone() };
    // On a piece of one edge the corner before it is the corner behind it.
    split.edges.insert(index + 1, Edge { id: second, from: corner, curve: after, ..edge.clone() });
    split.notches = moved_notches(piece, &split);
    Some((split, index + 1))
}

/// The piece without the corner at which an edge begins: that edge and the one before it become one. Nothing when the
/// piece has no other corner.
pub(super) fn without_corner(piece: &Piece, index: usize) -> Option<Piece> {
    let count = piece.edges.len();
    if count < 2 {
        return None;
    }
    let before = (index + count - 1) % count;
    let (first, second) = (piece.edges.get(before)?, piece.edges.get(index)?);
    let mut merged = first.clone();
    merged.curve = first.curve.joined(&second.curve).ok()?;
    merged.to = second.to.clone();
    if first.role != second.role {
        merged.role = EdgeRole::Seam;
    }
    if first.allowance != second.allowance {
        merged.allowance = None;
    }
    let mut joined = piece.clone();
    joined.edges[before] = merged;
    joined.edges.remove(index);
    joined.notches = moved_notches(piece, &joined);
    joined
        .darts
        .retain(|dart| joined.edges.iter().any(|edge| edge.role == EdgeRole::DartMouth(dart.id.clone())));
    Some(joined)
}

/// The notches of a piece on the edges of another with the same outline, each measured from the corner that it was
/// measured from where that is left.
fn moved_notches(piece: &Piece, to: &Piece) -> Vec<Notch> {
    let moved = |notch: &Notch| {
        let at = piece.notch_point(notch)?;
        let ((index, along), _) = nearest(to, at)?;
        let edge = to.edges.get(index)?;
        let from_end = if notch.corner == edge.to {
            true
        } else if notch.corner == edge.from {
            false
        } else {
            piece.edge(&notch.edge).is_some_and(|old| old.to == notch.corner)
        };
        let distance = if from_end { edge.curve.length() - along } else { along };
        let corner = if from_end { edge.to.clone() } else { edge.from.clone() };
        Some(Notch { edge: edge.id.clone(), corner, distance, ..notch.clone() })
    };
    piece.notches.iter().filter_map(moved).collect()
}

/// The piece with a dart whose mouth lies between two places on the outline. Nothing when they are no two places.
pub(super) fn with_dart(piece: &Piece, mouth: [Point; 2], apex: Point, name: &str) -> Option<Piece> {
    let mut whole = piece.clone();
    for at in mouth {
        let (place, _) = nearest(&whole, at)?;
        whole = with_corner(&whole, place)?.0;
    }
    let begins = |at: Point| {
        let offs =
            whole.edges.iter().enumerate().map(|(index, edge)| (index, edge.curve.start().distance(at)));
        offs.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(index, _)| index)
    };
    let (a, b) = (begins(mouth[0])?, begins(mouth[1])?);
    if a == b {
        return None;
    }
    let count = whole.edges.len();
    let way = |from: usize, to: usize| {
        let steps = (to + count - from) % count;
        let length: f64 = (0..steps).map(|step| whole.edges[(from + step) % count].curve.length()).sum();
        (from, steps, length)
    };
    let (forth, back) = (way(a, b), way(b, a));
    let (from, steps, _) = if forth.2 <= back.2 { forth } else { back };
    // The mouth first, so that it is whole in the list.
    whole.edges.rotate_left(from);
    for _ in 1..steps {
        whole = without_corner(&whole, 1)?;
    }
    let dart = DartId::from(name);
    let taken = whole.edges.iter().skip(1).map(|edge| edge.id.as_str());
    let id = free_like(&format!("{name} mouth"), taken);
    let mouth = whole.edges.first_mut()?;
    let (start, end) = (mouth.curve.start(), mouth.curve.end());
    // Pressed down where it lies across, towards the middle where it hangs: without more, down.
    let pressed_toward = if end.y < start.y { mouth.to.clone() } else { mouth.from.clone() };
    let old = std::mem::replace(&mut mouth.id, id.into());
    mouth.role = EdgeRole::DartMouth(dart.clone());
    mouth.allowance = None;
    let new = mouth.id.clone();
    whole.notches.iter_mut().filter(|notch| notch.edge == old).for_each(|notch| notch.edge = new.clone());
    whole.darts.push(Dart { id: dart, apex, pressed_toward });
    // Back to where the outline began, or to the mouth if it began within.
    let left = whole.edges.len();
    whole.edges.rotate_right(from.min(left) % left.max(1));
    renumber(&mut whole);
    Some(whole)
}

/// Counts edges and corners that nobody named anew, in the order of the outline.
fn renumber(piece: &mut Piece) {
    let counted = |name: &str, word: &str| {
        name.strip_prefix(word).is_some_and(|rest| rest.trim_start().bytes().all(|b| b.is_ascii_digit()))
    };
    if !piece.notches.is_empty() {
        return;
    }
    let count = piece.edges.len();
    let pressed: Vec<Option<bool>> = piece
        .darts
        .iter()
        .map(|dart| piece.dart_mouth(&dart.id).map(|mouth| mouth.to == dart.pressed_toward))
        .collect();
    for (index, edge) in piece.edges.iter_mut().enumerate() {
        if counted(edge.id.as_str(), "edge") {
            edge.id = format!("edge {}", index + 1).into();
        }
        edge.from = format!("corner {}", index + 1).into();
        edge.to = format!("corner {}", (index + 1) % count + 1).into();
    }
    let ends: Vec<Option<CornerId>> = piece
        .darts
        .iter()
        .zip(pressed)
        .map(|(dart, to_end)| {
            let mouth = piece.dart_mouth(&dart.id)?;
            Some(if to_end? { mouth.to.clone() } else { mouth.from.clone() })
        })
        .collect();
    for (dart, corner) in piece.darts.iter_mut().zip(ends) {
        if let Some(corner) = corner {
            dart.pressed_toward = corner;
        }
    }
}

/// `word` with the first number that is free.
fn free<'a>(word: &str, taken: impl Iterator<Item = &'a str>) -> String {
    let taken: BTreeSet<&str> = taken.collect();
    let mut number = taken.len() + 1;
    loop {
        let name = format!("{word} {number}");
        if !taken.contains(name.as_str()) {
            return name;
        }
        number += 1;
    }
}

/// A name like another that is free: `side 2` beside `side`, the next number beside `edge 3`.
fn free_like<'a>(name: &str, taken: impl Iterator<Item = &'a str>) -> String {
    let taken: BTreeSet<&str> = taken.collect();
    if !taken.contains(name) {
        return name.to_owned();
    }
    let stem = name.trim_end_matches(|c: char| c.is_ascii_digit()).trim_end();
    let stem = if stem.is_empty() { name } else { stem };
    let mut number = 2;
    loop {
        let next = format!("{stem} {number}");
        if !taken.contains(next.as_str()) {
            return next;
        }
        number += 1;
    }
}
