//! alterations
