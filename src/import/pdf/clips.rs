//! What clips leave to be seen: a box, and regions where a clip is no upright rectangle.
//!
//! Source: ISO 32000-1, §8.5.4 (clipping paths): each clip narrows what the ones before it left, by the rule of its
//! command, until `Q` brings the wider one back.

use super::super::cut::{Region, cut_at_regions};
use super::super::drawing::Stroke;
use super::draw::Budget;
use super::state::{Path, State};
use crate::geometry::{Point, Rect};
use std::cell::Cell;
use std::rc::Rc;

/// Most clips of one line that are no upright rectangles; more are followed by their boxes.
const MOST_REGIONS: usize = 32;

/// A clip that is no upright rectangle.
struct Clip {
    region: Region,
    /// Whether it was told that it was followed by its box.
    boxed: Cell<bool>,
}

/// The clips that are no upright rectangles, each inside those before it.
#[derive(Clone, Default)]
pub(super) struct Clips(Rc<[Rc<Clip>]>);

impl Clips {
    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// What shows of a line in all of the clips; none when that takes too long to find, with how many clips are to be
    /// told for the first time.
    pub(super) fn cut(&self, stroke: Stroke, budget: &mut Budget) -> Result<Vec<Stroke>, (Stroke, usize)> {
        if self.0.is_empty() {
            return Ok(vec![stroke]);
        }
        let regions = self.0.iter().map(|clip| &clip.region);
        cut_at_regions(&stroke, regions, &mut budget.clip_work)
            .ok_or_else(|| (stroke, self.0.iter().filter(|clip| !clip.boxed.replace(true)).count()))
    }

    /// Whether a place is hidden and lies further from what shows than this, in mm.
    pub(super) fn hide(&self, place: Point, margin: f64, budget: &mut Budget) -> bool {
        self.0.iter().any(|clip| clip.region.reaches(place, margin, &mut budget.clip_work) == Some(false))
    }
}

impl State {
    /// Narrows what shows to a path; false when that is no upright rectangle and the box around it was taken.
    pub(super) fn narrow(&mut self, path: &Path, even_odd: bool, budget: &mut Budget) -> bool {
        let Some(bounds) = path.bounds() else {
            self.window = Rect::ZERO;
            return true;
        };
        self.window = self.window.intersect(bounds);
        // Where nothing shows at all, it does not matter why.
        if path.is_upright_rectangle() || self.window.is_zero_area() {
            return true;
        }
        if self.clips.0.len() >= MOST_REGIONS {
            return false;
        }
        let left = budget.clip_points_left();
        let Some(rings) = path.rings(left) else {
            // Once one is too large, no other is tried: trying takes time too.
            budget.clip_points(if path.absurd > 0 { 0 } else { left });
            return false;
        };
        budget.clip_points(rings.iter().map(Vec::len).sum());
        let clip = Clip { region: Region::new(&rings, even_odd), boxed: Cell::new(false) };
        self.clips.0 = self.clips.0.iter().cloned().chain([Rc::new(clip)]).collect();
        true
    }
}
