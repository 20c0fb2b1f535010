//! The problem made ready for the search: outlines centred, poses resolved.

use super::fields::Fields;
use super::polygon::{Outline, is_sane, middle_and_half, units_a_mm};
use super::problem::{Group, Item, Pinned, Pose, Problem, Repeat, SearchError, Steps};
use crate::geometry::{Point, Vec2};
use std::sync::OnceLock;

/// An outline in one position; half turns and mirror images share it.
#[derive(Debug, Clone)]
pub(super) struct Base {
    pub(super) outline: Outline,
    /// The lattice group, whose members may touch.
    pub(super) lattice: Option<usize>,
    /// Whether it is a flaw, and whether it may lie on one.
    pub(super) flaw: bool,
    pub(super) over_flaws: bool,
}

impl Base {
    /// Whether one of two may lie on the other: a flaw, and what it is let pass on.
    pub(super) fn passes(&self, other: &Self) -> bool {
        (self.flaw && other.over_flaws) || (self.over_flaws && other.flaw)
    }
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
    /// Between which levels it must lie.
    pub(super) band: Option<[f64; 2]>,
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
    /// Room to keep between any two pieces, in mm.
    pub(super) gap: f64,
    /// Units of the grid a millimetre.
    pub(super) units: f64,
    pub(super) fields: OnceLock<Fields>,
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

impl Model {
    /// Makes a problem ready, but for its fields: [`Model::list_fields`] and [`Model::make_fields`].
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
            gap: problem.gap.max(0.0),
            units,
            fields: OnceLock::new(),
        };
        for item in &problem.items {
            let kind = model.kind(item, units, false)?;
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
                band: None,
                over_flaws: false,
            };
            let kind = model.kind(&item, units, true)?;
            model.pieces.push(model.kinds.len());
            model.kinds.push(kind);
        }
        Ok(model)
    }

    fn kind(&mut self, item: &Item, units: f64, flaw: bool) -> Result<Kind, SearchError> {
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
            let shape =
                self.shape(item, pose, (units, flaw)).ok_or_else(|| wrong("its outline has no area"))?;
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

    fn shape(&mut self, item: &Item, pose: Pose, (units, flaw): (f64, bool)) -> Option<Shape> {
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
        let over_flaws = item.over_flaws;
        let known = self.bases.iter().position(|base| {
            let alike = (base.lattice, base.flaw, base.over_flaws) == (lattice, flaw, over_flaws);
            alike && base.outline.nodes == outline.nodes
        });
        let half = outline.half;
        let base = known.unwrap_or_else(|| {
            self.bases.push(Base { outline, lattice, flaw, over_flaws });
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
        Some(Shape { base, sign, origin, half, reference, fixed_y, band: item.band })
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
