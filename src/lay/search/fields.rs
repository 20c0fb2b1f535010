//! A depth field for every pair of shapes that can meet.
//!
//! Their number grows with the square of the different pieces, and each takes about a millisecond and 50 kB: they are
//! listed first, and made on all threads.

use super::field::Field;
use super::model::{Model, Shape};
use super::no_fit;
use super::polygon::vector;
use crate::geometry::Vec2;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Extra room between pieces, in mm: above the rounding of no-fit polygons, so that two pieces side by side over
/// metres stay below the checker's hundredth of a square millimetre.
pub(super) const CLEARANCE_MM: f64 = 5e-5;

/// How deep two pieces on one lattice may touch, in mm: their distances are given, so that touching must count
/// as apart.
const TOUCH_MM: f64 = 4e-6;

/// A depth field for every pair of shapes that can meet, and where to find it.
#[derive(Debug, Clone)]
pub(super) struct Fields {
    fields: Vec<Field>,
    table: Vec<u32>,
}

/// A field that is wanted: two bases, and the signs that the second has seen from the first.
#[derive(Debug, Clone, Copy)]
struct Wanted {
    a: usize,
    b: usize,
    code: usize,
}

/// The fields that a problem asks for, listed before any is made.
#[derive(Debug, Clone)]
pub(super) struct FieldList {
    wanted: Vec<Wanted>,
    table: Vec<u32>,
}

impl FieldList {
    /// How many fields are to be made.
    pub(super) fn len(&self) -> usize {
        self.wanted.len()
    }
}

/// A field as one ordered pair of shapes sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct PairField<'a> {
    pub(super) field: &'a Field,
    /// Signs that bring “the second seen from the first” into the field's coordinates.
    pub(super) sign: Vec2,
}

impl PairField<'_> {
    #[inline]
    pub(super) fn depth(&self, v: Vec2) -> f64 {
        self.field.depth(Vec2::new(self.sign.x * v.x, self.sign.y * v.y))
    }
}

const NO_FIELD: u32 = u32::MAX;

/// With more bases than this their pairs are not even listed: more than twenty thousand.
const MOST_BASES: usize = 200;

impl Model {
    /// Which pairs of shapes can meet. `None` when they are more than `most`.
    pub(super) fn list_fields(&self, most: usize) -> Option<FieldList> {
        let count = self.bases.len();
        if count > MOST_BASES {
            return None;
        }
        let mut list = FieldList { wanted: Vec::new(), table: vec![NO_FIELD; count * count * 4] };
        for (first, &kind) in self.pieces.iter().enumerate() {
            // One piece a kind stands for all; its own copies are a pair of their own.
            if first > 0 && self.pieces[first - 1] == kind {
                continue;
            }
            for (second, &other) in self.pieces.iter().enumerate().skip(first + 1) {
                if second > first + 1 && self.pieces[second - 1] == other {
                    continue;
                }
                let (kind, other) = (&self.kinds[kind], &self.kinds[other]);
                if kind.pinned.is_some() && other.pinned.is_some() {
                    continue;
                }
                for shape in &kind.shapes {
                    for against in &other.shapes {
                        if self.bases[shape.base].passes(&self.bases[against.base]) {
                            continue;
                        }
                        let (slot, a, b, code) = slot_of(shape, against, count);
                        if list.table[slot] == NO_FIELD {
                            list.table[slot] = as_u32(list.wanted.len());
                            list.wanted.push(Wanted { a, b, code });
                        }
                    }
                }
            }
            if list.wanted.len() > most {
                return None;
            }
        }
        Some(list)
    }

    /// Makes the fields on so many threads; false when `go_on` ended it before, and the model still has none.
    pub(super) fn make_fields(
        &self,
        list: FieldList,
        threads: usize,
        go_on: &(dyn Fn() -> bool + Sync),
    ) -> bool {
        let slots: Vec<OnceLock<Field>> = list.wanted.iter().map(|_| OnceLock::new()).collect();
        let next = AtomicUsize::new(0);
        let work = || {
            while go_on() {
                let index = next.fetch_add(1, Ordering::Relaxed);
                let (Some(wanted), Some(slot)) = (list.wanted.get(index), slots.get(index)) else { return };
                slot.get_or_init(|| self.field(*wanted));
            }
        };
        std::thread::scope(|scope| {
            for _ in 1..threads.clamp(1, list.wanted.len().div_ceil(FIELDS_A_THREAD).max(1)) {
                scope.spawn(work);
            }
            work();
        });
        let made: Option<Vec<Field>> = slots.into_iter().map(OnceLock::into_inner).collect();
        made.is_some_and(|fields| self.fields.set(Fields { fields, table: list.table }).is_ok())
    }

    fn field(&self, Wanted { a, b, code }: Wanted) -> Field {
        let (base_a, base_b) = (&self.bases[a], &self.bases[b]);
        let touch = base_a.lattice.is_some() && base_a.lattice == base_b.lattice;
        let clearance = if touch { self.gap - TOUCH_MM } else { self.gap + CLEARANCE_MM };
        let (x, y) = (if code & 1 == 0 { -1 } else { 1 }, if code & 2 == 0 { -1 } else { 1 });
        let contours = no_fit::sum(&base_a.outline.nodes, &base_b.outline.signed(x, y));
        let contours: Vec<Vec<Vec2>> =
            contours.iter().map(|contour| contour.iter().map(|n| vector(*n, self.units)).collect()).collect();
        Field::new(&contours, clearance)
    }

    /// The field for “b seen from a”, a and b being shapes of two different pieces.
    #[inline]
    pub(super) fn pair(&self, a: &Shape, b: &Shape) -> Option<PairField<'_>> {
        let (slot, first, _, _) = slot_of(a, b, self.bases.len());
        let Fields { fields, table } = self.fields.get()?;
        let field = fields.get(table[slot] as usize)?;
        // Seen the other way round everything is turned by a half turn.
        let sign = if a.base == first { a.sign } else { -b.sign };
        Some(PairField { field, sign })
    }
}

/// A thread is worth starting for so many fields, some ten milliseconds.
const FIELDS_A_THREAD: usize = 16;

#[expect(clippy::cast_possible_truncation, reason = "a few thousand fields")]
fn as_u32(index: usize) -> u32 {
    index as u32
}

/// Where the table holds a pair: its slot, the bases in order, and which signs the two differ by.
#[inline]
fn slot_of(a: &Shape, b: &Shape, count: usize) -> (usize, usize, usize, usize) {
    let code = usize::from(a.sign.x * b.sign.x < 0.0) + 2 * usize::from(a.sign.y * b.sign.y < 0.0);
    let (first, second) = if a.base <= b.base { (a.base, b.base) } else { (b.base, a.base) };
    ((first * count + second) * 4 + code, first, second, code)
}
