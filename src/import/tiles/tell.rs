//! What there is to say about pages that were put together.

use super::edges::{self, Side};
use super::{Placement, Tiles, place, sheet};
use crate::finding::{Finding, Severity};

/// A seam that is off by more than this is a warning, in mm: a chalk line is that wide.
const SEAM_MM: f64 = 0.5;

impl Tiles {
    pub(super) fn findings(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        let mut say = |finding: Finding| findings.push(finding);
        let tiles = self.placements.iter().filter(|place| place.used && self.is_tile(place)).count();
        match self.grid {
            Some((columns, rows, overlap)) => say(Finding::new(
                Severity::Note,
                format!(
                    "{tiles} pages were put together, {columns} across and {rows} down, overlapping by {:.1} mm and {:.1} mm",
                    overlap.x, overlap.y
                ),
                "Compare the sheet with the overview that came with the pattern",
            )),
            None => say(Finding::new(
                Severity::Warning,
                "The pages do not tell how they lie; they were put side by side",
                "If they are parts of one sheet, set columns and overlap, or move the pages",
            )),
        }
        let beside: Vec<String> = self
            .placements
            .iter()
            .filter(|place| place.used && self.grid.is_some() && !self.is_on_grid(place))
            .map(|place| (place.page + 1).to_string())
            .collect();
        if !beside.is_empty() {
            say(Finding::new(
                Severity::Warning,
                format!("Page(s) {} belong to no place of the sheet and lie beside it", beside.join(", ")),
                "Move them to their places, or leave them out",
            ));
        }
        let seams = self.seams();
        if let Some(worst) =
            seams.iter().filter(|seam| seam.lines > 0).max_by(|a, b| a.off_mm.total_cmp(&b.off_mm))
        {
            let severity = if worst.off_mm > SEAM_MM { Severity::Warning } else { Severity::Note };
            let (one, two) = (worst.pages.0 + 1, worst.pages.1 + 1);
            let what =
                format!("The worst seam, between pages {one} and {two}, is off by {:.2} mm", worst.off_mm);
            say(Finding::new(
                severity,
                what,
                "Nothing to do below half a millimetre; else move one of the pages",
            )
            .at(worst.from.midpoint(worst.to))
            .by_mm(worst.off_mm));
        }
        for seam in seams.iter().filter(|seam| !seam.broken.is_empty()) {
            let (one, two) = (seam.pages.0 + 1, seam.pages.1 + 1);
            let what =
                format!("{} line(s) end between pages {one} and {two} and do not go on", seam.broken.len());
            say(Finding::new(Severity::Warning, what, "Check that these two pages belong together")
                .at(seam.broken[0]));
        }
        findings.extend(self.open_seams());
        findings.extend(self.gaps());
        findings
    }

    fn is_on_grid(&self, place: &Placement) -> bool {
        let frame = self.frame_on_sheet(place);
        let others = self.placements.iter().filter(|other| other.used && other.page != place.page);
        let touches = |other: &Placement| place::beside(frame, self.frame_on_sheet(other)).is_some();
        self.is_tile(place) && others.into_iter().any(touches)
    }

    /// Pages that stand beside each other with a gap between them. Wider than half a page it is a place for another.
    fn open_seams(&self) -> Vec<Finding> {
        if self.grid.is_none() {
            return Vec::new();
        }
        let tiles = self.placements.iter().filter(|place| place.used && self.is_tile(place));
        let frames: Vec<_> = tiles.map(|place| (place.page + 1, self.frame_on_sheet(place))).collect();
        let mut findings = Vec::new();
        for (index, (one, a)) in frames.iter().enumerate() {
            for (two, b) in &frames[index + 1..] {
                let narrow = 0.5 * a.width().min(a.height());
                if let Some(gap) = place::gap(*a, *b).filter(|gap| *gap < narrow) {
                    let what = format!("A gap of {gap:.1} mm is between pages {one} and {two}");
                    let remedy = "Move one of the pages until their lines meet";
                    let middle = a.center().midpoint(b.center());
                    findings.push(Finding::new(Severity::Warning, what, remedy).at(middle).by_mm(gap));
                }
            }
        }
        findings
    }

    /// Sides of pages at which lines end and no page lies.
    fn gaps(&self) -> Vec<Finding> {
        let Some(common) = &self.common else { return Vec::new() };
        if self.grid.is_none() {
            return Vec::new();
        }
        let tiles = edges::tiles_of(&self.pages, common, |page| self.turns_of(page));
        let cells = sheet::cells(self);
        let mut findings = Vec::new();
        for (place, cell) in self.placements.iter().zip(&cells) {
            let (Some((_, seams)), Some((_, tile))) = (cell, self.tile_of(place.page)) else { continue };
            for (side, words) in Side::ALL.into_iter().zip(["left of", "right of", "below", "above"]) {
                let ends = tiles[tile].ends(side);
                if let (false, Some(first)) = (seams[side as usize], ends.first()) {
                    let what = format!(
                        "{} line(s) end where a page is missing {words} page {}",
                        ends.len(),
                        place.page + 1
                    );
                    findings.push(
                        Finding::new(
                            Severity::Warning,
                            what,
                            "Find the missing page, or check the order of the pages",
                        )
                        .at(first.at + place.at),
                    );
                }
            }
        }
        findings
    }
}
