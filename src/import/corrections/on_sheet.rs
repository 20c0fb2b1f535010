//! Corrections of the whole sheet: where its pages lie, and its scale.
//!
//! They are done in their order, before a line is looked at. What was pointed to before a page was moved, or before the
//! scale was set, lay elsewhere on the sheet then: its place is followed, on its page, to where that lies now.

use super::super::drawing::Drawing;
use super::super::tiles::{Placement, Tiles};
use super::on_drawing::not_done;
use super::{Correction, PICK_MM};
use crate::finding::Finding;
use crate::geometry::{Affine, Point, Rect, Vec2};

/// A scale is found from places that lie at least so far apart, in mm.
const LEAST_APART_MM: f64 = PICK_MM;
/// How many times as large as it tells a drawing may be.
const SCALES: std::ops::RangeInclusive<f64> = 1e-4..=1e4;

/// How much wider than high, or higher than wide, what was pointed to as a square may be; beyond it the two places are no
/// corners across.
const LEAST_SQUARE: f64 = 0.5;

/// How a sheet lay at one time.
#[derive(Debug, Clone, PartialEq)]
struct Step {
    /// Its mm in a mm of the file, or of the pages, across and up.
    scale: Vec2,
    /// Its pages, when it has several.
    tiles: Option<Tiles>,
}

/// How a sheet lies, and how it lay before each correction that changed that.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    now: Step,
    /// The correction by its place in the list, and the step before it.
    before: Vec<(usize, Step)>,
}

impl Default for Laid {
    fn default() -> Self {
        Self { now: Step { scale: Vec2::new(1.0, 1.0), tiles: None }, before: Vec::new() }
    }
}

impl Laid {
    /// The pages, when there are several.
    #[must_use]
    pub const fn tiles(&self) -> Option<&Tiles> {
        self.now.tiles.as_ref()
    }

    /// The pages as they were found, before anything was corrected.
    #[must_use]
    pub fn found(&self) -> Option<&Tiles> {
        self.before.first().map_or(&self.now, |(_, first)| first).tiles.as_ref()
    }

    /// Millimetres of the sheet in a millimetre of its pages, across and up.
    #[must_use]
    pub const fn scale(&self) -> Vec2 {
        self.now.scale
    }

    /// From the mm of its pages to those of the sheet.
    #[must_use]
    pub const fn sheet_from_pages(&self) -> Affine {
        self.now.sheet_from_pages()
    }

    /// Where a place lies now that a correction named when the sheet lay otherwise.
    fn now(&self, index: usize, place: Point) -> Point {
        let Some((_, then)) = self.before.iter().find(|(changed, _)| *changed >= index) else { return place };
        let on_pages = then.sheet_from_pages().inverse() * place;
        let on_page = then.tiles.as_ref().zip(self.now.tiles.as_ref()).and_then(|(then, now)| {
            let page = then.page_at(on_pages)?;
            let (from, to) = (then.placements().get(page)?, now.placements().get(page)?);
            Some(now.sheet_from_page(to) * (then.sheet_from_page(from).inverse() * on_pages))
        });
        self.sheet_from_pages() * on_page.unwrap_or(on_pages)
    }
}

impl Step {
    const fn sheet_from_pages(&self) -> Affine {
        Affine::scale_non_uniform(self.scale.x, self.scale.y)
    }
}

/// Lays a sheet as the corrections say. `scale` is what the file itself, or the program that was called, says about it;
/// `one_mm` how large one unit was taken (and a dot of a scan) of a drawing that tells no scale.
pub(in super::super) fn laid(
    list: &[Correction],
    on: usize,
    scale: Vec2,
    taken: Option<Taken>,
    tiles: Option<Tiles>,
    findings: &mut Vec<Finding>,
) -> Laid {
    let mut laid = Laid { now: Step { scale, tiles }, before: Vec::new() };
    for (index, correction) in list.iter().enumerate().filter(|(_, one)| one.sheet() == Some(on)) {
        let changed = match correction {
            Correction::PageMoved { .. }
            | Correction::PageTurned { .. }
            | Correction::PageDropped { .. }
            | Correction::Columns { .. } => pages(&laid.now, correction),
            Correction::Ruler { .. }
            | Correction::BySquare { .. }
            | Correction::Unit { .. }
            | Correction::Dots { .. } => scaled(&laid.now, correction, scale, taken),
            _ => continue,
        };
        match changed {
            Ok(changed) => {
                let before = std::mem::replace(&mut laid.now, changed);
                laid.before.push((index, before));
            }
            Err(why) => findings.push(not_done(correction, None, why)),
        }
    }
    laid
}

