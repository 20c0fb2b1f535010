//! By what a drawing tells its sizes apart: by layer, by dash, by colour, by words beside the lines, or as outlines
//! that lie one in the other. Each is a reading with a confidence and the reason in words; a person chooses another.
//! Lines that all sizes share belong to each.

mod layer;
mod legend;
mod look;
mod stack;

pub(in crate::import) use layer::rank_of_letters;
pub(super) use layer::{is_size, size_in, without_size};

use super::super::drawing::{Drawing, Group, Stroke};
use super::chain::LineId;
use super::kinds::GroupKinds;
use crate::geometry::Rect;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::str::FromStr;

/// By what sizes are told apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum SizesBy {
    /// By layers or groups that are named for them.
    Layer,
    /// By the dashes of their lines.
    Dash,
    /// By the colours of their lines.
    Colour,
    /// By words beside their lines.
    Text,
    /// From the innermost outline to the outermost.
    Nesting,
    /// Not at all: the drawing shows one size.
    Nothing,
}

impl SizesBy {
    /// All of them.
    pub const ALL: [Self; 6] =
        [Self::Layer, Self::Dash, Self::Colour, Self::Text, Self::Nesting, Self::Nothing];

    /// Its word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Layer => "layer",
            Self::Dash => "dash",
            Self::Colour => "colour",
            Self::Text => "text",
            Self::Nesting => "nesting",
            Self::Nothing => "nothing",
        }
    }
}

impl FromStr for SizesBy {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        Self::ALL.into_iter().find(|by| by.word() == text).ok_or_else(|| {
            let words = Self::ALL.map(Self::word).join(", ");
            format!("sizes are not told by “{text}”. Say one of: {words}")
        })
    }
}

/// One way to tell the sizes of a drawing apart; a proposal.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reading {
    /// By what.
    pub by: SizesBy,
    /// The sizes that it finds.
    pub sizes: Vec<String>,
    /// From 0, a guess, to 1.
    pub confidence: f64,
    /// Why, in words.
    pub reason: String,
}

/// A reading with what belongs to which size.
pub(in crate::import) struct Proposed {
    pub(in crate::import) reading: Reading,
    plan: Plan,
}

impl Proposed {
    /// How many more lines the size with the most has than that with the least. Among equally sure readings the
    /// even one is right: where notches are drawn without dashes, the size without dashes gets those of all.
    fn uneven(&self) -> usize {
        let Plan::Lines(lines) = &self.plan else { return 0 };
        let count = |place: usize| lines.values().filter(|sizes| sizes.contains(&place)).count();
        let counts = || (0..self.reading.sizes.len()).map(count);
        counts().max().unwrap_or(0) - counts().min().unwrap_or(0)
    }
}

enum Plan {
    /// The size of each group, and the group whose lines its lines may meet.
    Groups { sizes: Vec<Option<String>>, sheets: Vec<usize> },
    /// The sizes (by place in the reading) of each line; others belong to all.
    Lines(BTreeMap<LineId, BTreeSet<usize>>),
}

/// A reading less sure than this is not taken unless somebody chooses it.
const TAKEN: f64 = 0.5;

/// A reading surer than this is taken without looking for others.
const SURE: f64 = 0.9;

/// What the drawing shows of one size.
pub(super) struct View<'a> {
    pub(super) size: Option<String>,
    pub(super) drawing: Cow<'a, Drawing>,
    /// For each group the group whose lines its own may meet.
    pub(super) sheets: Vec<usize>,
    /// For each group the places that its lines have in the whole drawing; none where all of it is shown.
    kept: Vec<Vec<usize>>,
}

impl View<'_> {
    /// A line that it shows, as the whole drawing counts it.
    pub(super) fn in_drawing(&self, (group, index): LineId) -> LineId {
        (group, self.kept.get(group).and_then(|kept| kept.get(index)).copied().unwrap_or(index))
    }

    /// Whether it shows a line of the whole drawing.
    pub(super) fn shows(&self, (group, index): LineId) -> bool {
        self.kept.get(group).is_none_or(|kept| kept.binary_search(&index).is_ok())
    }
}

/// The readings of a drawing, the surest first; only `wanted` when somebody chose.
pub(in crate::import) fn readings_of(
    drawing: &Drawing,
    join_mm: f64,
    wanted: Option<SizesBy>,
) -> Vec<Proposed> {
    let asked = |by: SizesBy| wanted.is_none_or(|wanted| wanted == by);
    let mut found: Vec<Proposed> = Vec::new();
    if asked(SizesBy::Layer) {
        found.extend(layer::reading(drawing));
    }
    if found.first().is_some_and(|proposed| proposed.reading.confidence >= SURE) {
        return found;
    }
    let kinds = GroupKinds::of(drawing);
    let lines = outline_lines(drawing, &kinds);
    for by in [SizesBy::Dash, SizesBy::Colour] {
        if asked(by) {
            found.extend(look::reading(drawing, &lines, by, join_mm, wanted.is_some()));
        }
    }
    if asked(SizesBy::Text) || asked(SizesBy::Nesting) {
        found.extend(
            stack::readings(drawing, &lines, join_mm, wanted.is_some())
                .into_iter()
                .filter(|one| asked(one.reading.by)),
        );
    }
    found.sort_by(|a, b| {
        let surer = b.reading.confidence.total_cmp(&a.reading.confidence);
        surer.then_with(|| a.uneven().cmp(&b.uneven()))
    });
    found
}

