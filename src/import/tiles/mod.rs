//! Sheets that are cut into pages, put together again.
//!
//! The pages' frame is what most of them have in common ([`frame`]); which page lies where is told by lines that go on
//! from page to page, in the order of the pages or of their labels ([`edges`], [`order`]); where a line is drawn whole
//! on both sides of a seam, the two copies say exactly how the pages lie ([`shared`]). All pages are then placed
//! together by least squares, moved and never stretched ([`place`]). Frames, marks and labels are left
//! out; lines are cut in the middle of an overlap and joined over the seams ([`sheet`]).
//!
//! Everything is a proposal: a page can be moved, turned, left out, and the number of columns be set by hand.
//! Pages of other sizes, or without the frame, are no tiles: they lie beside the sheet.

mod edges;
mod frame;
mod join;
mod order;
mod place;
mod shared;
mod sheet;
mod tell;
mod view;

use super::drawing::{Drawing, Words};
use super::pdf::{Page, PageLine, drawing_of_page};
use crate::finding::Finding;
use crate::geometry::{Affine, Point, Rect, Vec2};
use edges::{Side, Tile};
use frame::Common;
use order::{Cells, Fits};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Space between the sheet and pages that are no tiles, in mm.
const APART_MM: f64 = 50.0;

/// More pages than this are not put together by themselves; a coat in A4 has some sixty.
const MOST_TILES: usize = 120;

/// Where a page lies on the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Which page, counted from 0.
    pub page: usize,
    /// Where its lower left corner lies on the sheet, before it is turned, in mm.
    pub at: Vec2,
    /// How often it is turned to the left by a quarter, about the middle of its frame.
    pub quarter_turns: u8,
    /// Whether it is part of the sheet.
    pub used: bool,
}

/// Two pages beside each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Seam {
    /// The two pages, counted from 0.
    pub pages: (usize, usize),
    /// The seam on the sheet.
    pub from: Point,
    /// Its other end.
    pub to: Point,
    /// Lines that go on over it.
    pub lines: usize,
    /// How far the worst of them is off, in mm.
    pub off_mm: f64,
    /// Where lines end at it that do not go on, on the sheet.
    pub broken: Vec<Point>,
}

/// Pages and how they lie.
#[derive(Debug, Clone, PartialEq)]
pub struct Tiles {
    pages: Arc<[Page]>,
    common: Option<Arc<Common>>,
    /// For each page, which tile it is.
    tile_of_page: Arc<[Option<usize>]>,
    placements: Vec<Placement>,
    /// Pages that a person left out.
    dropped: BTreeSet<usize>,
    /// Columns and rows of the tiles, and the overlap across and up, in mm; none when nothing told how they lie.
    grid: Option<(usize, usize, Vec2)>,
}

impl Tiles {
    /// Puts pages together as far as they tell how they lie.
    #[must_use]
    pub fn of(pages: Vec<Page>) -> Self {
        let common = frame::common_to(&pages);
        let mut tile_of_page = vec![None; pages.len()];
        for (tile, page) in common.iter().flat_map(|common| common.tiles.iter().enumerate()) {
            tile_of_page[*page] = Some(tile);
        }
        let mut tiles = Self {
            pages: pages.into(),
            common: common.map(Arc::new),
            tile_of_page: tile_of_page.into(),
            placements: Vec::new(),
            dropped: BTreeSet::new(),
            grid: None,
        };
        let found = tiles.found_places();
        tiles.put(found);
        tiles
    }

    /// The pages.
    #[must_use]
    pub fn pages(&self) -> &[Page] {
        &self.pages
    }

    /// Where each page lies, in the order of the pages.
    #[must_use]
    pub fn placements(&self) -> &[Placement] {
        &self.placements
    }

    /// Where pages are trimmed, in page mm; for a page that is no tile, all of it.
    fn frame_of(&self, place: &Placement) -> Rect {
        let tile = self.tile_of(place.page);
        tile.map_or_else(|| self.pages[place.page].frame, |(common, _)| common.frame)
    }

    fn is_tile(&self, place: &Placement) -> bool {
        self.tile_of(place.page).is_some()
    }

    /// The frame of a page on the sheet.
    #[must_use]
    pub fn frame_on_sheet(&self, place: &Placement) -> Rect {
        sheet::moved(self.frame_of(place), self.sheet_from_page(place))
    }

    /// From a page's mm to the sheet's.
    #[must_use]
    pub fn sheet_from_page(&self, place: &Placement) -> Affine {
        sheet::sheet_from_page(place, self.frame_of(place))
    }

