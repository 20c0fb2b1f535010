//! What a piece is called.

use super::super::drawing::Drawing;
use super::Candidate;
use super::places::Census;
use super::readings::{size_in, without_size};

/// Names of groups that say what a line is and not which piece.
const OUTLINE_WORDS: [&str; 7] =
    ["outline", "seam line", "seamline", "seam", "cutting line", "contour", "stitching line"];

/// The name that the drawing gives to a piece, without the size that it ends with.
pub(super) fn piece_name(
    drawing: &Drawing,
    outline: &Candidate,
    census: &Census,
    size: Option<&str>,
) -> Option<String> {
    let is_size =
        |name: &str| size.is_some_and(|size| name == size || size_in(name).as_deref() == Some(size));
    let mut group = Some(outline.group);
    while let Some(at) = group.filter(|at| *at != 0 && census.count[*at] == 1) {
        if let Some(name) = &drawing.groups[at].name
            && !OUTLINE_WORDS.contains(&name.to_lowercase().as_str())
            && !is_size(name)
        {
            return Some(without_size(name, size).to_owned());
        }
        group = drawing.groups[at].parent;
    }
    let strokes: Vec<(usize, usize)> = outline.ring.lines().collect();
    let [(group, only)] = strokes[..] else { return None };
    let name = drawing.groups[group].strokes[only].name.as_deref()?;
    Some(without_size(name, size).to_owned())
}
