//! The operator's window.