    /// The lines of a page without frame and marks.
    fn lines_of(&self, place: &Placement) -> impl Iterator<Item = &PageLine> {
        let page = &self.pages[place.page];
        let tile = self.tile_of(place.page).map(|(common, tile)| &common.kept[tile][..]);
        let all = (0..if tile.is_some() { 0 } else { page.lines.len() }).map(move |line| &page.lines[line]);
        tile.unwrap_or_default().iter().map(move |line| &page.lines[*line]).chain(all)
    }

    /// The words of a page without its label.
    fn words_of(&self, place: &Placement) -> impl Iterator<Item = &(usize, Words)> {
        let page = &self.pages[place.page];
        let tile = self.tile_of(place.page).map(|(common, tile)| &common.words[tile][..]);
        let all = (0..if tile.is_some() { 0 } else { page.words.len() }).map(move |word| &page.words[word]);
        tile.unwrap_or_default().iter().map(move |word| &page.words[*word]).chain(all)
    }

    fn tile_of(&self, page: usize) -> Option<(&Common, usize)> {
        let common = self.common.as_deref()?;
        self.tile_of_page.get(page).copied().flatten().map(|tile| (common, tile))
    }

    /// Places for the tiles, by what they tell.
    fn found_places(&mut self) -> Vec<Option<Vec2>> {
        let Some(common) = self.common.clone() else { return Vec::new() };
        if common.tiles.len() > MOST_TILES {
            return Vec::new();
        }
        let tiles = edges::tiles_of(&self.pages, &common, |_| 0);
        let overlap = Vec2::new(
            edges::overlap(&tiles, common.frame, true),
            edges::overlap(&tiles, common.frame, false),
        );
        let (right, up) = steps(common.frame, overlap);
        let (cells, score) = order::arranged(&common.labels, &mut Fits::new(&tiles, right, up));
        // Neither a line nor a frame says that these pages belong together.
        if score.on == 0 && !(common.told && common.labels.iter().all(Option::is_some)) {
            return Vec::new();
        }
        self.placed(&common, &tiles, &cells, overlap)
    }

    fn placed(&mut self, common: &Common, tiles: &[Tile], cells: &Cells, overlap: Vec2) -> Vec<Option<Vec2>> {
        let (right, up) = steps(common.frame, overlap);
        let clipped: Vec<Vec<_>> = common
            .tiles
            .iter()
            .zip(&common.kept)
            .map(|(page, kept)| {
                let lines = kept.iter().map(|line| &self.pages[*page].lines[*line]);
                // What is turned does not lie on its copies.
                lines
                    .filter(|line| line.window.is_some() && self.turns_of(*page) == 0)
                    .map(|line| &line.stroke)
                    .collect()
            })
            .collect();
        let exact = |first: usize, second: usize| shared::offset_of(&clipped[first], &clipped[second]);
        let places = place::places(cells, tiles, right, up, exact);
        let extent = |pick: fn(&(i32, i32)) -> i32| {
            let all = || cells.iter().flatten().map(pick);
            let count = all().max().zip(all().min()).map_or(0, |(most, least)| most - least + 1);
            usize::try_from(count).unwrap_or(0)
        };
        self.grid = Some((extent(|cell| cell.1), extent(|cell| cell.0), overlap));
        places
    }

    /// Puts tiles at their places, and everything else beside the sheet.
    fn put(&mut self, places: Vec<Option<Vec2>>) {
        let mut placements: Vec<Placement> = (0..self.pages.len())
            .map(|page| {
                let told = self.tile_of(page).and_then(|(_, tile)| places.get(tile).copied().flatten());
                let used = told.is_some();
                Placement { page, at: told.unwrap_or_default(), quarter_turns: self.turns_of(page), used }
            })
            .collect();
        // The lower left corner of the sheet is the origin.
        let on_sheet = |place: &Placement| place.used.then(|| self.frame_on_sheet(place));
        let sheet = placements.iter().filter_map(on_sheet).reduce(|a, b| a.union(b));
        let corner = sheet.map_or(Vec2::ZERO, |sheet| sheet.origin().to_vec2());
        let mut right = sheet.map_or(0.0, |sheet| sheet.width() + APART_MM);
        for place in &mut placements {
            if place.used {
                place.at -= corner;
                continue;
            }
            let page = &self.pages[place.page];
            place.at = Vec2::new(right, 0.0);
            place.used = !page.lines.is_empty() && !self.dropped.contains(&place.page);
            if !page.lines.is_empty() {
                right += page.frame.width() + APART_MM;
            }
        }
        self.placements = placements;
    }

    /// The same with a page moved by a distance on the sheet. Pages that are not there move nothing.
    #[must_use]
    pub fn with_page_moved(&self, page: usize, by: Vec2) -> Self {
        self.with(page, |place| place.at += by)
    }

