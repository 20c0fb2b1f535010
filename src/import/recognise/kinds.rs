//! What the names of lines and groups say that they are.

use super::super::drawing::{Arrows, Drawing, Part, Stroke};
use super::chain::LineId;

/// Largest notch or drill hole drawn as a closed line, across, in mm.
const LARGEST_MARK_MM: f64 = 60.0;

/// Words in names that say what a line is.
const KINDS: [(&str, Part); 4] =
    [("grain", Part::Grain), ("notch", Part::Notch), ("drill", Part::Drill), ("fold", Part::Fold)];

fn kind_in(tags: &str) -> Option<Part> {
    let tags = tags.to_lowercase();
    let mut said = KINDS.iter().filter(|(word, _)| tags.contains(word));
    match (said.next(), said.next()) {
        (Some((_, kind)), None) => Some(*kind),
        _ => None,
    }
}

/// What the name of each group says that its lines are: its own name when it begins so, else that of the group
/// around it. (A piece called “back on fold” makes no folds of its lines.)
pub(super) struct GroupKinds(Vec<Option<Part>>);

impl GroupKinds {
    pub(super) fn of(drawing: &Drawing) -> Self {
        let mut kinds: Vec<Option<Part>> = Vec::new();
        for group in &drawing.groups {
            let tags = group.tags.to_lowercase();
            let own = KINDS.iter().find(|(word, _)| tags.starts_with(word)).map(|(_, kind)| *kind);
            // Parents stand before their children.
            kinds.push(own.or_else(|| group.parent.and_then(|parent| kinds[parent])));
        }
        Self(kinds)
    }

    /// The kind of a stroke by its own name, else by its group's.
    pub(super) fn of_stroke(&self, group: usize, stroke: &Stroke) -> Option<Part> {
        stroke.part.or_else(|| kind_in(&stroke.tags)).or(self.0[group])
    }

    /// Whether a stroke is called a grainline.
    pub(super) fn is_grain(&self, group: usize, stroke: &Stroke) -> bool {
        self.of_stroke(group, stroke) == Some(Part::Grain)
    }

    /// The strokes of a drawing that nothing names.
    pub(super) fn unnamed<'a>(&self, drawing: &'a Drawing) -> Vec<(LineId, &'a Stroke)> {
        let groups = drawing.groups.iter().enumerate();
        let all = groups.flat_map(|(at, group)| {
            group.strokes.iter().enumerate().map(move |(index, stroke)| ((at, index), stroke))
        });
        all.filter(|((at, _), stroke)| self.of_stroke(*at, stroke).is_none()).collect()
    }

    /// Whether a stroke may be part of an outline: not when its name makes it a mark. A fold is an edge, and a
    /// closed line larger than any notch is a piece that is called so.
    pub(super) fn may_be_outline(&self, group: usize, stroke: &Stroke) -> bool {
        if stroke.arrows != Arrows::default() {
            return false;
        }
        match self.of_stroke(group, stroke) {
            None | Some(Part::Fold | Part::Outline) => true,
            Some(Part::Notch | Part::Drill) if stroke.part.is_some() => false,
            Some(Part::Notch | Part::Drill) => {
                let bounds = stroke.curve.bounding_box();
                stroke.closed && bounds.width().hypot(bounds.height()) > LARGEST_MARK_MM
            }
            Some(_) => false,
        }
    }
}
