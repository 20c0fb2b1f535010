//! Sizes by layer: groups of the drawing that are named for a size.
//!
//! A group may tell its size (a block of a DXF file), or its name tells: `size 38`, or a bare `38` or `M` among
//! others of the kind. What lies in no such group belongs to every size.

use super::super::super::drawing::Drawing;
use super::{Plan, Proposed, Reading, SizesBy};
use std::collections::{BTreeMap, BTreeSet};

/// Largest number that a size has.
const LARGEST_NUMBER: u32 = 199;

/// The sizes that groups are named for.
pub(super) fn reading(drawing: &Drawing) -> Option<Proposed> {
    let groups = sizes_of_groups(drawing);
    let told: BTreeSet<&String> = groups.iter().flatten().collect();
    if told.is_empty() {
        return None;
    }
    let by_file = drawing.groups.iter().any(|group| group.size.is_some());
    let in_words = drawing.groups.iter().any(|group| group.name.as_deref().and_then(size_in).is_some());
    let (confidence, reason) = if by_file {
        (0.98, "the file tells the size of its parts")
    } else if in_words {
        (0.95, "layers or groups are called “size …”")
    } else {
        (0.8, "layers or groups beside each other are called like sizes")
    };
    let mut sizes: Vec<String> = told.into_iter().cloned().collect();
    // Stable, so that what is neither number nor letters stays in the order of its letters.
    sizes.sort_by_key(|size| {
        let number = size.parse::<u32>().ok();
        (number, rank_of_letters(size))
    });
    let reading = Reading { by: SizesBy::Layer, sizes, confidence, reason: reason.to_owned() };
    let sheets = sheets_of(drawing, &groups);
    Some(Proposed { reading, plan: Plan::Groups { sizes: groups, sheets } })
}

/// For each group the group whose lines its own lines may meet: itself, or for a layer the group around it. A
/// layer is called like a size and no more, or lies beside one that is.
fn sheets_of(drawing: &Drawing, sizes: &[Option<String>]) -> Vec<usize> {
    let is_layer = |at: usize| {
        let group = &drawing.groups[at];
        let size = sizes[at].as_deref();
        group.size.is_none()
            && group.name.as_deref().is_some_and(|name| {
                size.is_some_and(|size| name == size || size_in(name).as_deref() == Some(size))
            })
    };
    let with_layers: BTreeSet<usize> = (0..drawing.groups.len())
        .filter(|at| is_layer(*at))
        .filter_map(|at| drawing.groups[at].parent)
        .collect();
    let mut sheets: Vec<usize> = Vec::new();
    for (at, group) in drawing.groups.iter().enumerate() {
        // Parents stand before their children.
        let around = group.parent.filter(|parent| with_layers.contains(parent));
        sheets.push(around.map_or(at, |parent| sheets[parent]));
    }
    sheets
}

/// The size of each group: its own, else that of the group around it.
fn sizes_of_groups(drawing: &Drawing) -> Vec<Option<String>> {
    let bare = bare_sizes(drawing);
    let mut sizes: Vec<Option<String>> = Vec::new();
    for (index, group) in drawing.groups.iter().enumerate() {
        let own = group
            .size
            .clone()
            .or_else(|| group.name.as_deref().and_then(size_in))
            .or_else(|| bare.get(&index).cloned());
        // Parents stand before their children.
        let around = group.parent.and_then(|parent| sizes[parent].clone());
        sizes.push(own.or(around));
    }
    sizes
}

/// Groups whose names are bare sizes, or end with one, next to others of the kind.
fn bare_sizes(drawing: &Drawing) -> BTreeMap<usize, String> {
    /// The group around and the name without its size.
    type Siblings = (Option<usize>, String);
    let mut beside: BTreeMap<Siblings, Vec<(usize, String)>> = BTreeMap::new();
    for (index, group) in drawing.groups.iter().enumerate() {
        let Some(name) = &group.name else { continue };
        let found = match name.rsplit_once(separator) {
            None if is_size(name) => Some((String::new(), name.clone())),
            // One digit alone counts pieces, not sizes.
            Some((stem, last)) if is_size(last) && last.len() > 1 => {
                Some((stem.to_lowercase(), last.to_owned()))
            }
            _ => None,
        };
        if let Some((stem, size)) = found {
            beside.entry((group.parent, stem)).or_default().push((index, size));
        }
    }
    let several = |group: &Vec<(usize, String)>| {
        let distinct: BTreeSet<&String> = group.iter().map(|(_, size)| size).collect();
        distinct.len() > 1
    };
    beside.into_values().filter(several).flatten().collect()
}

