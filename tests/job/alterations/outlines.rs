//! Seam lengths of the coat, parallel curves and cutting lines, against numbers from outside.

use super::draft::*;
use super::measure::*;
use super::{applied, hem::hem};
use chalkbeam::alter::{Allowances, AlterError, CutRunOf, CuttingLine, cutting_line};
use chalkbeam::geometry::{BezPath, Curve, Point, parallel};
use chalkbeam::pattern::{EdgeRole, HowCut, Piece};
use kurbo::Shape as _;
use proptest::prelude::*;
use std::f64::consts::{FRAC_PI_2, PI};

/// GEOS 3.14.1 through Shapely 2.2.0; how it was made stands in the file's `source`.
fn geos() -> serde_json::Value {
    serde_json::from_str(include_str!("../data/alter/parallels.json")).unwrap()
}

fn points(value: &serde_json::Value) -> Vec<Point> {
    let pair = |p: &serde_json::Value| Point::new(p[0].as_f64().unwrap(), p[1].as_f64().unwrap());
    value.as_array().unwrap().iter().map(pair).collect()
}

/// The coat's published table: side, shoulder, armhole back/front, neck back/front, mouth, hem quarter.
const TABLE: [[f64; 8]; 5] = [
    [880.24, 112.0, 232.96, 229.10, 80.94, 132.97, 22.78, 385.28],
    [879.91, 114.0, 236.79, 232.22, 82.38, 134.81, 24.74, 395.05],
    [879.58, 116.0, 240.77, 235.41, 83.82, 136.65, 26.78, 404.82],
    [879.26, 118.0, 244.89, 238.67, 85.26, 138.50, 28.91, 414.59],
    [878.93, 120.0, 249.13, 242.00, 86.71, 140.35, 31.13, 424.37],
];

#[test]
fn the_unaltered_coat_has_the_lengths_of_its_table() {
    let pattern = coat();
    for (row, size) in TABLE.iter().zip(&pattern.sizes) {
        let length = |piece: &str, edge: &str| {
            let edge = pattern.piece(&piece.into(), size).unwrap().edge(&edge.into()).unwrap();
            let library = edge.curve.length();
            assert!((library - sampled(&edge.curve)).abs() < 1e-3, "arc length against dense sampling");
            library
        };
        let found = [
            length("back", "side"),
            length("back", "shoulder"),
            length("back", "armhole"),
            length("front", "armhole"),
            length("back", "neck"),
            length("front", "neck"),
            length("front", "dart_mouth"),
            length("back", "hem"),
        ];
        for (expected, found) in row.iter().zip(found) {
            assert!((expected - found).abs() < 0.006, "{size}: {expected} {found}");
        }
        let front_side = length("front", "side_upper") + length("front", "side_lower");
        assert!((front_side - row[0]).abs() < 0.006);
    }
}

#[test]
fn parallels_agree_with_geos() {
    let geos = geos();
    let cases = geos["parallels"].as_array().unwrap();
    assert!(cases.len() > 40);
    for case in cases {
        let cubic = points(&case["cubic"]);
        let curve = Curve::cubic(cubic[0], cubic[1], cubic[2], cubic[3]);
        let distance = case["distance"].as_f64().unwrap();
        let offset = parallel(&curve, distance).unwrap();
        for point in points(&case["points"]) {
            let (_, off) = offset.nearest(point);
            assert!(off < 0.02, "{} at {distance}: {off}", case["curve"]);
        }
        // The length of a parallel is L − d·Δθ.
        let corner = |from: Point, to: Point| (to - from).atan2();
        let turn = corner(cubic[2], cubic[3]) - corner(cubic[0], cubic[1]);
        let exact = sampled(&curve) - distance * turn.sin().atan2(turn.cos());
        assert!((offset.length() - exact).abs() < 0.002, "{} at {distance}", case["curve"]);
    }
}

fn allowances(seam: f64, hem: f64) -> Allowances {
    Allowances {
        seam: mm(seam),
        hem: mm(hem),
        corners: std::collections::BTreeMap::new(),
        margins: Vec::new(),
    }
}

