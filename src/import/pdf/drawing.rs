//! A page becomes a drawing: its layers are groups, its lines are cut at what shows of them.

use super::super::cut::cut_at;
use super::super::drawing::{Drawing, Group};
use super::page::{Page, PageLayer};
use crate::finding::{Finding, Severity};

/// The groups of a page's layers, empty.
pub(in crate::import) fn groups_of(layers: &[PageLayer]) -> Vec<Group> {
    let group = |layer: &PageLayer| Group {
        name: layer.name.clone(),
        tags: layer.name.clone().unwrap_or_default(),
        parent: layer.parent,
        ..Group::default()
    };
    layers.iter().map(group).collect()
}

/// The drawing on one page, and what is to be said about lines that reach beyond it.
#[must_use]
pub fn drawing_of_page(page: &Page) -> (Drawing, Vec<Finding>) {
    let mut groups = groups_of(&page.layers);
    let mut cut = 0_usize;
    for line in &page.lines {
        let Some(group) = groups.get_mut(line.layer) else { continue };
        match line.window {
            None => group.strokes.push(line.stroke.clone()),
            Some(window) => {
                cut += 1;
                group.strokes.extend(cut_at(&line.stroke, window));
            }
        }
    }
    for (layer, words) in &page.words {
        if let Some(group) = groups.get_mut(*layer).filter(|_| page.frame.contains(words.at)) {
            group.words.push(words.clone());
        }
    }
    let mut findings = Vec::new();
    if cut > 0 {
        findings.push(Finding::new(
            Severity::Note,
            format!("{cut} line(s) of page {} reach beyond what it shows and were cut there", page.number),
            "Nothing to do, unless a piece lies over the edge of the page",
        ));
    }
    (Drawing { page: Some(page.frame), groups, ..Drawing::default() }, findings)
}
