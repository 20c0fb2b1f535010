//! Words that name a size, and the lines that they stand beside.

use super::super::super::drawing::{Drawing, Words};
use super::layer::{is_size, size_in};
use crate::geometry::{Point, Vec2};
use std::collections::BTreeMap;

/// Furthest that a word stands from the line that it names, in mm.
const BESIDE_MM: f64 = 12.0;

/// Width of a letter as part of its height (of capitals), about, in most faces.
const LETTER: f64 = 0.85;

/// The size that words name by themselves.
pub(super) fn size_of(words: &Words) -> Option<String> {
    let text = words.words.trim();
    if is_size(text) {
        return Some(text.to_owned());
    }
    size_in(text).filter(|size| !size.contains(char::is_whitespace))
}

/// The places from which words look for their line, whichever way they run: both ends and the middle.
fn places(words: &Words) -> [Point; 3] {
    #[expect(clippy::cast_precision_loss, reason = "words have a few letters")]
    let width = words.words.chars().count() as f64 * LETTER * words.height_mm;
    let up = Vec2::new(-words.along.y, words.along.x);
    [0.0, 0.5, 1.0].map(|part| words.at + part * width * words.along + 0.5 * words.height_mm * up)
}

/// Names for `count` things by the size words beside them: `nearest` says which of them is nearest to a place, and
/// how far. A name for each, or nothing.
pub(super) fn names(
    drawing: &Drawing,
    count: usize,
    nearest: impl Fn(Point) -> Option<(usize, f64)>,
) -> Option<Vec<String>> {
    let mut votes: Vec<BTreeMap<String, usize>> = vec![BTreeMap::new(); count];
    for words in drawing.groups.iter().flat_map(|group| &group.words) {
        let Some(size) = size_of(words) else { continue };
        let found = places(words).into_iter().filter_map(&nearest);
        let best = found.min_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, away)| *away <= BESIDE_MM);
        if let Some((thing, _)) = best {
            *votes[thing].entry(size).or_default() += 1;
        }
    }
    let named: Option<Vec<String>> = votes
        .into_iter()
        .map(|votes| votes.into_iter().max_by_key(|(_, count)| *count).map(|(size, _)| size))
        .collect();
    let mut distinct = named.clone()?;
    distinct.sort();
    distinct.dedup();
    named.filter(|names| names.len() == distinct.len())
}

/// The sizes of a line of words that lists exactly `count` of them: `Sizes 36 38 40`.
pub(super) fn listed(drawing: &Drawing, count: usize) -> Option<Vec<String>> {
    let lists = drawing.groups.iter().flat_map(|group| &group.words).filter_map(|words| {
        let parts =
            words.words.split(|c: char| c.is_whitespace() || matches!(c, ',' | '/' | ':' | '–' | '-'));
        let (sizes, others): (Vec<&str>, Vec<&str>) =
            parts.filter(|part| !part.is_empty()).partition(|part| is_size(part));
        let says = |word: &&str| word.eq_ignore_ascii_case("size") || word.eq_ignore_ascii_case("sizes");
        let lists = sizes.len() == count && !others.is_empty() && others.iter().all(says);
        lists.then(|| sizes.into_iter().map(ToOwned::to_owned).collect())
    });
    lists.into_iter().next()
}
