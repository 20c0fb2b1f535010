//! The job through the program: its commands, its windows, its files.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod browser;
mod hostile;
mod phone;
#[cfg(all(unix, not(target_os = "macos")))]
mod screens;
mod stage;
mod terminal;
mod under_light;
mod windows;

use std::io::Write as _;

/// Past the test harness, which swallows what a passing test prints.
#[expect(clippy::explicit_write, reason = "eprintln would be swallowed")]
fn say(words: &str) {
    writeln!(std::io::stderr(), "{words}").unwrap();
}
