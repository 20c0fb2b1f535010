//! The search for a good lay.

mod board;
mod bound;
mod check;
mod climb;
mod exact;
mod field;
mod fill;
mod fits;
mod fold_sequence;
mod freedom;
mod hazards;
mod lattice;
mod layout;
mod model;
mod no_fit;
mod outcome;
mod phases;
mod polygon;
mod problem;
mod run;
mod separate;

pub use check::{Broken, LARGEST_ERROR_MM, LARGEST_OVERLAP_MM2, check};
pub use outcome::{Bound, BoundKind, Outcome, Placed};
pub use problem::{Group, Item, Pinned, Pose, Problem, Repeat, SearchError, Steps};
pub use run::{Settings, search};
