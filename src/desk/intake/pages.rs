//! The pages of a sheet, while they are put to their places.

use super::Intake;
use crate::geometry::{Affine, Point, Rect, Vec2};
use crate::import::tiles::{Seam, Tiles};
use std::sync::Arc;

/// Lines of a page that is dragged are drawn within this, in mm.
const FLATTEN_MM: f64 = 0.2;

/// A page that is being dragged.
#[derive(Debug, Clone)]
pub(in crate::desk) struct Pulled {
    /// Which, from 0.
    pub(in crate::desk) page: usize,
    /// How far, in mm on the sheet.
    pub(in crate::desk) by: Vec2,
    /// Its frame before that.
    pub(in crate::desk) frame: Rect,
    /// Its lines before that, as chains of points.
    pub(in crate::desk) lines: Arc<Vec<Vec<Point>>>,
}

impl Intake {
    /// The pages of the sheet on the board, when there are several.
    pub(in crate::desk) fn tiles(&self) -> Option<&Tiles> {
        self.shown()?.laid.tiles()
    }

    /// From the mm of its pages to those of the sheet.
    pub(in crate::desk) fn sheet_from_pages(&self) -> Affine {
        self.shown().map_or(Affine::IDENTITY, |sheet| sheet.laid.sheet_from_pages())
    }

    /// Whether the board shows the pages.
    pub(in crate::desk) fn shows_pages(&self) -> bool {
        self.pages_shown && self.tiles().is_some()
    }

    /// Shows the pages on the board, or the places of the drawing again.
    pub(in crate::desk) fn show_pages(&mut self, shown: bool) {
        self.pages_shown = shown;
        (self.place, self.place_before) = (None, None);
        self.number += 1;
    }

    /// The page that was picked, from 0, while the pages are shown.
    #[must_use]
    pub fn picked_page(&self) -> Option<usize> {
        self.page.filter(|page| {
            self.tiles().is_some_and(|tiles| *page < tiles.pages().len()) && self.shows_pages()
        })
    }

    /// Picks a page, or none.
    pub(in crate::desk) fn pick_page(&mut self, page: Option<usize>) {
        self.page = page;
        self.nudging = false;
        self.number += 1;
    }

    /// The page at a place of the sheet.
    pub(in crate::desk) fn page_at(&self, place: Point) -> Option<usize> {
        self.tiles()?.page_at(self.sheet_from_pages().inverse() * place)
    }

    /// The frames of the pages on the sheet, while they are shown.
    pub(in crate::desk) fn frames(&self) -> impl Iterator<Item = (usize, Rect)> {
        let sheet_from_pages = self.sheet_from_pages();
        let tiles = self.tiles().filter(|_| self.shows_pages());
        tiles.into_iter().flat_map(move |tiles| {
            let frame = move |place| sheet_from_pages.transform_rect_bbox(tiles.frame_on_sheet(place));
            tiles.placements().iter().map(move |place| (place.page, frame(place)))
        })
    }

    /// Where the pages of the sheet on the board meet, in mm of its pages.
    pub(in crate::desk) fn seams(&self) -> &[Seam] {
        self.seams.get(self.sheet).map(Vec::as_slice).unwrap_or_default()
    }

    /// Whether a page is part of the sheet.
    pub(in crate::desk) fn is_used(&self, page: usize) -> bool {
        self.tiles().and_then(|tiles| tiles.placements().get(page)).is_some_and(|place| place.used)
    }

    /// Takes hold of the page that is picked.
    pub(in crate::desk) fn hold_page(&mut self, page: usize) {
        let Some(frame) = self.frames().find(|(other, _)| *other == page).map(|(_, frame)| frame) else {
            return;
        };
        let sheet_from_pages = self.sheet_from_pages();
        let lines = self.tiles().map(|tiles| tiles.shown_on_sheet(page)).unwrap_or_default();
        let chain = |curve: &crate::geometry::Curve| curve.transformed(sheet_from_pages).flatten(FLATTEN_MM);
        let lines = Arc::new(lines.iter().map(chain).collect());
        self.pulled = Some(Pulled { page, by: Vec2::ZERO, frame, lines });
    }
}
