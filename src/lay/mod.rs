//! Pieces on the cloth.

mod place;

pub use place::Place;
