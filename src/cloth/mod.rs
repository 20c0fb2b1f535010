//! The length of cloth: how wide, how long, how it is folded, what is printed on it and which way is up.
//!
//! Space: on the *sheet* the cloth lies flat and right side up: x along it (the warp), y across it from one edge of
//! the usable width to the other, in mm. A print with a top has it towards positive x. On the *table* it may be
//! folded; [`Plies`] says how the two go together.
//!
//! What follows from the numbers is computed and never asked: the repeat ([`Print::repeat`]), whether bars are even
//! ([`Bars::are_even`]), where the print may be folded ([`Print::mirror_lines`]), whether the cloth has a direction
//! ([`Cloth::direction`]). [`Cloth::faults`] says what keeps a cloth from being cut as it is written down.
//!
//! Limits: the order of bars and the places of a motif are compared, not pictures; what a motif looks like is asked.

mod bars;
mod colour;
mod columns;
mod fault;
mod lattice;
mod look_over;
mod measured;
mod plies;
mod print;
mod state;
mod symmetry;

pub use bars::{Band, Bar, Bars, EVEN_MM};
pub use colour::{Colour, ColourError};
pub use columns::Columns;
pub use fault::ClothFault;
pub use lattice::Lattice;
pub use measured::{MeasuredPrint, MeasuredPrintError, PrintPlace};
pub use plies::{ClothFold, FoldWay, Plies, Ply, RightSides};
pub use print::{Motif, MotifWay, Print, Repeat};
pub use state::{Cost, Flaw, MOST_SHEAR_PERCENT, Shear, Shrinkage};
pub use symmetry::{MirrorLines, Unlike};

use crate::geometry::{Length, Rect};
use serde::{Deserialize, Serialize};

/// Smallest repeat that is a print, in mm. Below it is the weave.
pub const SMALLEST_REPEAT_MM: f64 = 1.0;

/// A length of cloth on the table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cloth {
    /// What she calls it.
    pub name: String,
    /// Usable width: what lies between the selvedges.
    pub width: Length,
    /// Whole width, selvedges counted, where it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub between_selvedges: Option<Length>,
    /// Length at hand.
    pub length: Length,
    /// Its main colour, as the eye sees it in white light.
    pub colour: Colour,
    /// How it lies on the table.
    #[serde(default, skip_serializing_if = "is_default")]
    pub plies: Plies,
    /// Whether it has a pile or a sheen, so that every piece must stand the same way up.
    #[serde(default, skip_serializing_if = "is_default")]
    pub nap: bool,
    /// What is printed or woven on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub print: Option<Print>,
    /// The same as it was found to lie on this very cloth; it is what pieces are laid by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured_print: Option<Print>,
    /// How much it shrinks, and whether it has.
    #[serde(default, skip_serializing_if = "is_default")]
    pub shrinkage: Shrinkage,
    /// How far the weft runs off square, where it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shear: Option<Shear>,
    /// Faults that pieces keep off.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub flaws: Vec<Flaw>,
    /// What a metre costs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost_per_metre: Option<Cost>,
}

fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

/// Which ways up pieces may lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// The print has a top: every piece with its top to positive x.
    Top,
    /// All pieces the same way up, whichever that is; and why.
    OneWay(Unlike),
    /// Either way up.
    Free,
}

impl Cloth {
    /// Plain cloth, in a single ply, with nothing known but its size.
    #[must_use]
    pub fn plain(name: impl Into<String>, width: Length, length: Length, colour: Colour) -> Self {
        Self {
            name: name.into(),
            width,
            between_selvedges: None,
            length,
            colour,
            plies: Plies::Flat,
            nap: false,
            print: None,
            measured_print: None,
            shrinkage: Shrinkage::default(),
            shear: None,
            flaws: Vec::new(),
            cost_per_metre: None,
        }
    }

    /// The usable cloth, flat, in its own coordinates.
    #[must_use]
    pub fn sheet(&self) -> Rect {
        Rect::new(0.0, 0.0, self.length.mm().max(0.0), self.width.mm().max(0.0))
    }

