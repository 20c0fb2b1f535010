//! The length of cloth: width, print, direction.