#[test]
fn the_cutting_line_of_the_front_agrees_with_the_buffer_of_geos() {
    let (pattern, geos) = (coat(), geos());
    for case in geos["buffers"].as_array().unwrap() {
        let size = case["size"].as_u64().unwrap();
        let name = format!("{}", 84 + 4 * size);
        let front = pattern.piece(&"front".into(), &name.as_str().into()).unwrap();
        let line = cutting_line(front, &allowances(15.0, 15.0)).unwrap();
        let outline = line.outline();
        let (area, length) = (outline.area(), outline.perimeter(1e-6));
        let case_area = case["area"].as_f64().unwrap();
        assert!(area > 0.0, "counter-clockwise");
        assert!((area - case_area).abs() < 0.02 * length, "{area} {case_area}");
        assert!((length - case["length"].as_f64().unwrap()).abs() < 0.05);
        for point in points(&case["points"]) {
            let off = line.runs.iter().map(|run| run.curve.nearest(point).1).fold(f64::INFINITY, f64::min);
            assert!(off < 0.02, "{off} at {point:?}");
        }
    }
}

/// Distance from a point to the seam line, edges without allowance left out.
fn off_seam(piece: &Piece, point: Point) -> f64 {
    let edges = piece.edges.iter().filter(|edge| edge.role != EdgeRole::Fold);
    edges.map(|edge| edge.curve.nearest(point).1).fold(f64::INFINITY, f64::min)
}

fn along<'a>(
    piece: &'a Piece,
    line: &'a CuttingLine,
) -> impl Iterator<Item = (&'a chalkbeam::pattern::Edge, &'a Curve)> {
    piece.edges.iter().map(|edge| (edge, &line.along(&edge.id).unwrap().curve))
}

#[test]
fn the_allowance_is_there_once_and_goes_back_to_the_seam_line() {
    let pattern = coat();
    let altered = applied(&pattern, "96", [super::lengthen::at_waist(21.0, None), hem(-80.0)]);
    for piece in &altered.pieces {
        let line = cutting_line(piece, &altered.allowances).unwrap();
        for (edge, run) in along(piece, &line) {
            let width = match edge.role {
                EdgeRole::Fold => 0.0,
                EdgeRole::Hem => 25.0,
                _ => 15.0,
            };
            let length = run.length();
            for step in 0..=50 {
                let point = run.point_at(length * f64::from(step) / 50.0);
                let (place, off) = edge.curve.nearest(point);
                // Carried-on ends lie beyond the edge's end; beside the edge the width is exact.
                let beside = place > 0.1 && place < edge.curve.length() - 0.1;
                if beside {
                    assert!((off - width).abs() < 2e-3, "{} {} {off}", piece.id, edge.id);
                }
                if width > 0.0 {
                    let nearest = off_seam(piece, point);
                    assert!(nearest > 14.99, "{} {} {step}: {nearest}", piece.id, edge.id);
                }
            }
            let back = parallel(run, width).unwrap();
            for step in 1..50 {
                let point = back.point_at(back.length() * f64::from(step) / 50.0);
                let (place, off) = edge.curve.nearest(point);
                let beside = place > 0.1 && place < edge.curve.length() - 0.1;
                assert!(!beside || off < 3e-3, "{} {}: {off}", piece.id, edge.id);
            }
        }
    }
}

#[test]
fn the_stretches_are_named_closed_and_arcs_stay_arcs() {
    let pattern = coat();
    let back = pattern.piece(&"back".into(), &"88".into()).unwrap();
    let line = cutting_line(back, &Allowances::of(&pattern)).unwrap();
    for (index, run) in line.runs.iter().enumerate() {
        let next = &line.runs[(index + 1) % line.runs.len()];
        assert!(run.curve.end().distance(next.curve.start()) < 1e-6, "{:?}", run.of);
    }
    let hem = &line.along(&"hem".into()).unwrap().curve;
    assert_eq!(hem.segments().len(), 1);
    let d = draft(1);
    assert!((hem.start().distance(d.c) - (d.c.y + 745.0)).abs() < 1e-9);
    // At the fold the hem is square: its allowance ends on the fold's line.
    assert!(hem.start().x.abs() < 1e-9 && (hem.start().y + 745.0).abs() < 1e-9);
    assert!(line.runs.iter().any(|run| run.of == CutRunOf::Corner("underarm".into())));
}

#[test]
fn a_square_grows_by_its_allowance_on_every_side() {
    let corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)].map(Point::from);
    let names = ["a", "b", "c", "d"];
    let edges = (0..4).map(|at| {
        let next = (at + 1) % 4;
        edge(names[at], names[at], names[next], EdgeRole::Seam, Curve::line(corners[at], corners[next]))
    });
    let square = lone(piece("square", edges.collect(), 1, HowCut::Single));
    let one = square.piece(&"square".into(), &"one".into()).unwrap();
    let line = cutting_line(one, &Allowances::of(&square)).unwrap();
    assert!((line.outline().area() - 130.0 * 130.0).abs() < 1e-6);
    let negative = cutting_line(one, &allowances(-1.0, 25.0));
    assert!(matches!(negative, Err(AlterError::NegativeAllowance { .. })));
}