    /// The usable cloth as it lies on the table.
    #[must_use]
    pub fn extent(&self) -> Rect {
        let areas = self.plies().into_iter().map(|ply| ply.area);
        areas.reduce(|a, b| a.union(b)).unwrap_or_default()
    }

    /// Its plies on the table: one, or the facing and the turned one.
    #[must_use]
    pub fn plies(&self) -> Vec<Ply> {
        self.plies.of_sheet(self.sheet())
    }

    /// The ply that is seen from above: with the right sides in, the turned one, which shows its wrong side.
    #[must_use]
    pub fn seen_ply(&self) -> Option<Ply> {
        let plies = self.plies();
        let turned = plies.get(1).filter(|_| self.plies.right_sides() == Some(RightSides::In));
        turned.or_else(|| plies.first()).copied()
    }

    /// Where it is folded.
    #[must_use]
    pub fn fold(&self) -> Option<ClothFold> {
        self.plies.fold(self.sheet())
    }

    /// What of the table lies under two plies.
    #[must_use]
    pub fn double_area(&self) -> Option<Rect> {
        self.plies().get(1).map(|turned| turned.area)
    }

    /// Which ways up pieces may lie.
    #[must_use]
    pub fn direction(&self) -> Direction {
        match self.sound_print().and_then(Print::has_direction) {
            Some(Unlike::MotifTop) => Direction::Top,
            _ if self.nap => Direction::OneWay(Unlike::Nap),
            Some(unlike) => Direction::OneWay(unlike),
            None => Direction::Free,
        }
    }

    /// Whether pieces must not be turned upside down against each other.
    #[must_use]
    pub fn is_one_way(&self) -> bool {
        self.direction() != Direction::Free
    }

    /// Where a fold along or across the cloth brings the print upon its mirror image.
    #[must_use]
    pub fn mirror_lines(&self, way: FoldWay) -> MirrorLines {
        let sheet = self.sheet();
        let to = match way {
            FoldWay::Lengthwise => sheet.y1,
            FoldWay::Crosswise => sheet.x1,
        };
        match self.sound_print() {
            _ if way == FoldWay::Crosswise && self.nap => MirrorLines::Nowhere(Unlike::Nap),
            Some(print) => print.mirror_lines(way, 0.0, to),
            None => MirrorLines::Anywhere,
        }
    }

    /// By which ways the print comes upon itself.
    #[must_use]
    pub fn repeat(&self) -> Repeat {
        self.sound_print().map_or(Repeat::Plain, Print::repeat)
    }

    /// The cost of a length, where the cost of a metre is known.
    #[must_use]
    pub fn cost_of(&self, length_mm: f64) -> Option<Cost> {
        self.cost_per_metre.as_ref().map(|cost| cost.of_length(length_mm))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain() -> Cloth {
        let (width, length) = ("140 cm".parse().unwrap(), "260 cm".parse().unwrap());
        Cloth::plain("plain", width, length, Colour([200; 3]))
    }

    #[test]
    fn folded_cloth_covers_half_the_table() {
        let mut cloth = plain();
        assert_eq!(cloth.extent(), cloth.sheet());
        cloth.plies = Plies::FoldedLengthwise { right_sides: RightSides::In };
        assert_eq!(cloth.extent(), Rect::new(0.0, 0.0, 2600.0, 700.0));
        assert_eq!(cloth.double_area(), Some(cloth.extent()));
    }

    #[test]
    fn a_nap_gives_a_direction_and_forbids_the_crosswise_fold_alone() {
        let mut cloth = plain();
        assert_eq!(cloth.direction(), Direction::Free);
        cloth.nap = true;
        assert_eq!(cloth.direction(), Direction::OneWay(Unlike::Nap));
        assert_eq!(cloth.mirror_lines(FoldWay::Lengthwise), MirrorLines::Anywhere);
        assert_eq!(cloth.mirror_lines(FoldWay::Crosswise), MirrorLines::Nowhere(Unlike::Nap));
    }
}
