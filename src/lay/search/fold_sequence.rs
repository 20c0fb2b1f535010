//! Pieces on the fold can't pass each other: their order along the cloth is the whole problem.
//!
//! The fold edges of two neighbours don't overlap, so that one comes first, and the least distance of the two
//! follows from their no-fit polygon at the level where both lie. A lay is at least as long as the shortest path
//! through all of them; Held and Karp's recursion finds it ("A dynamic programming approach to sequencing
//! problems", J. SIAM 10, 1962) in time 2ⁿ·n².

use super::model::{Model, Shape};
use crate::geometry::Vec2;

/// Most pieces for which the shortest order is computed: 2¹⁵ sets.
const MOST: usize = 15;

/// Two corners closer than this to the fold lie on it, in mm.
const ON_FOLD_MM: f64 = 0.01;

/// The shortest order of the pieces on the fold.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct FoldSequence {
    /// Piece and shape, along the cloth.
    pub(super) order: Vec<(usize, usize)>,
    /// Where the last one ends.
    pub(super) length: f64,
}

impl FoldSequence {
    /// The shortest order, where there are two or more pieces on the fold and not too many.
    pub(super) fn shortest(model: &Model) -> Option<Self> {
        let pieces: Vec<usize> = (0..model.wanted)
            .filter(|piece| {
                let kind = &model.kinds[model.pieces[*piece]];
                kind.on_fold && kind.pinned.is_none()
            })
            .collect();
        if pieces.len() < 2 || pieces.len() > MOST {
            return None;
        }
        // A state is a piece in a shape that fits.
        let mut states: Vec<(usize, usize)> = Vec::new();
        for (index, piece) in pieces.iter().enumerate() {
            let shapes = model.kinds[model.pieces[*piece]].shapes.iter().enumerate();
            let fitting = shapes.filter(|(_, shape)| model.inside(shape, f64::MAX).is_some());
            states.extend(fitting.map(|(shape, _)| (index, shape)));
        }
        let shape_of = |state: (usize, usize)| &model.kinds[model.pieces[pieces[state.0]]].shapes[state.1];
        let count = states.len();
        let mut apart = vec![f64::INFINITY; count * count];
        for (a, first) in states.iter().enumerate() {
            for (b, second) in states.iter().enumerate() {
                if first.0 != second.0 {
                    apart[a * count + b] = least_distance(model, shape_of(*first), shape_of(*second));
                }
            }
        }
        let half: Vec<f64> = states.iter().map(|state| shape_of(*state).half.x).collect();
        let path = shortest_path(&pieces_alike(model, &pieces), &states, &apart, &half)?;
        Some(Self {
            length: model.min_x + path.1,
            order: path.0.into_iter().map(|state| (pieces[states[state].0], states[state].1)).collect(),
        })
    }
}

/// For each piece the one before it of the same kind: copies are laid in their own order.
fn pieces_alike(model: &Model, pieces: &[usize]) -> Vec<Option<usize>> {
    (0..pieces.len())
        .map(|index| {
            let before = index.checked_sub(1)?;
            (model.pieces[pieces[before]] == model.pieces[pieces[index]]).then_some(before)
        })
        .collect()
}

/// Held and Karp: states of the path and its length, from the first piece's left to the last one's right.
fn shortest_path(
    alike: &[Option<usize>],
    states: &[(usize, usize)],
    apart: &[f64],
    half: &[f64],
) -> Option<(Vec<usize>, f64)> {
    let (count, sets) = (states.len(), 1_usize << alike.len());
    let mut least = vec![f64::INFINITY; sets * count];
    let mut came_from = vec![u8::MAX; sets * count];
    let is_next = |set: usize, piece: usize| {
        set & (1 << piece) == 0 && alike[piece].is_none_or(|before| set & (1 << before) != 0)
    };
    for (state, (piece, _)) in states.iter().enumerate() {
        if is_next(0, *piece) {
            least[(1 << piece) * count + state] = half[state];
        }
    }
    for set in 1..sets {
        for last in 0..count {
            let so_far = least[set * count + last];
            if !so_far.is_finite() {
                continue;
            }
            for (state, (piece, _)) in states.iter().enumerate() {
                if !is_next(set, *piece) {
                    continue;
                }
                let (with, slot) = (so_far + apart[last * count + state], (set | 1 << piece) * count + state);
                if with < least[slot] {
                    least[slot] = with;
                    came_from[slot] = u8::try_from(last).unwrap_or(u8::MAX);
                }
            }
        }
    }
    let full = sets - 1;
    let end = |state: usize| least[full * count + state] + half[state];
    let last = (0..count).min_by(|a, b| end(*a).total_cmp(&end(*b)))?;
    let length = end(last);
    let (mut path, mut set, mut at) = (vec![last], full, last);
    while let Some(&from) = came_from.get(set * count + at).filter(|from| **from != u8::MAX) {
        set &= !(1 << states[at].0);
        at = usize::from(from);
        path.push(at);
    }
    path.reverse();
    length.is_finite().then_some((path, length))
}

/// How far the middle of b lies beyond that of a at least, where b's fold edge comes after a's.
fn least_distance(model: &Model, a: &Shape, b: &Shape) -> f64 {
    let (Some(pair), Some(y_a), Some(y_b)) = (model.pair(a, b), a.fixed_y, b.fixed_y) else {
        return 0.0;
    };
    let mut stretches = Vec::new();
    pair.field.overlaps_at(pair.sign.y * (y_b - y_a), &mut stretches);
    let ((a0, a1), (b0, b1)) = (fold_edge(model, a), fold_edge(model, b));
    // With the middles this far apart, the middles of the fold edges coincide.
    let astride = (a0 + a1 - b0 - b1) / 2.0;
    let seen = stretches.into_iter().map(|(x, y)| {
        let (x, y) = (pair.sign.x * x, pair.sign.x * y);
        (x.min(y), x.max(y))
    });
    let blocked = seen.into_iter().find(|(start, end)| *start <= astride && astride <= *end);
    let beyond = blocked.map_or(astride, |(_, end)| end);
    beyond - pair.field.clearance().clamp(0.0, super::fields::CLEARANCE_MM)
}

/// Where the fold edge runs, seen from the middle.
fn fold_edge(model: &Model, shape: &Shape) -> (f64, f64) {
    let outline = &model.bases[shape.base].outline;
    let level = -shape.fixed_y.unwrap_or_default();
    let on_fold = outline
        .points
        .iter()
        .map(|p| Vec2::new(shape.sign.x * p.x, shape.sign.y * p.y))
        .filter(|p| (p.y - level).abs() <= ON_FOLD_MM);
    let (low, high) = on_fold.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), p| (a.min(p.x), b.max(p.x)));
    if low <= high { (low, high) } else { (0.0, 0.0) }
}
