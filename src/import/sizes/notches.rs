//! Which notch of one size is which of another: by name, else by order along the edge.

use crate::pattern::{Dart, Edge, Notch, NotchId, Piece};
use std::collections::BTreeMap;

/// Notches of two sizes further apart than this part of their edge are two notches.
const ALIKE: f64 = 0.15;

/// The piece with other edges that begin at some of its corners, its notches on them.
pub(super) fn moved(piece: &Piece, corners: &[usize], edges: Vec<Edge>) -> Piece {
    let count = piece.edges.len();
    let place = |notch: &Notch| {
        let old = piece.edge_index(&notch.edge)?;
        let along = notch.distance_from_start(&piece.edges[old]);
        // The kept corner at or before the old edge, and the edges between.
        let back = |index: &usize| (old + count - corners[*index]) % count;
        let new = (0..corners.len()).min_by_key(back)?;
        let before = (0..back(&new)).map(|step| piece.edges[(corners[new] + step) % count].curve.length());
        Some((new, before.sum::<f64>() + along))
    };
    let on = |notch: &Notch| {
        let (index, along) = place(notch)?;
        let edge = edges.get(index)?;
        Some(Notch { edge: edge.id.clone(), corner: edge.from.clone(), distance: along, ..notch.clone() })
    };
    let notches = piece.notches.iter().filter_map(on).collect();
    // Corners are called anew: a dart stays pressed towards the same end of its mouth.
    let darts = piece.darts.iter().filter_map(|dart| {
        let old = piece.dart_mouth(&dart.id)?;
        let index = piece.edge_index(&old.id)?;
        let new = edges.get(corners.iter().position(|corner| *corner == index)?)?;
        let end = if dart.pressed_toward == old.to { &new.to } else { &new.from };
        Some(Dart { pressed_toward: end.clone(), ..dart.clone() })
    });
    Piece { notches, darts: darts.collect(), edges: edges.clone(), ..piece.clone() }
}

/// Keeps the notches that every size has, called alike and measured from the same corner. Returns how many were
/// left out.
pub(super) fn matched(same: &mut [Piece], reference: usize) -> usize {
    let all: Vec<Vec<Placed>> = same.iter().map(placed).collect();
    let mut kept: Vec<Vec<Notch>> = vec![Vec::new(); same.len()];
    let most = all.iter().map(Vec::len).max().unwrap_or(0);
    let named = all.iter().all(|notches| {
        let ids = |notches: &[Placed]| -> BTreeMap<NotchId, usize> {
            notches.iter().map(|one| (one.notch.id.clone(), one.edge)).collect()
        };
        ids(notches) == ids(&all[reference]) && notches.len() == all[reference].len()
    });
    for (index, one) in all[reference].iter().enumerate() {
        let likes: Option<Vec<&Placed>> = all
            .iter()
            .map(|notches| {
                if named {
                    return notches.iter().find(|other| other.notch.id == one.notch.id);
                }
                let rank = |list: &[Placed]| list.iter().filter(|other| other.edge == one.edge).count();
                if rank(notches) == rank(&all[reference]) {
                    let before =
                        all[reference][..index].iter().filter(|other| other.edge == one.edge).count();
                    return notches.iter().filter(|other| other.edge == one.edge).nth(before);
                }
                let near = notches.iter().filter(|other| other.edge == one.edge && other.off(one) <= ALIKE);
                near.min_by(|a, b| a.off(one).total_cmp(&b.off(one)))
            })
            .collect();
        let Some(likes) = likes else { continue };
        let from_start = one.part <= 0.5;
        for (size, like) in likes.into_iter().enumerate() {
            let edge = &same[size].edges[like.edge];
            let along = like.part * edge.curve.length();
            kept[size].push(Notch {
                id: one.notch.id.clone(),
                edge: edge.id.clone(),
                corner: if from_start { edge.from.clone() } else { edge.to.clone() },
                distance: if from_start { along } else { edge.curve.length() - along },
                kind: one.notch.kind,
            });
        }
    }
    let lost = most - kept[reference].len();
    for (piece, notches) in same.iter_mut().zip(kept) {
        piece.notches = notches;
    }
    lost
}

/// A notch by the index of its edge and the part of the edge's length before it.
struct Placed {
    notch: Notch,
    edge: usize,
    part: f64,
}

impl Placed {
    fn off(&self, other: &Self) -> f64 {
        (self.part - other.part).abs()
    }
}

/// The notches of a piece in the order of travel.
fn placed(piece: &Piece) -> Vec<Placed> {
    let place = |notch: &Notch| {
        let edge = piece.edge_index(&notch.edge)?;
        let curve = &piece.edges[edge].curve;
        Some(Placed {
            notch: notch.clone(),
            edge,
            part: notch.distance_from_start(&piece.edges[edge]) / curve.length().max(f64::MIN_POSITIVE),
        })
    };
    let mut placed: Vec<Placed> = piece.notches.iter().filter_map(place).collect();
    placed
        .sort_by(|a, b| (a.edge, a.part).partial_cmp(&(b.edge, b.part)).unwrap_or(std::cmp::Ordering::Equal));
    placed
}
