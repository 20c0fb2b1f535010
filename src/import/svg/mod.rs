//! SVG drawings, as any drawing program writes them.
//!
//! **Scale.** The width and height of the drawing, in mm, cm, in, pt, pc or px (CSS: 96 px to the inch), against its
//! `viewBox`, give the millimetres of a unit, exactly; `preserveAspectRatio` is honoured. A drawing without a unit,
//! or as wide as its window (percent), has no size: that is an error, and
//! [`Options::millimetres_per_unit`] mends it. Lengths with a unit inside (`x="2mm"`) are multiples of the
//! drawing's own unit, as CSS has it, not millimetres on the table.
//!
//! **Shapes.** Paths with all their commands, lines, polylines, polygons, rectangles, circles, ellipses, groups,
//! links, nested drawings, clones (`use`) and symbols, under any transform. Circular arcs stay arcs as long as no
//! transform makes ellipses of them. Colour, width, dash and filling are read, to tell sizes apart. What is hidden
//! (`display`, `visibility`, neither line nor filling) is left out and told; clips and masks are not followed, and
//! told. The wrapping that a program puts around each single shape is no group.
//!
//! **Names.** A shape or group is called by its label (`label` of any namespace, `aria-label`, `data-name`), else its
//! title, else its id, unless a program made the id up (`path123`). Names that hold *grain*, *notch*, *drill* or
//! *fold* make a mark of a line; a group whose name begins so makes marks of its lines. *Double* makes a notch
//! double.
//!
//! **Limits.** No filters, patterns, pictures or text on paths; of style sheets, the rules for an element, a class
//! or an id. Documents are walked without recursion, clones and shapes are counted.
//!
//! Sources: Scalable Vector Graphics (SVG) 2, W3C Candidate Recommendation 2018 (units §8.9, `viewBox` §8.6,
//! `preserveAspectRatio` §8.7, paths §9, arcs appendix B.2.4); CSS Values and Units Level 3 §6.2.

mod document;
mod error;
mod flood;
mod look;
mod path;
mod scale;
mod shape;
mod text;
mod walk;

pub use error::{At, SvgError};

use super::{Drawing, ImportError, Imported, Options, Unwatched, assemble};
use crate::finding::Finding;

/// Largest file that is read, in bytes.
const LARGEST_FILE: usize = 256 * 1024 * 1024;

/// Reads an SVG drawing into a pattern.
///
/// # Errors
/// [`ImportError`] when the file is no SVG, its size is not told, something in it cannot be read, or no piece is
/// found. Nothing is half-loaded.
pub fn read(bytes: &[u8], options: &Options) -> Result<Imported, ImportError> {
    let mut findings = Vec::new();
    let drawing = drawing(bytes, options, &mut findings)?;
    assemble::pattern_of(vec![(None, drawing)], options, &Unwatched, findings)
}

/// The strokes and words of an SVG drawing.
pub(super) fn drawing(
    bytes: &[u8],
    options: &Options,
    findings: &mut Vec<Finding>,
) -> Result<Drawing, SvgError> {
    let text = document::decode(bytes)?;
    walk::drawing_of(&text, options, findings)
}
