//! SVG drawings, as any drawing program writes them.
//!
//! **Scale.** The width and height of the drawing, in mm, cm, in, pt, pc or px (CSS: 96 px to the inch), against its
//! `viewBox`, give the millimetres of a unit, exactly; `preserveAspectRatio` is honoured. A drawing without a unit,
//! or as wide as its window (percent), has no size: that is an error, and
//! [`Options::millimetres_per_unit`] mends it. Lengths with a unit inside (`x="2mm"`) are multiples of the
//! drawing's own unit, as CSS has it, not millimetres on the table.
//!
//! **Shapes.** Paths with all their commands, lines, polylines, polygons, rectangles, circles, ellipses, groups,
//! links, nested drawings, clones (`use`) and symbols, under any transform. Circular arcs stay arcs as long as no transform makes ellipses
//! of them. Colours and widths are not read; a dash is. What is hidden (`display`, `visibility`, neither line nor
//! filling) is left out and told; clips and masks are not followed, and told.
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
mod look;
mod path;
mod scale;
mod shape;
mod text;
mod walk;

pub use error::{At, ImportError};

use super::recognise;
use super::{Drawing, Finding, FindingCode, Imported, Options, Severity};
use crate::geometry::Length;
use crate::pattern::{Pattern, SizedPiece};
use std::sync::Arc;

/// Largest file that is read, in bytes.
const LARGEST_FILE: usize = 256 * 1024 * 1024;

/// Reads an SVG drawing into a pattern of one size.
///
/// # Errors
/// [`ImportError`] when the file is no SVG, its size is not told, something in it cannot be read, or no piece is
/// found. Nothing is half-loaded.
pub fn read(bytes: &[u8], options: &Options) -> Result<Imported, ImportError> {
    let text = document::decode(bytes)?;
    let mut findings = Vec::new();
    let drawing = walk::drawing_of(&text, options, &mut findings)?;
    let found = recognise::pieces_of(&drawing, options.join_mm);
    findings.extend(found.findings);
    if found.pieces.is_empty() {
        let bad = findings
            .iter()
            .find(|finding| finding.severity == Severity::Stops);
        return Err(ImportError::NoPiece {
            what: bad.map_or_else(|| no_outline(&drawing), |finding| finding.what.clone()),
        });
    }
    let warn = |code, what: &str, remedy: &str| Finding::new(code, Severity::Warning, what, remedy);
    findings.push(warn(
        FindingCode::Allowance,
        "The outlines were taken for seam lines, and no allowance is added",
        "If the drawing shows cutting lines, leave it so; if it shows seam lines, give the allowances",
    ));
    findings.push(warn(
        FindingCode::Cutting,
        "The drawing does not tell how often a piece is cut, whether mirrored, and what is sewn to what",
        "Set cloth, count and pairs of each piece, and the seams, before the lay",
    ));
    findings.sort_by_key(|finding| finding.severity);
    let name = options.name.clone().or_else(|| drawing.title.clone());
    let pattern = Pattern {
        bodies: Vec::new(),
        measures: Vec::new(),
        name: name.unwrap_or_else(|| "Imported pattern".to_owned()),
        sizes: vec![options.size.clone()],
        pieces: found
            .pieces
            .into_iter()
            .map(|piece| SizedPiece {
                id: piece.id.clone(),
                by_size: vec![Arc::new(piece)],
            })
            .collect(),
        seams: Vec::new(),
        allowance: Length::from_mm(0.0),
        hem_allowance: Length::from_mm(0.0),
    };
    Ok(Imported { pattern, findings })
}

/// Why a drawing without outlines has none.
fn no_outline(drawing: &Drawing) -> String {
    let strokes = || drawing.groups.iter().flat_map(|group| &group.strokes);
    let largest = strokes().filter(|stroke| stroke.closed).map(|stroke| {
        let bounds = stroke.curve.bounding_box();
        bounds.width().hypot(bounds.height())
    });
    match largest.max_by(f64::total_cmp) {
        Some(across) if across < recognise::SMALLEST_PIECE_MM => {
            format!("the largest closed line is {across:.1} mm across; check the scale")
        }
        _ => format!(
            "the drawing has {} line(s), and none makes an outline",
            strokes().count()
        ),
    }
}
