//! A plain drawing whose layers are sizes.
//!
//! Where layers say what their lines are (ASTM D6673), a size is a block. A plain drawing has a layer a size instead,
//! as layers of other drawing programs have; what lies on other layers belongs to every size.
//!
//! Sizes and the layers of the standard share their numbers: 8, 10, 12, 14 are sizes, or inner lines, plaid, something and
//! the sew line. The drawing decides: [`called_for_sizes`].

use super::super::drawing::{Drawing, Group, Part};
use super::super::recognise::{SizesBy, readings_of};
use super::layers::{LayerMap, LayerUse};
use super::sections::{Contents, Entity};
use super::shape::{Shape, shape_of};
use crate::geometry::Rect;
use std::collections::{BTreeMap, BTreeSet};

/// More layers than this are no sizes.
const MOST_LAYERS: usize = 200;

/// The layer that every drawing has, and that is named for nothing.
const PLAIN: &str = "0";

/// Between sizes, numbers rise by at most this, and by at most so many times the smallest step.
const LARGEST_STEP: u32 = 12;
const UNEVEN_STEPS: u32 = 2;

/// A size is at most so many times as large as another.
const LARGER: f64 = 2.0;

/// The layers that are sizes though the table of the standard gives some of them another use: none where a block has its
/// boundary on a layer of outlines, as the standard wants it, or a person said what one of them holds. Otherwise they are
/// sizes when their names are numbers that rise in steps and what is drawn on each is about as large; where one of
/// them is the layer of outlines itself, only if lines are drawn where the standard has points.
pub(super) fn called_for_sizes<'p>(contents: &Contents<'p, '_>, layers: &LayerMap) -> BTreeSet<&'p str> {
    let outline =
        |entity: &Entity<'_, '_>| layers.holds(entity.layer()) == Some(LayerUse::Holds(Part::Outline));
    let mut in_blocks = contents.blocks.values().flat_map(|block| &block.entities);
    if in_blocks.any(|entity| outline(entity) && super::draw::is_line(entity)) {
        return BTreeSet::new();
    }
    let all = contents.blocks.values().flat_map(|block| &block.entities).chain(&contents.entities);
    let mut extents: BTreeMap<u32, (&'p str, Rect)> = BTreeMap::new();
    for entity in all.filter(|entity| super::draw::is_line(entity)) {
        let Some(number) = number_of(entity.layer()) else { continue };
        let Ok(Shape::Line(segments, ..)) = shape_of(entity) else { continue };
        let bounds = segments.iter().map(|segment| segment.bounding_box()).reduce(|a, b| a.union(b));
        let Some(bounds) = bounds else { continue };
        let known = extents.entry(number).or_insert((entity.layer(), bounds));
        known.1 = known.1.union(bounds);
    }
    let numbers: Vec<u32> = extents.keys().copied().collect();
    let steps = || numbers.windows(2).map(|pair| pair[1] - pair[0]);
    let (Some(least), Some(most)) = (steps().min(), steps().max()) else { return BTreeSet::new() };
    let rising = most <= LARGEST_STEP && most <= UNEVEN_STEPS * least;
    let across = || extents.values().map(|(_, bounds)| bounds.width().hypot(bounds.height()));
    let (small, large) = (across().fold(f64::INFINITY, f64::min), across().fold(0.0, f64::max));
    let alike = small > 0.0 && large <= LARGER * small;
    let names: BTreeSet<&'p str> = extents.into_values().map(|(name, _)| name).collect();
    let uses = || names.iter().filter_map(|name| layers.holds(name));
    let told = names.iter().any(|name| layers.is_told(name));
    let outlined = uses().any(|holds| holds == LayerUse::Holds(Part::Outline));
    let of_points = uses().any(|holds| matches!(holds, LayerUse::Turns | LayerUse::Unused));
    if rising && alike && !told && uses().next().is_some() && (!outlined || of_points) {
        names
    } else {
        BTreeSet::new()
    }
}

fn number_of(layer: &str) -> Option<u32> {
    let digits = (1..=3).contains(&layer.len()) && layer.bytes().all(|byte| byte.is_ascii_digit());
    digits.then(|| layer.parse().ok()).flatten().filter(|number| *number > 0)
}

/// The drawing with a group for each layer, where layers are called like sizes; else as it is.
pub(super) fn sizes_apart(mut drawing: Drawing, join_mm: f64) -> Drawing {
    let [sheet] = &mut drawing.groups[..] else { return drawing };
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    for stroke in sheet.strokes.iter().filter(|stroke| stroke.tags != PLAIN) {
        let next = places.len() + 1;
        places.entry(stroke.tags.clone()).or_insert(next);
    }
    if !(2..=MOST_LAYERS).contains(&places.len()) {
        return drawing;
    }
    let mut layers: Vec<(&String, usize)> = places.iter().map(|(name, place)| (name, *place)).collect();
    layers.sort_by_key(|(_, place)| *place);
    let named = layers.into_iter().map(|(name, _)| Group {
        name: Some(name.clone()),
        tags: name.clone(),
        parent: Some(0),
        ..Group::default()
    });
    let mut groups: Vec<Group> = std::iter::once(Group::default()).chain(named).collect();
    // Whether names are those of sizes is told by the names alone.
    let names = Drawing { groups: groups.clone(), ..Drawing::default() };
    let told = readings_of(&names, join_mm, Some(SizesBy::Layer));
    if !told.iter().any(|proposed| proposed.reading.by == SizesBy::Layer) {
        return drawing;
    }
    for stroke in std::mem::take(&mut sheet.strokes) {
        let group = places.get(&stroke.tags).and_then(|place| groups.get_mut(*place));
        group.unwrap_or(sheet).strokes.push(stroke);
    }
    if let Some(first) = groups.first_mut() {
        *first = std::mem::take(sheet);
    }
    drawing.groups = groups;
    drawing
}
