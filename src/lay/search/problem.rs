//! What is to be laid, on what, and under which rules.

use crate::geometry::{Point, Vec2};

/// A set of outlines to be laid on a strip of given width with the least length.
///
/// Axes: x along the cloth from its cut end at 0, y across it from 0 to [`Problem::width`]; the fold, where there
/// is one, is y = 0. All numbers are in mm.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Problem {
    /// Usable width; half the cloth's where it is folded.
    pub width: f64,
    /// Length at hand; a lay that needs more is still given, with [`super::Outcome::short_by`].
    pub length: Option<f64>,
    /// Where the usable cloth begins.
    pub min_x: f64,
    /// What is to be laid.
    pub items: Vec<Item>,
    /// How many groups of [`Repeat`]s there are, and where each is pinned to the cloth's print.
    pub groups: Vec<Group>,
    /// Room to keep between any two pieces.
    pub gap: f64,
    /// Places to stay clear of, as polygons.
    pub flaws: Vec<Vec<Point>>,
}

/// One outline and how often it is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What a message calls it.
    pub name: String,
    /// A simple polygon, in coordinates of its own with the grain along x; the direction of travel is free.
    pub outline: Vec<Point>,
    /// How many.
    pub copies: usize,
    /// The ways in which it may lie.
    pub poses: Vec<Pose>,
    /// Where its fold edge is, in its own coordinates: that level must come to lie on y = 0.
    pub fold_level: Option<f64>,
    /// How it must lie to the print.
    pub repeat: Option<Repeat>,
    /// Where it lies for good; one copy only.
    pub pinned: Option<Pinned>,
    /// Between which levels across the cloth it must lie, where not all of the width is for it: the double part of a
    /// cloth that is folded in part, or the single one.
    pub band: Option<[f64; 2]>,
    /// Whether it may lie on flaws.
    pub over_flaws: bool,
}

/// One way in which an item may lie: first turned over if so asked, then turned.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Pose {
    /// Turn in radians, counter-clockwise.
    pub turn: f64,
    /// Whether it is first mirrored about its own x axis, (x, y) to (x, −y).
    pub mirrored: bool,
}

/// A place that the search must keep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pinned {
    /// How it lies.
    pub pose: Pose,
    /// Where its origin lies.
    pub at: Point,
}

/// A point of an item that must fall on the same place of the print as those of its group.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeat {
    /// Which group, counted from 0 in [`Problem::groups`].
    pub group: usize,
    /// The matching point in the item's own coordinates.
    pub reference: Point,
    /// What repeats.
    pub steps: Steps,
}

/// The steps of a repeat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Steps {
    /// Bars across the cloth: the phase along it counts.
    Along(f64),
    /// Bars along the cloth: the phase across it counts.
    Across(f64),
    /// A lattice; a half-drop is (p, 0), (p/2, q).
    Both([Vec2; 2]),
}

/// A matching group: all its reference points lie at one phase of the repeat, which is the search's to choose where
/// the cloth does not dictate it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Group {
    /// x of some place with the wanted phase.
    pub along: Option<f64>,
    /// y of it: a bar that must lie on the centre.
    pub across: Option<f64>,
}

impl Steps {
    /// The least that two places of one phase differ in along the cloth.
    #[must_use]
    pub fn pitch_along(self) -> Option<f64> {
        match self {
            Self::Along(step) => Some(step),
            Self::Across(_) => None,
            Self::Both(steps) => pitch(steps.map(|step| step.x)),
        }
    }

    /// The least that two places of one phase differ in across the cloth.
    #[must_use]
    pub fn pitch_across(self) -> Option<f64> {
        match self {
            Self::Along(_) => None,
            Self::Across(step) => Some(step),
            Self::Both(steps) => pitch(steps.map(|step| step.y)),
        }
    }
}

/// Whole numbers of steps among which a pitch is looked for.
const MOST_STEPS: i32 = 12;

/// Differences below this are none, in mm.
const SMALLEST_PITCH_MM: f64 = 0.01;

fn pitch([a, b]: [f64; 2]) -> Option<f64> {
    let counts = -MOST_STEPS..=MOST_STEPS;
    let sums = counts.clone().flat_map(|i| counts.clone().map(move |j| (i, j)));
    sums.map(|(i, j)| (f64::from(i) * a + f64::from(j) * b).abs())
        .filter(|sum| *sum > SMALLEST_PITCH_MM)
        .min_by(f64::total_cmp)
}

impl Pose {
    /// A turn without mirroring.
    #[must_use]
    pub fn turned(turn: f64) -> Self {
        Self { turn, mirrored: false }
    }

    /// The image of a vector.
    #[must_use]
    pub fn apply(self, v: Vec2) -> Vec2 {
        let y = if self.mirrored { -v.y } else { v.y };
        let (sin, cos) = self.sine_cosine();
        Vec2::new(cos * v.x - sin * y, sin * v.x + cos * y)
    }

    /// Sine and cosine of the turn, exact at quarter turns.
    pub(super) fn sine_cosine(self) -> (f64, f64) {
        let quarters = self.turn / std::f64::consts::FRAC_PI_2;
        let whole = quarters.round();
        if (quarters - whole).abs() > QUARTER_TURN {
            return self.turn.sin_cos();
        }
        match whole.rem_euclid(4.0) {
            q if q < 0.5 => (0.0, 1.0),
            q if q < 1.5 => (1.0, 0.0),
            q if q < 2.5 => (0.0, -1.0),
            _ => (-1.0, 0.0),
        }
    }
}

/// Share of a quarter turn below which a turn is that quarter turn: rounding of π written with ten digits.
const QUARTER_TURN: f64 = 1e-9;

/// Why a problem can't be searched.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SearchError {
    /// Nothing to lay.
    #[error("there is nothing to lay")]
    Nothing,
    /// The width is no width.
    #[error("a width of {0} mm cannot be laid on; give the usable width of the cloth")]
    Width(f64),
    /// An item whose outline is no polygon.
    #[error("{item}: {why}")]
    Item {
        /// Which.
        item: String,
        /// What is wrong with it, and what to do.
        why: String,
    },
    /// An item that no legal turn brings between the selvedges.
    #[error(
        "{item} needs {needs_mm:.1} mm across the cloth in every way it may lie, and {width_mm:.1} mm are usable{}",
        or_else(.remedies)
    )]
    TooWide {
        /// Which.
        item: String,
        /// Its least extent across the cloth over the ways in which it may lie.
        needs_mm: f64,
        /// Usable width.
        width_mm: f64,
        /// What would help, each with its number.
        remedies: Vec<String>,
    },
    /// An item that finds no place at all.
    #[error("{item}: {why}")]
    NoPlace {
        /// Which.
        item: String,
        /// What keeps it off the cloth.
        why: String,
    },
    /// More different pieces than can be searched, and the first lay at once came to nothing.
    #[error("these are too many different pieces to lay at once; lay some of them, pin them and go on")]
    TooMany,
    /// The checker refused the lay.
    #[error("no lay was found that keeps every rule: {0}")]
    Refused(String),
}

fn or_else(remedies: &[String]) -> String {
    if remedies.is_empty() { String::new() } else { format!(". What would help: {}", remedies.join("; ")) }
}
