//! Shapes, path commands and transforms against usvg, a reader of SVG made by others, joined by id.

use super::{piece, read};
use chalkbeam::geometry::{BezPath, Curve, Point};
use usvg::tiny_skia_path::PathSegment;

/// usvg counts in pixels, 96 to the inch.
const MM_PER_PX: f64 = 25.4 / 96.0;

const WITHIN_MM: f64 = 0.01;

/// usvg's outline of a shape, in mm, y up from the lower edge of the page.
fn outline_by_usvg(tree: &usvg::Tree, id: &str) -> Curve {
    let Some(usvg::Node::Path(path)) = tree.node_by_id(id) else {
        panic!("usvg has no path {id}");
    };
    let transform = path.abs_transform();
    let height = f64::from(tree.size().height());
    let place = |point: usvg::tiny_skia_path::Point| {
        let (x, y) = (f64::from(point.x), f64::from(point.y));
        let [a, b, c, d, e, f] =
            [transform.sx, transform.ky, transform.kx, transform.sy, transform.tx, transform.ty]
                .map(f64::from);
        Point::new((a * x + c * y + e) * MM_PER_PX, (height - (b * x + d * y + f)) * MM_PER_PX)
    };
    let mut bez = BezPath::new();
    for segment in path.data().segments() {
        match segment {
            PathSegment::MoveTo(p) => bez.move_to(place(p)),
            PathSegment::LineTo(p) => bez.line_to(place(p)),
            PathSegment::QuadTo(p, q) => bez.quad_to(place(p), place(q)),
            PathSegment::CubicTo(p, q, r) => bez.curve_to(place(p), place(q), place(r)),
            PathSegment::Close => bez.close_path(),
        }
    }
    Curve::from_bezpath(&bez).unwrap()
}

fn furthest(from: &Curve, to: &[&Curve]) -> f64 {
    let points = (0..=400).map(|step| from.point_at(from.length() * f64::from(step) / 400.0));
    let off = |point: Point| to.iter().map(|curve| curve.nearest(point).1).fold(f64::INFINITY, f64::min);
    points.map(off).fold(0.0, f64::max)
}

#[test]
fn shapes_and_transforms_lie_where_usvg_puts_them() {
    let text = include_str!("../data/import/shapes.svg");
    let tree = usvg::Tree::from_str(text, &usvg::Options::default()).unwrap();
    let imported = read(text).unwrap();
    let ids = [
        "absolute",
        "relative",
        "arcs",
        "tight",
        "small-radius",
        "plain",
        "rounded",
        "round-corners",
        "round",
        "stretched",
        "oval",
        "many",
        "nested",
        "window",
        "in-inches",
        "percent",
        "units",
    ];
    assert_eq!(imported.pattern.pieces.len(), ids.len());
    for id in ids {
        let other = outline_by_usvg(&tree, id);
        let name = match id {
            // A group's only shape is the piece of that name.
            "nested" => "outer".to_owned(),
            _ => id.replace('-', " "),
        };
        let own: Vec<&Curve> = piece(&imported, &name).edges.iter().map(|edge| &edge.curve).collect();
        let (there, back) =
            (furthest(&other, &own), own.iter().map(|edge| furthest(edge, &[&other])).fold(0.0, f64::max));
        assert!(there.max(back) <= WITHIN_MM, "{id}: {there} mm and {back} mm apart");
    }
}
