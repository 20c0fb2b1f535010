//! Pieces on the cloth.

mod place;
pub mod search;

pub use place::Place;
