//! import
