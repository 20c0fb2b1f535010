//! The desk without a window: its panels by label and role, as a hand or a screen reader finds them.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]
#![allow(clippy::cast_possible_truncation, reason = "places on a screen are small numbers")]

mod aiming;
mod altering;
mod cloth;
mod cutting;
mod drawing;
mod findings;
mod holding;
mod laying;
mod measuring;
mod pages;
mod reader;
mod rules;
mod seat;
mod several_cloths;
mod stops;
