//! Where the light falls: from measured marks to a homography, and what is known about its error.

mod homography;

pub use homography::{Homography, HomographyError};
