//! Corrections in words, and what all of them have in common.

use super::{Correction, LineIs};
use crate::geometry::{Length, Point};

impl LineIs {
    /// Its words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::BalanceLine => "a lengthen/shorten line",
            Self::Grain => "the grainline",
            Self::Inner => "a line to be marked",
            Self::Notch => "a notch",
            Self::Drill => "a drill hole",
        }
    }
}

impl Correction {
    /// On which of the files it is, from 0; none for one that holds for all of them.
    #[must_use]
    pub const fn sheet(&self) -> Option<usize> {
        match self {
            Self::SizesBy(_) => None,
            Self::Join { sheet, .. }
            | Self::Split { sheet, .. }
            | Self::Drop { sheet, .. }
            | Self::Mark { sheet, .. }
            | Self::Size { sheet, .. }
            | Self::Corner { sheet, .. }
            | Self::NoCorner { sheet, .. }
            | Self::NamePiece { sheet, .. }
            | Self::NameEdge { sheet, .. }
            | Self::Grain { sheet, .. }
            | Self::Fold { sheet, .. }
            | Self::PageMoved { sheet, .. }
            | Self::PageTurned { sheet, .. }
            | Self::PageDropped { sheet, .. }
            | Self::Columns { sheet, .. }
            | Self::Ruler { sheet, .. }
            | Self::BySquare { sheet, .. }
            | Self::Unit { sheet, .. }
            | Self::Dots { sheet, .. }
            | Self::TestSquare { sheet, .. } => Some(*sheet),
        }
    }

    /// Its places on the sheet.
    pub(super) fn places_mut(&mut self) -> Vec<&mut Point> {
        match self {
            Self::Join { from, to, .. }
            | Self::Grain { from, to, .. }
            | Self::Ruler { from, to, .. }
            | Self::BySquare { from, to, .. }
            | Self::TestSquare { from, to, .. } => vec![from, to],
            Self::Split { at, .. }
            | Self::Drop { at, .. }
            | Self::Mark { at, .. }
            | Self::Size { at, .. }
            | Self::Corner { at, .. }
            | Self::NoCorner { at, .. }
            | Self::NamePiece { at, .. }
            | Self::NameEdge { at, .. }
            | Self::Fold { at, .. } => vec![at],
            Self::SizesBy(_)
            | Self::PageMoved { .. }
            | Self::PageTurned { .. }
            | Self::PageDropped { .. }
            | Self::Columns { .. }
            | Self::Unit { .. }
            | Self::Dots { .. } => Vec::new(),
        }
    }

    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        let bare = |at: &Point| format!("({:.1}, {:.1})", at.x, at.y);
        let place = |at: &Point| format!("at {}", bare(at));
        match self {
            Self::SizesBy(by) => format!("sizes are told apart by {}", by.word()),
            Self::Join { from, to, .. } => format!("the ends {} and {} are joined", place(from), place(to)),
            Self::Split { at, .. } => format!("the line is split {}", place(at)),
            Self::Drop { at, .. } => format!("the line {} is left out", place(at)),
            Self::Mark { at, is, .. } => format!("the line {} is {}", place(at), is.words()),
            Self::Size { at, size, .. } => format!("the line {} belongs to size {size}", place(at)),
            Self::Corner { at, .. } => format!("a corner {}", place(at)),
            Self::NoCorner { at, .. } => format!("no corner {}", place(at)),
            Self::NamePiece { at, name, .. } => format!("the piece {} is called “{name}”", place(at)),
            Self::NameEdge { at, name, .. } => format!("the edge {} is called “{name}”", place(at)),
            Self::Grain { from, to, .. } => format!("the grain runs from {} to {}", bare(from), bare(to)),
            Self::Fold { at, .. } => format!("the edge {} lies on the fold", place(at)),
            Self::PageMoved { page, right, up, .. } => format!("page {page} is moved{}", moved(right, up)),
            Self::PageTurned { page, quarters, .. } => match quarters % 4 {
                1 => format!("page {page} is turned to the left"),
                2 => format!("page {page} is turned upside down"),
                3 => format!("page {page} is turned to the right"),
                _ => format!("page {page} is turned once round"),
            },
            Self::PageDropped { page, dropped: true, .. } => format!("page {page} is left out"),
            Self::PageDropped { page, dropped: false, .. } => {
                format!("page {page} is part of the sheet again")
            }
            Self::Columns { columns, across, up, .. } => {
                format!("the pages lie in {columns} column(s), overlapping by {across} across and {up} up")
            }
            Self::Ruler { from, to, apart, .. } => {
                format!("from {} to {} it is {apart}: that is the scale", bare(from), bare(to))
            }
            Self::BySquare { from, to, side, .. } => format!(
                "the square from {} to {} is {side} wide and high: that is the scale, across and up",
                bare(from),
                bare(to)
            ),
            Self::Unit { mm, .. } => format!("one unit of the drawing is {mm} mm"),
            Self::Dots { per_inch, .. } => format!("the scan has {per_inch} dots in an inch"),
            Self::TestSquare { from, to, side, .. } => {
                format!("the test square of {side} lies from {} to {}", bare(from), bare(to))
            }
        }
    }
}

/// A move in words, without what is nothing.
fn moved(right: &Length, up: &Length) -> String {
    let way = |amount: &Length, more: &str, less: &str| {
        let typed = amount.to_string();
        match amount.mm() {
            mm if mm > 0.0 => format!(" {typed} {more}"),
            mm if mm < 0.0 => format!(" {} {less}", typed.trim_start_matches(['-', '−'])),
            _ => String::new(),
        }
    };
    let words = [way(right, "to the right", "to the left"), way(up, "up", "down")];
    match words.iter().all(String::is_empty) {
        true => " by nothing".to_owned(),
        false => words.iter().filter(|words| !words.is_empty()).cloned().collect::<Vec<_>>().join(" and"),
    }
}
