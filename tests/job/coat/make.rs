//! How the coat is made: outlines, marks, widths of facings, the cutting list.

use super::draft::{ARMHOLE_FACING, DRILL_FROM_APEX, NECK_FACING};
use super::table::{WITHIN, close, coat, length, piece};
use chalkbeam::geometry::{Curve, Line, Point, Vec2, self_crossing};
use chalkbeam::pattern::{EdgeRole, Piece};

#[test]
fn every_outline_is_closed_simple_and_counter_clockwise() {
    let coat = coat();
    assert_eq!(coat.faults(), Vec::new());
    for sized in &coat.pieces {
        for piece in &sized.by_size {
            let mut points: Vec<Point> =
                piece.edges.iter().flat_map(|edge| edge.curve.flatten(0.01)).collect();
            points.pop();
            points.dedup_by(|a, b| a.distance(*b) < 1e-3);
            assert_eq!(self_crossing(&points), None, "{}", piece.id);
            let pairs = points.iter().zip(points.iter().cycle().skip(1));
            let doubled: f64 = pairs.map(|(a, b)| a.x * b.y - b.x * a.y).sum();
            assert!(doubled > 0.0, "{}", piece.id);
        }
    }
}

#[test]
fn marks_lie_inside_their_pieces() {
    let coat = coat();
    let inside = |piece: &Piece, point: Point| {
        // A ray to the left crosses the outline an odd number of times.
        let ray = Curve::line(Point::new(-2000.0, point.y + 1e-4), point + Vec2::new(0.0, 1e-4));
        let crossed = |curve: &Curve| chalkbeam::geometry::crossings(&ray, curve).len();
        piece.edges.iter().map(|edge| crossed(&edge.curve)).sum::<usize>() % 2 == 1
    };
    for piece in coat.pieces.iter().flat_map(|sized| &sized.by_size) {
        let grain = piece.grainline;
        for point in [grain.from, grain.to, grain.from.midpoint(grain.to)] {
            assert!(inside(piece, point), "grainline of {}", piece.id);
        }
        for text in &piece.texts {
            assert!(inside(piece, text.at), "text of {}", piece.id);
        }
        for hole in &piece.drill_holes {
            assert!(inside(piece, hole.at), "drill hole of {}", piece.id);
        }
        for balance in &piece.balance_lines {
            let Line { p0, p1 } = balance.line;
            assert!(inside(piece, p0.midpoint(p1)), "balance line of {}", piece.id);
            for end in [p0, p1] {
                let off = piece.edges.iter().map(|edge| edge.curve.nearest(end).1).fold(f64::MAX, f64::min);
                assert!(off < 1e-3, "balance line of {} ends {off} mm off the outline", piece.id);
            }
        }
    }
}

#[test]
fn facings_keep_their_width() {
    let coat = coat();
    let keeps = |id: &str, outer: &str, width: f64, size: usize| {
        let piece = piece(&coat, id, size);
        let (outer, inner) = (piece.edge(&outer.into()).unwrap(), piece.edge(&"inner edge".into()).unwrap());
        for step in 0..=200 {
            let point = inner.curve.point_at(inner.curve.length() * f64::from(step) / 200.0);
            let (_, off) = outer.curve.nearest(point);
            assert!((off - width).abs() < WITHIN, "{id}, size step {size}: {off} mm wide");
        }
    };
    for size in 0..5 {
        keeps("front armhole facing", "armhole", ARMHOLE_FACING, size);
        keeps("back armhole facing", "armhole", ARMHOLE_FACING, size);
        keeps("back neck facing", "neck", NECK_FACING, size);
        let facing = piece(&coat, "front facing", size);
        close("front facing's shoulder", size, length(&facing, "shoulder"), NECK_FACING);
    }
}

#[test]
fn the_drill_hole_lies_inside_the_dart_short_of_its_apex() {
    let coat = coat();
    for size in 0..5 {
        let front = piece(&coat, "front", size);
        let dart = front.dart(&"bust".into()).unwrap();
        let hole = front.drill_holes[0].at;
        close("drill hole from the apex", size, hole.distance(dart.apex), DRILL_FROM_APEX);
        let mouth = &front.dart_mouth(&dart.id).unwrap().curve;
        assert!(hole.distance(mouth.start()) < dart.apex.distance(mouth.start()));
    }
}

#[test]
fn the_cutting_list_is_the_coats() {
    let coat = coat();
    let list: Vec<String> = coat
        .pieces
        .iter()
        .map(|sized| {
            let cuttings = &sized.by_size[0].cuttings;
            let told: Vec<_> =
                cuttings.iter().map(|c| format!("{:?} {} {:?}", c.cloth, c.count, c.how)).collect();
            format!("{}: {}", sized.id, told.join(", "))
        })
        .collect();
    assert_eq!(
        list,
        [
            "back: Cloth 1 OpenedOut",
            "front: Cloth 2 MirroredPair",
            "front facing: Cloth 2 MirroredPair, Interfacing 2 MirroredPair",
            "back neck facing: Cloth 1 OnFold, Interfacing 1 OnFold",
            "front armhole facing: Cloth 2 MirroredPair, Interfacing 2 MirroredPair",
            "back armhole facing: Cloth 2 MirroredPair, Interfacing 2 MirroredPair",
        ]
    );
    let fold = |id: &str| piece(&coat, id, 0).edges.iter().any(|edge| edge.role == EdgeRole::Fold);
    assert!(fold("back") && fold("back neck facing") && !fold("front"));
}
