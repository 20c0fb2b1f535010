//! What leaves the program: a full-scale drawing of the altered pieces.

mod drawing;

pub use drawing::drawing_svg;
