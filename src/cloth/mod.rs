//! The length of cloth: how wide, how long, what is printed on it and which way is up.
//!
//! Cloth coordinates: x along the cloth (the warp), y across it from one selvedge to the other, in mm. A print
//! with a top has it towards positive x.

mod colour;
mod print;

pub use colour::{Colour, ColourError};
pub use print::{Bar, Bars, Lattice, Print};

use crate::geometry::{Length, Rect};
use serde::{Deserialize, Serialize};

/// A length of cloth on the table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cloth {
    /// What she calls it.
    pub name: String,
    /// Usable width between the selvedges.
    pub width: Length,
    /// Length at hand.
    pub length: Length,
    /// Its main colour, as the eye sees it in white light.
    pub colour: Colour,
    /// Whether it must not be turned upside down (a print with a top, a nap).
    #[serde(default)]
    pub one_way: bool,
    /// What is printed or woven on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub print: Option<Print>,
}

impl Cloth {
    /// The cloth as a rectangle in its own coordinates.
    #[must_use]
    pub fn extent(&self) -> Rect {
        Rect::new(0.0, 0.0, self.length.mm(), self.width.mm())
    }
}
