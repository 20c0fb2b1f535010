//! The sizes that a drawing shows, one after the other.
//!
//! A group may tell its size (a block of a DXF file), or its name tells: `size 38`, or a bare `38` or `M` among
//! others of the kind. What lies in no such group belongs to every size.

use super::super::drawing::{Drawing, Group};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

/// Letters of sizes, from small to large.
pub(in crate::import) const LETTERS: [&str; 11] =
    ["XXXS", "XXS", "XS", "S", "M", "L", "XL", "XXL", "XXXL", "4XL", "5XL"];

/// Largest number that a size has.
const LARGEST_NUMBER: u32 = 199;

/// Each size with what of the drawing belongs to it; the whole drawing when it shows no sizes.
pub(super) fn views_of(drawing: &Drawing) -> Vec<(Option<String>, Cow<'_, Drawing>)> {
    let sizes = sizes_of_groups(drawing);
    let told: BTreeSet<&String> = sizes.iter().flatten().collect();
    if told.is_empty() {
        return vec![(None, Cow::Borrowed(drawing))];
    }
    let view = |size: &String| {
        let groups = drawing.groups.iter().zip(&sizes).map(|(group, own)| {
            if own.as_ref().is_none_or(|own| own == size) {
                group.clone()
            } else {
                Group { parent: group.parent, ..Group::default() }
            }
        });
        Drawing { title: drawing.title.clone(), page: drawing.page, groups: groups.collect() }
    };
    told.into_iter().map(|size| (Some(size.clone()), Cow::Owned(view(size)))).collect()
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
pub(super) fn is_size(word: &str) -> bool {
    let number = word.len() <= 3 && word.parse::<u32>().is_ok_and(|number| number <= LARGEST_NUMBER);
    (number && word.bytes().all(|b| b.is_ascii_digit())) || LETTERS.contains(&word.to_uppercase().as_str())
}

/// The size in a name like `size 38` or `Size: M`.
pub(super) fn size_in(name: &str) -> Option<String> {
    let rest = name.get(..4).filter(|word| word.eq_ignore_ascii_case("size")).map(|_| &name[4..])?;
    let size = rest.trim_matches(|c: char| separator(c) || c == '=');
    let apart = rest.starts_with(separator) || is_size(size);
    (apart && !size.is_empty() && size.len() <= 20).then(|| size.to_owned())
}

/// A name without the size that it ends with.
pub(super) fn without_size<'a>(name: &'a str, size: Option<&str>) -> &'a str {
    let rest = size.and_then(|size| name.strip_suffix(size));
    let stem = rest.filter(|rest| rest.ends_with(separator)).map(|rest| {
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
        assert_eq!(without_size("front 38", Some("38")), "front");
        assert_eq!(without_size("front size 38", Some("38")), "front");
        assert_eq!(without_size("tunnels", Some("s")), "tunnels");
        assert_eq!(without_size("38", Some("38")), "38");
    }
}
