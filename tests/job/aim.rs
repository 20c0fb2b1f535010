//! aim
