//! A coarse lattice leaves few places: all of them side by side, with who excludes whom as bits.

use super::freedom::Freedom;
use super::hazards::APART_MM;
use super::layout::Layout;
use super::model::Model;
use crate::geometry::Point;

/// Most places of all kinds together: a million pairs of bits a megabit, built in some ten milliseconds.
const MOST_SPOTS: usize = 3000;

/// One place of a kind.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot {
    pub(super) kind: usize,
    pub(super) shape: usize,
    pub(super) at: Point,
    /// Where the piece ends along the cloth.
    pub(super) end: f64,
}

/// A set of spots.
pub(super) type Bits = Vec<u64>;

/// All spots up to a length, and their conflicts.
#[derive(Debug, Clone)]
pub(super) struct SpotBoard {
    /// By end, then y.
    pub(super) spots: Vec<Spot>,
    /// How many copies of each kind are to be placed.
    pub(super) wanted: Vec<usize>,
    /// The spots of each kind.
    pub(super) of_kind: Vec<Bits>,
    words: usize,
    conflicts: Vec<u64>,
    pub(super) phases: Vec<Point>,
}

impl SpotBoard {
    /// The board for given phases, with every spot that ends at `length` or before. `None` when some piece may
    /// lie anywhere, or when the spots are too many.
    pub(super) fn new(model: &Model, phases: &[Point], length: f64) -> Option<Self> {
        let mut spots = Vec::new();
        let mut wanted = vec![0; model.kinds.len()];
        for &kind in &model.pieces[..model.wanted] {
            wanted[kind] += usize::from(model.kinds[kind].pinned.is_none());
        }
        let fixed: Vec<usize> = (0..model.pieces.len())
            .filter(|piece| model.kinds[model.pieces[*piece]].pinned.is_some())
            .collect();
        let lying = Layout::new(model);
        for (index, kind) in model.kinds.iter().enumerate().filter(|(index, _)| wanted[*index] > 0) {
            for (shape_index, shape) in kind.shapes.iter().enumerate() {
                let Some(inside) = model.inside(shape, length) else {
                    continue;
                };
                let is_free = |at: &Point| {
                    fixed.iter().all(|piece| {
                        let other = lying.shape(model, *piece);
                        let pair = model.pair(other, shape);
                        pair.is_none_or(|pair| pair.depth(*at - lying.at[*piece]) <= APART_MM)
                    })
                };
                let nodes = Freedom::of(kind, shape, phases).nodes(inside)?;
                spots.extend(nodes.into_iter().filter(is_free).map(|at| Spot {
                    kind: index,
                    shape: shape_index,
                    at,
                    end: at.x + shape.half.x,
                }));
                if spots.len() > MOST_SPOTS {
                    return None;
                }
            }
        }
        spots.sort_by(|a, b| a.end.total_cmp(&b.end).then(a.at.y.total_cmp(&b.at.y)));
        let words = spots.len().div_ceil(64);
        let mut of_kind = vec![vec![0; words]; model.kinds.len()];
        for (index, spot) in spots.iter().enumerate() {
            set(&mut of_kind[spot.kind], index);
        }
        let mut board =
            Self { spots, wanted, of_kind, words, conflicts: Vec::new(), phases: phases.to_vec() };
        board.find_conflicts(model);
        Some(board)
    }

    fn find_conflicts(&mut self, model: &Model) {
        self.conflicts = vec![0; self.words * self.spots.len()];
        for (a, first) in self.spots.iter().enumerate() {
            let shape_a = &model.kinds[first.kind].shapes[first.shape];
            for (b, second) in self.spots.iter().enumerate().skip(a) {
                let shape_b = &model.kinds[second.kind].shapes[second.shape];
                let alone = first.kind == second.kind && self.wanted[first.kind] == 1;
                let off = second.at - first.at;
                // A piece that is alone of its kind has no field with itself, and needs none.
                let collide = a == b
                    || alone
                    || model.pair(shape_a, shape_b).is_some_and(|pair| pair.depth(off) > APART_MM);
                if collide {
                    self.conflicts[a * self.words + b / 64] |= 1 << (b % 64);
                    self.conflicts[b * self.words + a / 64] |= 1 << (a % 64);
                }
            }
        }
    }

    /// The spots that one excludes, itself among them.
    pub(super) fn excluded_by(&self, spot: usize) -> &[u64] {
        &self.conflicts[spot * self.words..(spot + 1) * self.words]
    }

    /// All spots that end at `length` or before.
    pub(super) fn up_to(&self, length: f64) -> Bits {
        let count = self.spots.partition_point(|spot| spot.end <= length);
        let mut bits = vec![0; self.words];
        for (word, bits) in bits.iter_mut().enumerate() {
            *bits = match count.saturating_sub(word * 64) {
                0 => 0,
                n if n >= 64 => u64::MAX,
                n => (1 << n) - 1,
            };
        }
        bits
    }

    /// The spots taken by a layout, in the order of its pieces; `None` when it is not on this board.
    pub(super) fn spots_of(&self, model: &Model, layout: &Layout) -> Option<Vec<usize>> {
        let loose = (0..model.wanted).filter(|piece| layout.kind(model, *piece).pinned.is_none());
        loose
            .map(|piece| {
                self.spots.iter().position(|spot| {
                    spot.kind == model.pieces[piece]
                        && spot.shape == layout.shapes[piece]
                        && (spot.at - layout.at[piece]).hypot() < super::freedom::ROUNDING_MM * 10.0
                })
            })
            .collect()
    }

    /// The layout that takes these spots.
    pub(super) fn layout(&self, model: &Model, taken: &[usize]) -> Layout {
        let mut layout = Layout::new(model);
        layout.phases.clone_from(&self.phases);
        let mut left: Vec<usize> = taken.to_vec();
        for piece in 0..model.wanted {
            let kind = model.pieces[piece];
            if let Some(at) = left.iter().position(|spot| self.spots[*spot].kind == kind) {
                let spot = self.spots[left.swap_remove(at)];
                layout.shapes[piece] = spot.shape;
                layout.at[piece] = spot.at;
            }
        }
        layout
    }
}

/// Puts a spot into a set.
pub(super) fn set(bits: &mut [u64], index: usize) {
    bits[index / 64] |= 1 << (index % 64);
}

/// How many spots two sets share.
pub(super) fn shared(a: &[u64], b: &[u64]) -> u32 {
    a.iter().zip(b).map(|(a, b)| (a & b).count_ones()).sum()
}

/// The members of what two sets share, in order.
pub(super) fn members(a: &[u64], b: &[u64]) -> Vec<usize> {
    let mut found = Vec::new();
    for (word, (a, b)) in a.iter().zip(b).enumerate() {
        let mut bits = a & b;
        while bits != 0 {
            found.push(word * 64 + bits.trailing_zeros() as usize);
            bits &= bits - 1;
        }
    }
    found
}
