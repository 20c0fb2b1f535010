//! Alterations: records replayed from the untouched pattern.
//!
//! The pattern is never edited. An [`Alteration`] is a record of what was asked for; [`replay`] applies a list
//! of them, in order, to the pieces of one size and answers with new pieces and a report for each step. A step
//! that cannot be done is kept, explained ([`Outcome::Failed`]) and skipped; the steps after it still run. Undo
//! is therefore a shorter list, and nothing derived is ever saved.
//!
//! One file an alteration; each is a pure function of the pieces before it. Amounts are [`Length`]s as typed
//! and keep their unit; records point to pieces, edges, corners and lines by name, never by place in a list.
//! Millimetres, y up, outlines counter-clockwise: the inside of a piece lies to the left of travel.
//!
//! The seam line is the master. [`cutting_line`] derives the line to cut from it and the allowances, once, at
//! the end.
//!
//! [`Length`]: crate::geometry::Length

mod allowance;
mod allowances;
mod blend;
mod cutting_line;
mod dart;
mod draft;
mod error;
mod facing;
mod full_bust;
mod hem;
mod lengthen;
mod opening;
mod other_size;
mod place;
mod record;
mod replay;
mod report;
mod reshape;
mod shoulder;
mod stale;
mod width;
mod words;

pub use allowance::Allowance;
pub use allowances::{Allowances, CornerShape, MarginAt, MarginZone};
pub use blend::Blend;
pub use cutting_line::{CutRun, CutRunOf, CuttingLine, cutting_line};
pub use dart::{AlterDart, DartChange};
pub use error::AlterError;
pub use facing::{Faced, Facing, WidthAlong};
pub use full_bust::FullBust;
pub use hem::{Hem, HemSideError, garment_hem_length};
pub use lengthen::{DartsAcross, Lengthen, LengthenAt};
pub use opening::{Fade, Opening, OpeningPart};
pub use place::Place;
pub use record::{Alteration, AlterationId, Pieces, Record};
pub use replay::{Outcome, Replay, ReplayMemory, Step, replay};
pub use report::{Amount, EdgeChange, Figure, PieceMove, Report};
pub use shoulder::{Shoulder, ShoulderArmhole, ShoulderPart};
pub use stale::Stale;
pub use width::Width;
pub use words::NamedAmount;
