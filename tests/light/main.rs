//! The job as light: rendered on a (software) Vulkan device and measured in the picture.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]
#![allow(clippy::cast_possible_truncation, reason = "a pixel's number is the whole part of its place")]

mod desk;
mod horizon;
mod labels;
mod lens;
mod lines;
mod on_cloth;
mod room;
mod studio;
mod true_size;
