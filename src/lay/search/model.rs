//! The problem made ready for the search: outlines centred, poses resolved, a depth field for every pair.

use super::field::Field;
use super::no_fit;
use super::polygon::{Outline, is_sane, middle_and_half, units_a_mm, vector};
use super::problem::{Group, Item, Pinned, Pose, Problem, Repeat, SearchError, Steps};
use crate::geometry::{Point, Vec2};

/// Extra room between pieces, in mm: above the rounding of no-fit polygons, so that two pieces side by side over
/// metres stay below the checker's hundredth of a square millimetre.
pub(super) const CLEARANCE_MM: f64 = 5e-5;

/// How deep two pieces on one lattice may touch, in mm: their distances are given, so that touching must count
/// as apart.
const TOUCH_MM: f64 = 4e-6;

/// An outline in one position; half turns and mirror images share it.
#[derive(Debug, Clone)]
pub(super) struct Base {
    pub(super) outline: Outline,
    /// The lattice group, whose members may touch.
    lattice: Option<usize>,
}

/// A pose of a kind: a base under signs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shape {
    pub(super) base: usize,
    pub(super) sign: Vec2,
    /// Where the item's origin lies, seen from the middle of the bounding box.
    pub(super) origin: Vec2,
    /// Half extents of the bounding box.
    pub(super) half: Vec2,
    /// Where the matching point lies, seen from the middle.
    pub(super) reference: Vec2,
    /// The y of the middle, where a fold dictates it.
    pub(super) fixed_y: Option<f64>,
}

/// All copies of an item.
#[derive(Debug, Clone)]
pub(super) struct Kind {
    pub(super) shapes: Vec<Shape>,
    pub(super) repeat: Option<Repeat>,
    pub(super) on_fold: bool,
    /// Where the middle lies for good, in the only pose.
    pub(super) pinned: Option<Point>,
    pub(super) area: f64,
    /// Side of the square of the same area: the length that steps of the search are measured with.
    pub(super) scale: f64,
}

/// The problem made ready.
#[derive(Debug, Clone)]
pub(super) struct Model {
    pub(super) width: f64,
    pub(super) min_x: f64,
    pub(super) bases: Vec<Base>,
    /// One an item, in order, then one a flaw.
    pub(super) kinds: Vec<Kind>,
    /// The kind of every piece: all copies of the first item, and so on.
    pub(super) pieces: Vec<usize>,
    /// How many of the pieces are no flaws.
    pub(super) wanted: usize,
    pub(super) groups: Vec<Group>,
    fields: Vec<Field>,
    table: Vec<u32>,
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

/// Which parts of a group's phase are given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Known {
    pub(super) along: bool,
    pub(super) across: bool,
}

impl Known {
    pub(super) fn all(self) -> bool {
        self.along && self.across
    }
}

const NO_FIELD: u32 = u32::MAX;

impl Model {
    /// Makes a problem ready.
    ///
    /// # Errors
    /// [`SearchError`] when an outline is no polygon, or an item can never lie between the selvedges.
    pub(super) fn new(problem: &Problem) -> Result<Self, SearchError> {
        if !(problem.width > 0.0 && problem.width.is_finite()) {
            return Err(SearchError::Width(problem.width));
        }
        let largest = largest_half(problem);
        let units = units_a_mm(largest);
        let mut model = Self {
            width: problem.width,
            min_x: problem.min_x,
            bases: Vec::new(),
            kinds: Vec::new(),
            pieces: Vec::new(),
            wanted: 0,
            groups: problem.groups.clone(),
            fields: Vec::new(),
            table: Vec::new(),
        };
        for item in &problem.items {
            let kind = model.kind(item, units)?;
            model.pieces.extend(std::iter::repeat_n(model.kinds.len(), item.copies));
            model.kinds.push(kind);
        }
        model.wanted = model.pieces.len();
        if model.wanted == 0 {
            return Err(SearchError::Nothing);
        }
        for (index, flaw) in problem.flaws.iter().enumerate() {
            let item = Item {
                name: format!("flaw {}", index + 1),
                outline: flaw.clone(),
                copies: 1,
                poses: Vec::new(),
                fold_level: None,
                repeat: None,
                pinned: Some(Pinned { pose: Pose::default(), at: Point::ORIGIN }),
            };
            let kind = model.kind(&item, units)?;
            model.pieces.push(model.kinds.len());
            model.kinds.push(kind);
        }
        model.fill_table(problem.gap.max(0.0), units);
        Ok(model)
    }

