//! chalkbeam projects altered sewing-pattern pieces onto cloth at true size.
//!
//! Everything is millimetres (f64) on a plane until the last step turns it into light. Read the rooms in the
//! order in which the data flows; each may use only what stands before it (`tests/house.rs` holds the table):
//!
//! ```text
//! import ─► pattern ─► alter ─► garment ─► lay ─► scene ─► light ─► the projector
//!                                 ▲         ▲        ▲
//!                               body      cloth     aim
//! ```

pub mod aim;
pub mod alter;
pub mod body;
pub mod cli;
pub mod cloth;
pub mod demo;
pub mod desk;
pub mod document;
pub mod finding;
pub mod floor;
pub mod garment;
pub mod geometry;
pub mod import;
pub mod lay;
pub mod light;
pub mod pattern;
pub mod remote;
pub mod scene;
pub mod sheet;