    /// The same with a page turned to the left by a quarter.
    #[must_use]
    pub fn with_page_turned(&self, page: usize) -> Self {
        self.with(page, |place| place.quarter_turns = (place.quarter_turns + 1) % 4)
    }

    /// The same with a page left out of the sheet, or taken in again.
    #[must_use]
    pub fn with_page_dropped(&self, page: usize, dropped: bool) -> Self {
        let mut changed = self.with(page, |place| place.used = !dropped);
        if dropped && page < self.pages.len() {
            changed.dropped.insert(page);
        } else {
            changed.dropped.remove(&page);
        }
        changed
    }

    fn with(&self, page: usize, change: impl Fn(&mut Placement)) -> Self {
        let mut changed = self.clone();
        changed.placements.iter_mut().filter(|place| place.page == page).for_each(change);
        changed
    }

    /// The tiles in so many columns, row by row from the upper left, with overlaps across and up in mm: for sheets that
    /// tell nothing, or the wrong thing. Pages that were left out take no place; what was moved by hand comes back.
    #[must_use]
    pub fn with_columns(&self, columns: usize, overlap_mm: Vec2) -> Self {
        let Some(common) = self.common.clone() else { return self.clone() };
        let columns = columns.clamp(1, common.tiles.len());
        let cell =
            |place: usize| Some((i32::try_from(place / columns).ok()?, i32::try_from(place % columns).ok()?));
        let mut next = 0..;
        let left_out = |page: &usize| self.dropped.contains(page);
        let cells: Cells = common
            .tiles
            .iter()
            .map(|page| if left_out(page) { None } else { next.next().and_then(cell) })
            .collect();
        let mut changed = self.clone();
        let tiles = edges::tiles_of(&self.pages, &common, |page| self.turns_of(page));
        let places = changed.placed(&common, &tiles, &cells, overlap_mm);
        changed.put(places);
        changed
    }

    /// Every two pages beside each other.
    #[must_use]
    pub fn seams(&self) -> Vec<Seam> {
        // Pages that nobody put together have no seams.
        let (Some(common), Some(_)) = (&self.common, self.grid) else { return Vec::new() };
        let tiles = edges::tiles_of(&self.pages, common, |page| self.turns_of(page));
        let upright = |place: &&Placement| place.used && self.is_tile(place);
        let used: Vec<&Placement> = self.placements.iter().filter(upright).collect();
        let mut seams = Vec::new();
        for (index, one) in used.iter().enumerate() {
            for two in &used[index + 1..] {
                let (a, b) = (self.frame_on_sheet(one), self.frame_on_sheet(two));
                let Some((side, overlap)) = place::beside(a, b) else { continue };
                let tile = |place: &Placement| self.tile_of(place.page).map(|(_, tile)| &tiles[tile]);
                let Some((first, second)) = tile(one).zip(tile(two)) else { continue };
                let fit = edges::fit(first, second, side, two.at - one.at);
                let (from, to) = seam_line(a, b, side, 0.5 * overlap.max(0.0));
                seams.push(Seam {
                    pages: (one.page, two.page),
                    from,
                    to,
                    lines: fit.on.len(),
                    off_mm: fit.on.iter().map(|(_, off)| off.hypot()).fold(0.0, f64::max),
                    broken: fit.broken.iter().map(|at| *at + one.at).collect(),
                });
            }
        }
        seams
    }

    /// The assembled sheet and what is to be said about it.
    #[must_use]
    pub fn drawing(&self) -> (Drawing, Vec<Finding>) {
        if let [page] = &*self.pages {
            return drawing_of_page(page);
        }
        (sheet::drawing(self), self.findings())
    }
}

/// From a page to the next on its right, and to the one above.
fn steps(frame: Rect, overlap: Vec2) -> (Vec2, Vec2) {
    (Vec2::new(frame.width() - overlap.x, 0.0), Vec2::new(0.0, frame.height() - overlap.y))
}

/// Where two frames meet.
fn seam_line(a: Rect, b: Rect, side: Side, half: f64) -> (Point, Point) {
    let (low, high) = (a.y0.max(b.y0), a.y1.min(b.y1));
    let (left, right) = (a.x0.max(b.x0), a.x1.min(b.x1));
    match side {
        Side::Right => (Point::new(a.x1 - half, low), Point::new(a.x1 - half, high)),
        Side::Left => (Point::new(a.x0 + half, low), Point::new(a.x0 + half, high)),
        Side::Top => (Point::new(left, a.y1 - half), Point::new(right, a.y1 - half)),
        Side::Bottom => (Point::new(left, a.y0 + half), Point::new(right, a.y0 + half)),
    }
}