    fn kind(&mut self, item: &Item, units: f64) -> Result<Kind, SearchError> {
        let wrong = |why: &str| SearchError::Item { item: item.name.clone(), why: why.to_owned() };
        if item.outline.len() < 3 || !item.outline.iter().all(|p| is_sane(*p)) {
            return Err(wrong("its outline needs at least three corners with finite coordinates"));
        }
        if let Some(repeat) = &item.repeat {
            check_repeat(repeat, self.groups.len()).map_err(wrong)?;
        }
        let poses: Vec<Pose> = match &item.pinned {
            Some(pinned) => vec![pinned.pose],
            None if item.poses.is_empty() => return Err(wrong("it has no way in which it may lie")),
            None => item.poses.clone(),
        };
        if item.pinned.is_some() && item.copies > 1 {
            return Err(wrong("only one copy can be pinned to a place"));
        }
        let mut shapes: Vec<Shape> = Vec::new();
        let mut area = 0.0;
        for pose in poses {
            if !pose.turn.is_finite() {
                return Err(wrong("its turn is not a number"));
            }
            let shape = self.shape(item, pose, units).ok_or_else(|| wrong("its outline has no area"))?;
            area = self.bases[shape.base].outline.area;
            shapes.push(shape);
        }
        let pinned = item.pinned.map(|pinned| pinned.at - shapes[0].origin);
        Ok(Kind {
            shapes,
            repeat: item.repeat,
            on_fold: item.fold_level.is_some(),
            pinned,
            area,
            scale: area.sqrt(),
        })
    }

    fn shape(&mut self, item: &Item, pose: Pose, units: f64) -> Option<Shape> {
        let (sin, cos) = pose.sine_cosine();
        // Half turns, and mirror images of what is not askew, are signs on one base.
        let upper = sin > 0.0 || (sin >= 0.0 && cos > 0.0);
        let mut sign = if upper { Vec2::new(1.0, 1.0) } else { Vec2::new(-1.0, -1.0) };
        let mut basic = Pose {
            turn: if upper { pose.turn } else { pose.turn + std::f64::consts::PI },
            mirrored: pose.mirrored,
        };
        let (sin, cos) = basic.sine_cosine();
        if basic.mirrored && (sin.abs() < f64::EPSILON || cos.abs() < f64::EPSILON) {
            basic.mirrored = false;
            // Turned by a quarter, “left for right” becomes “top for bottom”.
            sign = if sin.abs() < f64::EPSILON {
                Vec2::new(sign.x, -sign.y)
            } else {
                Vec2::new(-sign.x, sign.y)
            };
        }
        let points: Vec<Vec2> = item.outline.iter().map(|p| basic.apply(p.to_vec2())).collect();
        let (middle, _) = middle_and_half(&points);
        let centred: Vec<Vec2> = points.iter().map(|p| *p - middle).collect();
        let outline = Outline::new(&centred, units)?;
        let lattice =
            item.repeat.filter(|repeat| matches!(repeat.steps, Steps::Both(_))).map(|repeat| repeat.group);
        let known =
            self.bases.iter().position(|base| base.lattice == lattice && base.outline.nodes == outline.nodes);
        let half = outline.half;
        let base = known.unwrap_or_else(|| {
            self.bases.push(Base { outline, lattice });
            self.bases.len() - 1
        });
        let under = |v: Vec2| Vec2::new(sign.x * v.x, sign.y * v.y);
        let origin = under(-middle);
        let reference =
            item.repeat.map_or(Vec2::ZERO, |repeat| under(basic.apply(repeat.reference.to_vec2()) - middle));
        let fixed_y = item.fold_level.map(|level| {
            // The level is a horizontal line in every legal pose of a fold piece.
            -under(basic.apply(Vec2::new(0.0, level)) - middle).y
        });
        Some(Shape { base, sign, origin, half, reference, fixed_y })
    }