/// Which of the readings is taken: the one that somebody chose, else the surest if it is sure enough.
pub(in crate::import) fn taken(readings: &[Proposed], wanted: Option<SizesBy>) -> Option<&Proposed> {
    let enough = |one: &&Proposed| wanted.is_some() || one.reading.confidence >= TAKEN;
    readings.first().filter(enough).filter(|_| wanted != Some(SizesBy::Nothing))
}

/// The lines that may be part of an outline.
fn outline_lines<'a>(drawing: &'a Drawing, kinds: &GroupKinds) -> Vec<(LineId, &'a Stroke)> {
    let groups = drawing.groups.iter().enumerate();
    groups
        .flat_map(|(at, group)| {
            group.strokes.iter().enumerate().map(move |(index, stroke)| ((at, index), stroke))
        })
        .filter(|((at, _), stroke)| kinds.may_be_outline(*at, stroke))
        .collect()
}

/// How sure a reading is: by how many sizes it finds, for what share of `pieces` it finds all of them, and whether
/// words name them.
fn confidence(sizes: usize, full: f64, pieces: usize, named: bool) -> f64 {
    let many = match sizes {
        0..=2 => 0.1,
        3 => 0.25,
        _ => 0.35,
    };
    // Two lines on one piece may be anything.
    let alone = match (pieces, sizes) {
        (0 | 1, 0..=2) => -0.1,
        (0 | 1, _) => 0.0,
        _ => 0.1,
    };
    0.25 + 0.15 * full + many + alone + if named { 0.15 } else { 0.0 }
}

/// Shared part of the union of two boxes.
fn overlap(one: Rect, two: Rect) -> f64 {
    let shared = one.intersect(two);
    let shared = shared.width().max(0.0) * shared.height().max(0.0);
    shared / (one.area() + two.area() - shared).max(f64::MIN_POSITIVE)
}

/// What of the drawing belongs to each size; the whole drawing without a reading. `set` are lines whose size a person
/// gave.
pub(super) fn views_of<'a>(
    drawing: &'a Drawing,
    proposed: Option<&Proposed>,
    set: &[(LineId, String)],
) -> Vec<View<'a>> {
    let own: Vec<usize> = (0..drawing.groups.len()).collect();
    let Some(Proposed { reading, plan }) = proposed else {
        let drawing = Cow::Borrowed(drawing);
        return vec![View { size: None, drawing, sheets: own, kept: Vec::new() }];
    };
    let set: BTreeMap<LineId, &String> = set.iter().map(|(line, size)| (*line, size)).collect();
    let mut sizes: Vec<&String> = reading.sizes.iter().collect();
    sizes.extend(set.values().filter(|size| !reading.sizes.contains(size)));
    sizes.dedup();
    // Each line is asked for in every size: by its place, not by a search.
    let sizes_of: Vec<Vec<Option<&BTreeSet<usize>>>> = match plan {
        Plan::Groups { .. } => Vec::new(),
        Plan::Lines(of_lines) => {
            let mut all: Vec<_> =
                drawing.groups.iter().map(|group| vec![None; group.strokes.len()]).collect();
            for (&(group, index), sizes) in of_lines {
                if let Some(of_line) = all.get_mut(group).and_then(|lines| lines.get_mut(index)) {
                    *of_line = Some(sizes);
                }
            }
            all
        }
    };
    let view = |place: usize, size: &String| {
        let mut kept: Vec<Vec<usize>> = Vec::new();
        let groups = drawing.groups.iter().enumerate().map(|(at, group)| {
            let other = match plan {
                Plan::Groups { sizes, .. } => sizes[at].as_ref().is_some_and(|own| own != size),
                Plan::Lines(_) => false,
            };
            let belongs = |index: &usize| match (set.get(&(at, *index)), plan) {
                (Some(given), _) => *given == size,
                (None, Plan::Groups { .. }) => !other,
                (None, Plan::Lines(_)) => sizes_of[at][*index].is_none_or(|sizes| sizes.contains(&place)),
            };
            let own: Vec<usize> = (0..group.strokes.len()).filter(belongs).collect();
            let strokes = own.iter().map(|index| group.strokes[*index].clone()).collect();
            kept.push(own);
            if other {
                Group { parent: group.parent, strokes, ..Group::default() }
            } else {
                Group { strokes, ..group.without_strokes() }
            }
        });
        let groups = groups.collect();
        let sheets = match plan {
            Plan::Groups { sheets, .. } => sheets.clone(),
            Plan::Lines(_) => own.clone(),
        };
        let seen = Drawing { title: drawing.title.clone(), page: drawing.page, groups, ..Drawing::default() };
        View { size: Some(size.clone()), drawing: Cow::Owned(seen), sheets, kept }
    };
    sizes.into_iter().enumerate().map(|(place, size)| view(place, size)).collect()
}
