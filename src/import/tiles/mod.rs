//! Pages of a tiled file are not joined yet.
