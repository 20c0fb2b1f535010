//! The search for a good lay.

mod bound;
mod check;
mod climb;
mod field;
mod fill;
mod fits;
mod freedom;
mod hazards;
mod layout;
mod model;
mod no_fit;
mod outcome;
mod polygon;
mod problem;
mod run;
mod separate;

pub use check::{Broken, LARGEST_ERROR_MM, LARGEST_OVERLAP_MM2, check};
pub use outcome::{Bound, BoundKind, Outcome, Placed};
pub use problem::{Group, Item, Pinned, Pose, Problem, Repeat, SearchError, Steps};
pub use run::{Settings, search};
