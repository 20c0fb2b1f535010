//! The search for a good lay: the shortest length of cloth that holds all pieces and keeps every rule.
//!
//! A [`Problem`] says what is to be laid; [`search`] gives an [`Outcome`] at once and better ones while it runs, until
//! time or moves are up or it is stopped. The same seed and number of moves give the same lay, and more moves never a
//! longer one. [`check`] confirms a lay by other means than the search uses, and no lay goes out without it;
//! [`relief`] tries what would make it shorter.
//!
//! How: pieces may be turned in few ways only, so that for each pair of outlines the places of overlap form one
//! *no-fit polygon* (`no_fit`), and how deep two pieces overlap is a look into a table (`field`). A first lay is filled
//! in piece by piece (`fill`). Then the strip is shortened, which makes pieces overlap, and guided local search moves
//! them apart (`separate`, `hazards`), over and over (`climb`). Matching groups move as a whole where their phase is
//! free (`phases`). Pieces on the fold start from their shortest sequence (`fold_sequence`), and on a coarse lattice
//! places are counted out, up to a proof (`board`, `exact`, `lattice`).
//!
//! Fields are made for pairs, so that many different pieces would wait for them. There the first lay, and above some
//! thousands of fields the whole search, asks the collision engine jagua-rs instead (`quadtree`, `crowd`). Measured on
//! two shared cores by `cargo bench --bench lay`: of 300 different pieces in two turns a first lay comes after 0.4 s
//! instead of 25 s, in four turns after 0.7 s, where fields would not fit into memory. Where fields are at hand they
//! answer 22 million places a second against forty pieces, the quadtree 6 million and exact outlines 0.2 million; they
//! also say how far two pieces overlap and not only whether, and are exact in f64 where pieces touch. Hence they guide
//! the search, and hence a piece dragged by hand, which asks for areas and gaps, is looked at by its outlines: every
//! rule in 0.3 ms. The tests hold each engine against the other ([`Clearance`]).
//!
//! Space: mm, x along the cloth, y across it; the fold is y = 0. Limits: outlines are simple polygons without holes; a
//! piece that just passes into a pocket of another without any room is not seen to fit.

mod board;
mod bound;
mod check;
mod clearance;
mod climb;
mod crowd;
mod exact;
mod field;
mod fields;
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
mod quadtree;
mod relief;
mod run;
mod separate;

pub use check::{Broken, LARGEST_ERROR_MM, LARGEST_OVERLAP_MM2, check};
pub use clearance::{Clearance, Engine};
pub use outcome::{Bound, BoundKind, Outcome, Placed};
pub use problem::{Group, Item, Pinned, Pose, Problem, Repeat, SearchError, Steps};
pub use relief::{Change, Relief, SEAM_ALLOWANCE_MM, changes, relief, tried, tried_all};
pub use run::{Settings, search};
