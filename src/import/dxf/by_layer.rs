//! A plain drawing whose layers are sizes.
//!
//! Where layers say what their lines are (ASTM D6673), a size is a block. A plain drawing has a layer a size instead,
//! as layers of other drawing programs have; what lies on other layers belongs to every size.

use super::super::drawing::{Drawing, Group};
use super::super::recognise::{SizesBy, readings_of};
use std::collections::BTreeMap;

/// More layers than this are no sizes.
const MOST_LAYERS: usize = 200;

/// The layer that every drawing has, and that is named for nothing.
const PLAIN: &str = "0";

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