#[test]
fn a_point_sharper_than_the_limit_is_cut_off_at_three_widths() {
    let (tip, a, b) = (Point::new(200.0, 0.0), Point::new(0.0, 20.0), Point::new(0.0, -20.0));
    let wedge = piece(
        "wedge",
        vec![
            edge("lower", "b", "tip", EdgeRole::Seam, Curve::line(b, tip)),
            edge("upper", "tip", "a", EdgeRole::Seam, Curve::line(tip, a)),
            edge("left", "a", "b", EdgeRole::Seam, Curve::line(a, b)),
        ],
        1,
        HowCut::Single,
    );
    let pattern = lone(wedge.clone());
    let line = cutting_line(&wedge, &Allowances::of(&pattern)).unwrap();
    assert!((line.outline().bounding_box().x1 - (200.0 + 45.0)).abs() < 1e-6);
}

/// The seam line back from the cutting line by another kernel: i_overlay's offset of the polygon inwards.
#[test]
fn an_inward_offset_by_i_overlay_gives_the_area_of_the_seam_line() {
    use i_overlay::mesh::float::outline::offset::OutlineOffset as _;
    use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};
    let pattern = coat();
    let front = pattern.piece(&"front".into(), &"88".into()).unwrap();
    let line = cutting_line(front, &allowances(15.0, 15.0)).unwrap();
    let polygon = |path: &BezPath| {
        let mut points: Vec<[f64; 2]> = Vec::new();
        kurbo::flatten(path, 0.0005, |element| match element {
            kurbo::PathEl::MoveTo(p) | kurbo::PathEl::LineTo(p) => points.push([p.x, p.y]),
            _ => {}
        });
        points
    };
    let style = OutlineStyle::new(-15.0).line_join(LineJoin::Miter(0.1));
    let shapes = polygon(&line.outline()).outline(&style);
    assert_eq!(shapes.len(), 1);
    let ring = &shapes[0][0];
    let twice: f64 = (0..ring.len())
        .map(|at| {
            let (p, q) = (ring[at], ring[(at + 1) % ring.len()]);
            p[0] * q[1] - p[1] * q[0]
        })
        .sum();
    let (area, outline) = (0.5 * twice.abs(), front.outline());
    let perimeter = outline.perimeter(1e-6);
    assert!((area - outline.area()).abs() < 0.02 * perimeter, "{area} {}", outline.area());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn out_and_in_again_is_the_line(distance in 1.0..40.0_f64, size in 0_u8..5) {
        let d = draft(size);
        for p in [d.back_neck, d.front_armhole, d.side] {
            let curve = Curve::cubic(p[0], p[1], p[2], p[3]);
            // To the outer side first, where no bend is too sharp.
            let outer = if curve.turn() > 0.0 { -distance } else { distance };
            let Ok(out) = parallel(&curve, outer) else { continue };
            let back = parallel(&out, -outer).unwrap();
            prop_assert!((back.length() - curve.length()).abs() < 0.02);
            for step in 0..=20 {
                let (_, off) = curve.nearest(back.point_at(back.length() * f64::from(step) / 20.0));
                prop_assert!(off < 2e-3, "{off}");
            }
        }
    }

    #[test]
    fn a_skirts_cutting_line_is_its_rings_grown(radius in 80.0..300.0_f64, length in 200.0..700.0_f64) {
        let skirt = circle_skirt(radius, length, FRAC_PI_2, 1, HowCut::OpenedOut);
        let pattern = lone(skirt.clone());
        let line = cutting_line(&skirt, &Allowances::of(&pattern)).unwrap();
        // The ring from r − 15 to R + 25, and beside the side seam 15 mm (its two ends a little more, where the
        // corners are square to the side: (r − 15 .. R + 25) long).
        let (inner, outer) = (radius - 15.0, radius + length + 25.0);
        let ring = PI / 4.0 * (outer * outer - inner * inner);
        let strip = 15.0 * (outer - inner);
        prop_assert!((line.outline().area() - ring - strip).abs() < 1e-3 * ring);
    }
}
