//! A page becomes a drawing: its layers are groups, its lines are cut at what shows of them.

use super::super::cut::cut_at;
use super::super::drawing::{Drawing, Group};
use super::page::{Page, PageLayer};
use crate::finding::{Finding, Severity};
use crate::geometry::Affine;

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
    (Drawing { title: None, page: Some(page.frame), groups }, findings)
}

/// A drawing at another scale.
pub(super) fn scaled(drawing: Drawing, scale: f64) -> Drawing {
    let larger = Affine::scale(scale);
    let groups = drawing.groups.into_iter().map(|mut group| {
        for stroke in &mut group.strokes {
            stroke.curve = stroke.curve.transformed(larger);
        }
        for words in &mut group.words {
            words.at = larger * words.at;
            words.height_mm *= scale;
        }
        group
    });
    Drawing {
        groups: groups.collect(),
        page: drawing.page.map(|page| larger.transform_rect_bbox(page)),
        title: drawing.title,
    }
}
