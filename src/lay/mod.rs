//! Pieces on the cloth: the rules that a place must keep.
//!
//! Space: the table, in mm; x along the cloth, y across it from the edge of the usable width or from the fold (see
//! [`crate::cloth::Plies`]). A [`Place`] puts one copy there. [`Parts`] holds what a lay asks of the pieces, derived
//! once; a [`Laid`] is a cloth with parts, places and the [`LayRules`] set for it.
//!
//! - [`check`] says every rule that is broken, [`check_place`] those of one place while it is dragged; [`breaches`]
//!   says which rule, so that it can be let pass with a written reason.
//! - [`matches()`] lists the places that are brought together when sewn, with how far the print is off.
//! - [`snapped`] and [`kept_in_phase`] say where a dragged piece comes to rest.
//! - [`search`] finds a short lay.
//!
//! Print is always compared on the flat sheet, right side up, so that a folded cloth needs no rules of its own: what
//! is cut of the lower ply is looked at where it lies on the sheet.
//!
//! Limits: print is matched on pieces whose grainline lies along the cloth; on the bias checks become diamonds.

mod check;
mod join;
mod laid;
mod matching;
mod outline;
mod part;
mod place;
mod rules;
mod run;
pub mod search;
mod snap;

pub use check::{Breach, MendedPlace, breaches, check, check_place};
pub use laid::Laid;
pub use matching::{BarOrder, Failing, Match, MatchEnd, MatchedAt, PRINT_TOLERANCE_MM, matches};
pub use outline::{OVERLAP_MM2, Outline, Overlap};
pub use part::{Part, Parts};
pub use place::Place;
pub use rules::{CentreOn, Grain, LayRules, LetPass, Rule};
pub use snap::{kept_in_phase, snapped};
