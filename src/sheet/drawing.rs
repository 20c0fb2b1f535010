//! The altered pieces as an SVG at true size.
//!
//! SVG (W3C, version 1.1): width and height in mm and a viewBox of the same numbers make one user unit one
//! millimetre. Pieces stand side by side, each a group; seam lines and cutting lines are groups inside it, an
//! edge a path with the id `piece/edge`. y is turned down, as SVG has it.

use crate::garment::Evaluated;
use crate::geometry::{Affine, BezPath};
use crate::pattern::Piece;
use kurbo::{PathEl, Point, Shape as _};
use std::fmt::Write as _;

/// Space around each piece, in mm.
const MARGIN_MM: f64 = 30.0;

/// The altered pieces at true size, one beside the other.
#[must_use]
pub fn drawing_svg(evaluated: &Evaluated, title: &str) -> String {
    let mut groups = String::new();
    let (mut right, mut lowest) = (MARGIN_MM, 0.0_f64);
    for piece in &evaluated.pieces {
        let outline = piece.cutting_path.clone().unwrap_or_else(|| piece.altered.outline());
        let bounds = outline.bounding_box();
        let motion = Affine::translate((right - bounds.x0, MARGIN_MM + bounds.y1)) * Affine::FLIP_Y;
        add_piece(&mut groups, &piece.altered, piece.cutting_path.as_ref(), motion);
        right += bounds.width() + MARGIN_MM;
        lowest = lowest.max(bounds.height() + 2.0 * MARGIN_MM);
    }
    let (width, height) = (number(right), number(lowest));
    let title = escaped(title);
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\">\n\
         <title>{title}</title>\n<g fill=\"none\" stroke=\"#000000\" stroke-width=\"0.5\">\n{groups}</g>\n</svg>\n"
    )
}

fn add_piece(groups: &mut String, piece: &Piece, cutting: Option<&BezPath>, motion: Affine) {
    let id = escaped(piece.id.as_str());
    // Writing to a String cannot fail.
    let mut line = |text: String| groups.push_str(&text);
    line(format!("<g id=\"{id}\">\n<g id=\"{id}/seam\" stroke-dasharray=\"12 4\">\n"));
    for edge in &piece.edges {
        let path = path_data(&(motion * edge.curve.to_bezpath()));
        line(format!("<path id=\"{id}/{}\" d=\"{path}\"/>\n", escaped(edge.id.as_str())));
    }
    line("</g>\n".to_owned());
    if let Some(cutting) = cutting {
        let path = path_data(&(motion * cutting.clone()));
        line(format!("<g id=\"{id}/cutting\">\n<path id=\"{id}/cutting line\" d=\"{path}\"/>\n</g>\n"));
    }
    let grain = piece.grainline;
    let path =
        path_data(&(motion * BezPath::from_vec(vec![PathEl::MoveTo(grain.from), PathEl::LineTo(grain.to)])));
    line(format!("<path id=\"{id}/grainline\" d=\"{path}\"/>\n</g>\n"));
}

/// Path data with a ten-thousandth of a millimetre.
fn path_data(path: &BezPath) -> String {
    let mut data = String::new();
    let point = |p: Point| format!("{} {}", number(p.x), number(p.y));
    for element in path.elements() {
        let step = match *element {
            PathEl::MoveTo(p) => format!("M{}", point(p)),
            PathEl::LineTo(p) => format!("L{}", point(p)),
            PathEl::QuadTo(a, p) => format!("Q{} {}", point(a), point(p)),
            PathEl::CurveTo(a, b, p) => format!("C{} {} {}", point(a), point(b), point(p)),
            PathEl::ClosePath => "Z".to_owned(),
        };
        // Writing to a String cannot fail.
        let _written = write!(data, "{step}");
    }
    data
}

fn number(value: f64) -> String {
    let rounded = (value * 10_000.0).round() / 10_000.0;
    // −0 reads badly.
    format!("{}", rounded + 0.0)
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
