//! Pages as a person looks at them: what each is called, which lies where, what it shows.

use super::{Placement, Tiles, edges, sheet};
use crate::geometry::{Curve, Point, Vec2};

impl Tiles {
    /// How often a page is turned to the left by a quarter.
    pub(super) fn turns_of(&self, page: usize) -> u8 {
        self.placements.get(page).map_or(0, |place| place.quarter_turns)
    }

    /// What a page is called: its number, and its label where it has one: `3 (A3)`.
    #[must_use]
    pub fn name_of(&self, page: usize) -> String {
        let number = page + 1;
        let label = self.tile_of(page).and_then(|(common, tile)| common.labels.get(tile)?.as_deref());
        // A label that is but the number says nothing more.
        match label.map(str::trim).filter(|label| !label.is_empty() && *label != number.to_string()) {
            Some(label) => format!("{number} ({label})"),
            None => number.to_string(),
        }
    }

    /// The page, counted from 0, whose frame is round a place on the sheet: the one whose middle is nearest, and what is
    /// part of the sheet before what was left out.
    #[must_use]
    pub fn page_at(&self, at: Point) -> Option<usize> {
        let around = self.placements.iter().filter(|place| self.frame_on_sheet(place).contains(at));
        let off = |place: &Placement| self.frame_on_sheet(place).center().distance(at);
        let nearest = around.min_by(|a, b| b.used.cmp(&a.used).then(off(a).total_cmp(&off(b))));
        nearest.map(|place| place.page)
    }

    /// Columns and rows, and the overlap across and up in mm; none when nothing told how the pages lie.
    #[must_use]
    pub const fn grid(&self) -> Option<(usize, usize, Vec2)> {
        self.grid
    }

    /// Whether several pages are alike, so that they can be put into columns.
    #[must_use]
    pub const fn has_tiles(&self) -> bool {
        self.common.is_some()
    }

    /// The lines of a page inside its frame, where they lie on the sheet.
    #[must_use]
    pub fn shown_on_sheet(&self, page: usize) -> Vec<Curve> {
        let Some(place) = self.placements.get(page) else { return Vec::new() };
        let (frame, sheet_from_page) =
            (self.frame_of(place), sheet::sheet_from_page(place, self.frame_of(place)));
        let lines = self.lines_of(place).flat_map(|line| edges::shown(&line.stroke, line.window, frame));
        lines.map(|part| part.curve.transformed(sheet_from_page)).collect()
    }
}
