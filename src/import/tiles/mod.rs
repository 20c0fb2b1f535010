//! Tiles.
