//! The garden coat: the demo that the program brings with it.

use crate::garment::{Garment, GarmentError, OpenGarment};
use crate::pattern::Pattern;
use std::path::Path;

const PATTERN: &str = include_str!("../demo-data/garden-coat.pattern.ron");
const GARMENT: &str = include_str!("../demo-data/garden-coat.garment.ron");

/// Opens the garden coat from memory. It has no file until it is saved under a name.
///
/// # Errors
/// None for the data that is built in; the type is that of every garment.
pub fn garden_coat() -> Result<OpenGarment, GarmentError> {
    let path = Path::new("garden-coat.garment.ron");
    let pattern = Pattern::parse(PATTERN, "garden-coat.pattern.ron")
        .map_err(|source| GarmentError::Pattern { garment: path.to_owned(), source })?;
    Ok(OpenGarment::new(Garment::parse(path, GARMENT, pattern)?, None))
}
