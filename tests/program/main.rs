//! The job through the program: its commands, its windows, its files.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod hostile;
mod terminal;
mod windows;
