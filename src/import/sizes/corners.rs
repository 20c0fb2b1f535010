//! Which corner of one size is which of another.
//!
//! Both outlines run counter-clockwise, so the corners of one are those of the other in the same order, from some
//! corner on, with some left over on either side: an alignment of two rings. For every rotation the cheapest
//! alignment is found by dynamic programming (Needleman–Wunsch), O(n·m) each, O(n·m²) in all.

use crate::geometry::{Point, Vec2};
use crate::pattern::Piece;

/// Outlines with more corners are not followed from size to size.
pub(super) const MOST_CORNERS: usize = 200;

/// Two corners this far apart, as part of the outline's extent, are as unlike as one that is missing.
const APART: f64 = 0.1;

/// Two corners whose turns differ by this, in radians (30°), are as unlike as one that is missing.
const TURNED: f64 = 0.52;

/// What a corner that only one size has costs.
const MISSING: f64 = 1.0;

/// Corners that all sizes have.
pub(super) struct Kept {
    /// The size whose names count.
    pub(super) reference: usize,
    /// For each size the indices of the edges that begin at a kept corner, in the same order.
    pub(super) by_size: Vec<Vec<usize>>,
    /// 0 to 1.
    pub(super) confidence: f64,
}

struct Corner {
    /// In the outline's bounding box, from 0 to 1 on its longer side.
    at: Vec2,
    turn: f64,
}

fn corners_of(piece: &Piece) -> Vec<Corner> {
    let bounds = piece.bounding_box();
    let extent = bounds.width().max(bounds.height()).max(f64::MIN_POSITIVE);
    let count = piece.edges.len();
    let corner = |index: usize| {
        let (before, after) = (&piece.edges[(index + count - 1) % count], &piece.edges[index]);
        let (t, u) = (before.curve.end_tangent(), after.curve.start_tangent());
        let at: Point = after.curve.start();
        Corner {
            at: Vec2::new((at.x - bounds.x0) / extent, (at.y - bounds.y0) / extent),
            turn: t.cross(u).atan2(t.dot(u)),
        }
    };
    (0..count).map(corner).collect()
}

fn unlike(a: &Corner, b: &Corner) -> f64 {
    let apart = (a.at - b.at).hypot() / APART;
    let turned = (a.turn - b.turn) / TURNED;
    apart * apart + turned * turned
}

/// For each corner of the first ring its like on the second, and the cost of the pair.
fn aligned(first: &[Corner], second: &[Corner]) -> Vec<Option<(usize, f64)>> {
    let (n, m) = (first.len(), second.len());
    let costs: Vec<f64> = first.iter().flat_map(|a| second.iter().map(|b| unlike(a, b))).collect();
    let mut best = (f64::INFINITY, 0);
    let mut table = vec![0.0_f64; (n + 1) * (m + 1)];
    let fill = |turn: usize, table: &mut [f64]| {
        for i in 0..=n {
            for j in 0..=m {
                table[i * (m + 1) + j] = match (i, j) {
                    (0, _) => count(j),
                    (_, 0) => count(i),
                    _ => {
                        let pair = costs[(i - 1) * m + (j - 1 + turn) % m];
                        let both = table[(i - 1) * (m + 1) + j - 1] + pair;
                        let one = table[(i - 1) * (m + 1) + j].min(table[i * (m + 1) + j - 1]);
                        both.min(one + MISSING)
                    }
                };
            }
        }
        table[n * (m + 1) + m]
    };
    for turn in 0..m {
        let cost = fill(turn, &mut table);
        if cost < best.0 {
            best = (cost, turn);
        }
    }
    let turn = best.1;
    fill(turn, &mut table);
    let mut likes = vec![None; n];
    let (mut i, mut j) = (n, m);
    while i > 0 && j > 0 {
        let other = (j - 1 + turn) % m;
        let pair = costs[(i - 1) * m + other];
        let here = table[i * (m + 1) + j];
        if here >= table[(i - 1) * (m + 1) + j - 1] + pair - 1e-12 {
            likes[i - 1] = Some((other, pair));
            (i, j) = (i - 1, j - 1);
        } else if here >= table[(i - 1) * (m + 1) + j] + MISSING - 1e-12 {
            i -= 1;
        } else {
            j -= 1;
        }
    }
    likes
}

#[expect(clippy::cast_precision_loss, reason = "counts of corners are below a thousand")]
fn count(corners: usize) -> f64 {
    corners as f64 * MISSING
}

/// The corners that every size of a piece has; `None` when there are too many to ask.
pub(super) fn in_every_size(by_size: &[Piece]) -> Option<Kept> {
    if by_size.iter().any(|piece| piece.edges.len() > MOST_CORNERS) {
        return None;
    }
    let (reference, _) = by_size.iter().enumerate().min_by_key(|(_, piece)| piece.edges.len())?;
    let corners: Vec<Vec<Corner>> = by_size.iter().map(corners_of).collect();
    let own = &corners[reference];
    let likes: Vec<Vec<Option<(usize, f64)>>> = corners
        .iter()
        .enumerate()
        .map(|(size, other)| {
            if size == reference {
                (0..own.len()).map(|corner| Some((corner, 0.0))).collect()
            } else {
                aligned(own, other)
            }
        })
        .collect();
    let everywhere = |corner: &usize| likes.iter().all(|like| like[*corner].is_some());
    let mut kept: Vec<usize> = (0..own.len()).filter(everywhere).collect();
    let sure = !kept.is_empty();
    if kept.is_empty() {
        // A round piece: one corner, wherever each size begins.
        kept.push(0);
    }
    let like = |size: usize, corner: usize| likes[size][corner].unwrap_or((0, 2.0 * MISSING));
    let cost: f64 = (0..by_size.len())
        .flat_map(|size| kept.iter().map(move |corner| (size, *corner)))
        .map(|(size, corner)| like(size, corner).1)
        .sum();
    let most = corners.iter().map(Vec::len).max().unwrap_or(1);
    let mean = cost / count((by_size.len() - 1).max(1) * kept.len());
    let confidence = if sure { count(kept.len()) / count(most) * (-mean).exp() } else { 0.0 };
    Some(Kept {
        reference,
        by_size: (0..by_size.len())
            .map(|size| kept.iter().map(|corner| like(size, *corner).0).collect())
            .collect(),
        confidence,
    })
}