    fn fill_table(&mut self, gap: f64, units: f64) {
        let count = self.bases.len();
        self.table = vec![NO_FIELD; count * count * 4];
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
                        let (slot, a, b, code) = slot_of(shape, against, count);
                        if self.table[slot] != NO_FIELD {
                            continue;
                        }
                        let (base_a, base_b) = (&self.bases[a], &self.bases[b]);
                        let touch = base_a.lattice.is_some() && base_a.lattice == base_b.lattice;
                        let clearance = if touch { gap - TOUCH_MM } else { gap + CLEARANCE_MM };
                        let (x, y) = (if code & 1 == 0 { -1 } else { 1 }, if code & 2 == 0 { -1 } else { 1 });
                        let contours = no_fit::sum(&base_a.outline.nodes, &base_b.outline.signed(x, y));
                        let contours: Vec<Vec<Vec2>> = contours
                            .iter()
                            .map(|contour| contour.iter().map(|n| vector(*n, units)).collect())
                            .collect();
                        #[expect(clippy::cast_possible_truncation, reason = "a few hundred fields")]
                        let index = self.fields.len() as u32;
                        self.table[slot] = index;
                        self.fields.push(Field::new(&contours, clearance));
                    }
                }
            }
        }
    }

    /// Whether a piece lies on the fold, wherever along it.
    pub(super) fn is_on_fold(&self, piece: usize) -> bool {
        let kind = &self.kinds[self.pieces[piece]];
        kind.on_fold && kind.pinned.is_none()
    }

    /// Where a pinned piece has the phase of its group.
    pub(super) fn pinned_phase(&self, group: usize) -> Option<Point> {
        self.kinds.iter().find_map(|kind| {
            let repeat = kind.repeat.as_ref()?;
            (repeat.group == group).then_some(kind.pinned? + kind.shapes[0].reference)
        })
    }

    /// What the cloth, or a pinned piece, leaves open of each group's phase.
    pub(super) fn group_is_known(&self) -> Vec<Known> {
        let groups = self.groups.iter().enumerate();
        groups
            .map(|(index, group)| {
                let pinned = self.pinned_phase(index).is_some();
                Known { along: pinned || group.along.is_some(), across: pinned || group.across.is_some() }
            })
            .collect()
    }

    /// The field for “b seen from a”, a and b being shapes of two different pieces.
    #[inline]
    pub(super) fn pair(&self, a: &Shape, b: &Shape) -> Option<PairField<'_>> {
        let (slot, first, _, _) = slot_of(a, b, self.bases.len());
        let field = self.fields.get(self.table[slot] as usize)?;
        // Seen the other way round everything is turned by a half turn.
        let sign = if a.base == first { a.sign } else { -b.sign };
        Some(PairField { field, sign })
    }
}

/// Where the table holds a pair: its slot, the bases in order, and which signs the two differ by.
#[inline]
fn slot_of(a: &Shape, b: &Shape, count: usize) -> (usize, usize, usize, usize) {
    let code = usize::from(a.sign.x * b.sign.x < 0.0) + 2 * usize::from(a.sign.y * b.sign.y < 0.0);
    let (first, second) = if a.base <= b.base { (a.base, b.base) } else { (b.base, a.base) };
    ((first * count + second) * 4 + code, first, second, code)
}

fn check_repeat(repeat: &Repeat, groups: usize) -> Result<(), &'static str> {
    let sane = |step: f64| step.is_finite() && step > 0.0;
    let steps_are_sane = match repeat.steps {
        Steps::Along(step) | Steps::Across(step) => sane(step),
        Steps::Both([a, b]) => sane(a.cross(b).abs()),
    };
    if repeat.group >= groups {
        Err("its matching group is not among the problem's groups")
    } else if !steps_are_sane || !is_sane(repeat.reference) {
        Err("its repeat has no size; give steps that are not parallel")
    } else {
        Ok(())
    }
}

fn largest_half(problem: &Problem) -> f64 {
    let items = problem.items.iter().map(|item| &item.outline);
    items
        .chain(&problem.flaws)
        .map(|outline| {
            let points: Vec<Vec2> = outline.iter().filter(|p| is_sane(**p)).map(|p| p.to_vec2()).collect();
            let (_, half) = middle_and_half(&points);
            // Turned, the extent may grow to the diagonal.
            half.hypot()
        })
        .filter(|half| half.is_finite())
        .fold(1.0, f64::max)
}
