//! coat
