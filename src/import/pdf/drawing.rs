//! A page becomes a drawing: its layers are groups, its lines are cut at what shows of them.

use super::super::cut::{Region, Work, cut_at, cut_at_regions};
use super::super::drawing::{Drawing, Group, Stroke};
use super::page::{Page, PageLayer};
use crate::finding::{Finding, Severity};
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Point, Rect};

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

/// What shows of a shape that is only filled in a rectangular clip, closed along it. None for other lines, and where the
/// page itself ends: what goes on beyond it is not known.
fn filled_in(stroke: &Stroke, window: Rect, page: Rect, work: &mut Work) -> Option<Vec<Stroke>> {
    let only_filled = stroke.closed && stroke.look.fill.is_some() && stroke.look.colour.is_none();
    let bounds = only_filled.then(|| stroke.curve.bounding_box())?;
    let sides = [
        (page.x0 - window.x0, window.x0 - bounds.x0),
        (page.y0 - window.y0, window.y0 - bounds.y0),
        (window.x1 - page.x1, bounds.x1 - window.x1),
        (window.y1 - page.y1, bounds.y1 - window.y1),
    ];
    if sides.iter().any(|(beyond_page, beyond_clip)| *beyond_page > -JOIN_MM && *beyond_clip > JOIN_MM) {
        return None;
    }
    let Rect { x0, y0, x1, y1 } = window;
    let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(Point::from).to_vec();
    cut_at_regions(stroke, std::iter::once(&Region::new(&[corners], false)), work)
}

/// The drawing on one page, and what is to be said about lines that reach beyond it.
#[must_use]
pub fn drawing_of_page(page: &Page) -> (Drawing, Vec<Finding>) {
    let mut groups = groups_of(&page.layers);
    let mut cut = 0_usize;
    let mut work = Work::default();
    for line in &page.lines {
        let Some(group) = groups.get_mut(line.layer) else { continue };
        match line.window {
            None => group.strokes.push(line.stroke.clone()),
            Some(window) => {
                cut += 1;
                let shapes = filled_in(&line.stroke, window, page.frame, &mut work);
                group.strokes.extend(shapes.unwrap_or_else(|| cut_at(&line.stroke, window)));
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
