//! Pieces on the cloth.