fn separator(c: char) -> bool {
    c.is_whitespace() || matches!(c, '_' | '-' | ':' | '.')
}

/// Whether a word may be a size by itself: a number, or letters.
pub(in super::super) fn is_size(word: &str) -> bool {
    let number = word.len() <= 3 && word.parse::<u32>().is_ok_and(|number| number <= LARGEST_NUMBER);
    (number && word.bytes().all(|b| b.is_ascii_digit())) || rank_of_letters(word).is_some()
}

/// Where a size in letters stands among others, from small to large: S, M, L, and S and L with an X for each step
/// beyond, written out or counted (`XXL`, `2XL`).
pub(in crate::import) fn rank_of_letters(word: &str) -> Option<i32> {
    let word = word.to_uppercase();
    if word == "M" {
        return Some(1);
    }
    let steps = word.strip_suffix(['S', 'L'])?;
    let count = match steps.strip_suffix('X') {
        None if steps.is_empty() => 0,
        Some(digit) if digit.len() == 1 && digit != "X" => digit.parse().ok().filter(|count| *count > 0)?,
        Some(more) if more.len() < 9 && more.bytes().all(|letter| letter == b'X') => 1 + more.len(),
        _ => return None,
    };
    let count = i32::try_from(count).ok()?;
    Some(if word.ends_with('S') { -count } else { 2 + count })
}

/// The size in a name like `size 38` or `Size: M`.
pub(in super::super) fn size_in(name: &str) -> Option<String> {
    let rest = name.get(..4).filter(|word| word.eq_ignore_ascii_case("size")).map(|_| &name[4..])?;
    let size = rest.trim_matches(|c: char| separator(c) || c == '=');
    let apart = rest.starts_with(separator) || is_size(size);
    (apart && !size.is_empty() && size.len() <= 20).then(|| size.to_owned())
}

/// A name without the size that it ends with. Names that must differ within a file often carry it without a space
/// (“front38”); a single digit may as well be the piece's own.
pub(in super::super) fn without_size<'a>(name: &'a str, size: Option<&str>) -> &'a str {
    let rest = size.and_then(|size| name.strip_suffix(size));
    let number = size.is_some_and(|size| size.len() > 1 && size.bytes().all(|byte| byte.is_ascii_digit()));
    let apart = |rest: &&str| {
        rest.ends_with(separator) || (number && !rest.ends_with(|end: char| end.is_ascii_digit()))
    };
    let stem = rest.filter(apart).map(|rest| {
        let stem = rest.trim_end_matches(separator);
        let cut = stem.len().saturating_sub(4);
        match stem.get(cut..) {
            Some(word) if word.eq_ignore_ascii_case("size") => stem[..cut].trim_end_matches(separator),
            _ => stem,
        }
    });
    stem.filter(|stem| !stem.is_empty()).unwrap_or(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_is_told_from_other_words() {
        assert_eq!(size_in("size 38").as_deref(), Some("38"));
        assert_eq!(size_in("Size_M").as_deref(), Some("M"));
        assert_eq!(size_in("SIZE12").as_deref(), Some("12"));
        assert_eq!(size_in("sizeable pocket"), None);
        assert_eq!(size_in("sé"), None);
        assert!(is_size("xl") && is_size("8") && !is_size("2000") && !is_size("front") && !is_size("+8"));
        let rising = ["3XS", "XXS", "xs", "S", "M", "L", "XL", "2XL", "XXXL", "4XL"].map(rank_of_letters);
        assert!(rising.iter().all(Option::is_some) && rising.is_sorted(), "{rising:?}");
        assert_eq!(rank_of_letters("2XL"), rank_of_letters("XXL"));
        for none in ["", "X", "XM", "2X", "0XL", "12XL", "2L", "AXL", "XXXXXXXXXXL", "ß"] {
            assert_eq!(rank_of_letters(none), None, "{none}");
        }
        assert_eq!(without_size("front 38", Some("38")), "front");
        assert_eq!(without_size("front size 38", Some("38")), "front");
        assert_eq!(without_size("tunnels", Some("s")), "tunnels");
        assert_eq!(without_size("front38", Some("38")), "front");
        assert_eq!(without_size("flap8", Some("8")), "flap8");
        assert_eq!(without_size("138", Some("38")), "138");
        assert_eq!(without_size("38", Some("38")), "38");
    }
}
