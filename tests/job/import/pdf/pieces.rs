//! What goes out as a PDF file of another program comes back as pieces in all sizes: outlines and notches.

use super::{EDGE_MM, NOTCH_MM, PLACES, file, moved, options};
use crate::coat::drafted;
use chalkbeam::geometry::{Affine, Point};
use chalkbeam::import;
use chalkbeam::pattern::Piece;

/// What LibreOffice Draw writes may be further off: it keeps whole hundredths of a millimetre from point to point, so
/// that a curve of thirty parts ends 0.2 mm away, in its PDF and in its SVG alike.
const ROUNDED_MM: f64 = 0.25;

/// Files, the scale at which they are printed, and how far off an edge may be. Sizes are told by colour, by dash and
/// colour, or by layer. Those of Inkscape and LibreOffice are made from cairo's (`drawing_programs.sh`).
const FILES: [(&str, f64, f64); 9] = [
    ("coat-cairo.pdf", 1.0, EDGE_MM),
    ("coat-inkscape.pdf", 1.0, EDGE_MM),
    ("coat-libreoffice.pdf", 1.0, ROUNDED_MM),
    ("../coat-libreoffice.svg", 1.0, ROUNDED_MM),
    ("coat-latex.pdf", 1.0, EDGE_MM),
    ("coat-mupdf.pdf", 1.0, EDGE_MM),
    ("coat-mupdf-layers.pdf", 1.0, EDGE_MM),
    ("coat-reportlab.pdf", 0.94, EDGE_MM),
    ("coat-layers.pdf", 1.0, EDGE_MM),
];

fn off(piece: &Piece, at: Point) -> f64 {
    piece.edges.iter().map(|edge| edge.curve.nearest(at).1).fold(f64::INFINITY, f64::min)
}

#[test]
fn every_edge_and_notch_of_the_coat_comes_back_in_five_sizes() {
    let coat = drafted();
    for (name, scale, edge_mm) in FILES {
        let imported = import::read(&file(name), &options()).unwrap();
        let pattern = &imported.pattern;
        assert_eq!(pattern.sizes.len(), 5, "{name}: {:?}", imported.findings);
        assert_eq!(pattern.pieces.len(), 6, "{name}: {:?}", imported.findings);
        for (id, place) in PLACES {
            for (index, size) in coat.sizes.iter().enumerate() {
                let drawn = coat.piece(&id.into(), size).unwrap();
                let sheet = Affine::scale(scale) * moved(place);
                let middle = sheet * drawn.bounding_box().center();
                // Six pieces stand apart: the one round whose middle this one's middle is nearest.
                let of_size = pattern.pieces.iter().map(|sized| &*sized.by_size[index]);
                let apart = |piece: &&Piece| piece.bounding_box().center().distance(middle);
                let found = of_size.min_by(|a, b| apart(a).total_cmp(&apart(b))).unwrap();
                for edge in &drawn.edges {
                    let length = edge.curve.length();
                    for step in 0..=60 {
                        let at = sheet * edge.curve.point_at(length * f64::from(step) / 60.0);
                        assert!(
                            off(found, at) <= edge_mm,
                            "{name}: {id} {size}, {}: {}",
                            edge.id,
                            off(found, at)
                        );
                    }
                }
                let whole = |piece: &Piece| piece.edges.iter().map(|edge| edge.curve.length()).sum::<f64>();
                // Where darts are, the drafted outline runs round them too.
                let (expected, length) = (scale * whole(drawn), whole(found));
                assert!((length - expected).abs() < 1.0, "{name}: {id} {size}: {length} for {expected}");
                assert_eq!(
                    found.notches.len(),
                    drawn.notches.len(),
                    "{name}: {id} {size}: {:?}",
                    imported.findings
                );
                for notch in &drawn.notches {
                    let at = sheet * drawn.notch_point(notch).unwrap();
                    let places = found.notches.iter().filter_map(|other| found.notch_point(other));
                    let off = places.map(|other| other.distance(at)).fold(f64::INFINITY, f64::min);
                    assert!(off <= NOTCH_MM, "{name}: {id} {size}, {}: {off} mm off", notch.id);
                }
            }
        }
    }
}