/// How large a unit, and a dot of a scan, of a drawing without a scale was taken to be, in mm.
#[derive(Debug, Clone, Copy)]
pub(in super::super) struct Taken {
    pub(in super::super) unit_mm: f64,
    pub(in super::super) dot_mm: f64,
}

fn scaled(
    now: &Step,
    correction: &Correction,
    first: Vec2,
    taken: Option<Taken>,
) -> Result<Step, &'static str> {
    const TOLD: &str = "the drawing tells its scale itself";
    let scale = match correction {
        Correction::Ruler { from, to, apart, .. } => {
            let distance = from.distance(*to);
            if distance < LEAST_APART_MM {
                return Err("the two places are the same");
            }
            now.scale * apart.mm() / distance
        }
        Correction::BySquare { from, to, side, .. } => {
            let bounds = Rect::from_points(*from, *to);
            if !is_square(bounds) {
                return Err("the two places are no two corners, across, of a square");
            }
            Vec2::new(now.scale.x / bounds.width(), now.scale.y / bounds.height()) * side.mm()
        }
        Correction::Unit { mm, .. } => first * (*mm / taken.ok_or(TOLD)?.unit_mm),
        Correction::Dots { per_inch, .. } => first * (25.4 / per_inch) / taken.ok_or(TOLD)?.dot_mm,
        _ => now.scale,
    };
    if !(SCALES.contains(&(scale.x / first.x)) && SCALES.contains(&(scale.y / first.y))) {
        return Err("that would be no scale");
    }
    Ok(Step { scale, tiles: now.tiles.clone() })
}

/// Whether two corners span what may be a printed square, stretched or not.
pub(in super::super) fn is_square(bounds: Rect) -> bool {
    let (less, more) = (bounds.width().min(bounds.height()), bounds.width().max(bounds.height()));
    less >= LEAST_APART_MM && less >= LEAST_SQUARE * more
}

fn pages(now: &Step, correction: &Correction) -> Result<Step, &'static str> {
    let tiles = now.tiles.as_ref().ok_or("the drawing has no pages to be put together")?;
    let place = |page: &usize| -> Result<&Placement, &'static str> {
        let index = page.checked_sub(1).ok_or("pages are counted from 1")?;
        tiles.placements().get(index).ok_or("there is no such page")
    };
    let changed = match correction {
        Correction::PageMoved { page, right, up, .. } => tiles
            .with_page_moved(place(page)?.page, Vec2::new(right.mm() / now.scale.x, up.mm() / now.scale.y)),
        Correction::PageTurned { page, quarters, .. } => {
            let page = place(page)?.page;
            (0..quarters % 4).fold(tiles.clone(), |turned, _| turned.with_page_turned(page))
        }
        Correction::PageDropped { page, dropped, .. } => tiles.with_page_dropped(place(page)?.page, *dropped),
        Correction::Columns { columns, across, up, .. } => {
            if !tiles.has_tiles() {
                return Err("no two pages are of one size");
            }
            tiles.with_columns(*columns, Vec2::new(across.mm() / now.scale.x, up.mm() / now.scale.y))
        }
        _ => tiles.clone(),
    };
    Ok(Step { scale: now.scale, tiles: Some(changed) })
}

/// The corrections with their places where they lie now.
pub(in super::super) fn now<'a>(
    sheets: impl Iterator<Item = &'a Drawing>,
    list: &[Correction],
) -> Vec<Correction> {
    let laid: Vec<&Laid> = sheets.map(|sheet| &*sheet.laid).collect();
    let mut list = list.to_vec();
    for (index, correction) in list.iter_mut().enumerate() {
        let Some(laid) = correction.sheet().and_then(|sheet| laid.get(sheet)) else { continue };
        for place in correction.places_mut() {
            *place = laid.now(index, *place);
        }
    }
    list
}
