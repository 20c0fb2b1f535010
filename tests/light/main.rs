//! The job as light: rendered on a (software) Vulkan device and measured in the picture.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]
