//! The job through the public interface, without GPU or window.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod aim;
mod alterations;
mod checks;
mod cloth;
mod coat;
mod fit;
mod garment;
mod garments;
mod import;
mod lay_rules;
mod lay_search;
mod lit_words;
mod outdated;
mod remote;
mod stands;
mod undo;
