//! The coat's table: lengths, angles and places of five sizes, within a hundredth of a millimetre.
//!
//! Each length is taken twice: by the library's arc length and by adding up many short chords of the points that
//! the file gives, with formulas of this test's own.

use super::demo;
use chalkbeam::geometry::{Curve, Point, Segment, Vec2};
use chalkbeam::pattern::{Pattern, Piece, Run};
use std::f64::consts::{FRAC_PI_2, PI};
use std::sync::Arc;

/// One line of the table.
struct Row {
    side: f64,
    shoulder: f64,
    armholes: [f64; 2],
    necks: [f64; 2],
    mouth: f64,
    hem_quarter: f64,
}

/// Size by size: side (front and back alike), shoulder, armhole back and front, neck back and front, dart mouth,
/// a quarter of the hem. The coat is invented; its maker's table, from the same formulas in another language.
const TABLE: [Row; 5] = [
    row(880.24, 112.0, [232.96, 229.10], [80.94, 132.97], 22.78, 385.28),
    row(879.91, 114.0, [236.79, 232.22], [82.38, 134.81], 24.74, 395.05),
    row(879.58, 116.0, [240.77, 235.41], [83.82, 136.65], 26.78, 404.82),
    row(879.26, 118.0, [244.89, 238.67], [85.26, 138.50], 28.91, 414.59),
    row(878.93, 120.0, [249.13, 242.00], [86.71, 140.35], 31.13, 424.37),
];

const fn row(
    side: f64,
    shoulder: f64,
    armholes: [f64; 2],
    necks: [f64; 2],
    mouth: f64,
    hem_quarter: f64,
) -> Row {
    Row { side, shoulder, armholes, necks, mouth, hem_quarter }
}

/// The table has two decimals.
pub(super) const WITHIN: f64 = 0.01;

pub(super) fn coat() -> Pattern {
    Pattern::read(demo("garden-coat.pattern.ron")).unwrap()
}

pub(super) fn piece(coat: &Pattern, id: &str, size: usize) -> Arc<Piece> {
    Arc::clone(coat.piece(&id.into(), &coat.sizes[size]).unwrap())
}

/// Length by chords, without the library: Bernstein polynomials, or the cosine and sine of an arc.
fn chord_length(curve: &Curve) -> f64 {
    const CHORDS: u32 = 20_000;
    let place = |segment: &Segment, t: f64| match segment {
        Segment::Line(line) => (1.0 - t) * line.p0.to_vec2() + t * line.p1.to_vec2(),
        Segment::Cubic(c) => {
            let u = 1.0 - t;
            let weights = [u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t];
            let points = [c.p0, c.p1, c.p2, c.p3];
            (0..4).fold(Vec2::ZERO, |sum, k| sum + weights[k] * points[k].to_vec2())
        }
        Segment::Arc(arc) => {
            let angle = arc.start_angle + t * arc.sweep;
            arc.center.to_vec2() + arc.radius * Vec2::new(angle.cos(), angle.sin())
        }
    };
    let one = |segment: &Segment| -> f64 {
        let at = |k: u32| place(segment, f64::from(k) / f64::from(CHORDS));
        (0..CHORDS).map(|k| (at(k + 1) - at(k)).hypot()).sum()
    };
    curve.segments().iter().map(one).sum()
}

/// Both measures of an edge; they must agree before either is compared.
pub(super) fn length(piece: &Piece, edge: &str) -> f64 {
    measured(&piece.edge(&edge.into()).unwrap().curve)
}

fn measured(curve: &Curve) -> f64 {
    let (own, library) = (chord_length(curve), curve.length());
    assert!((own - library).abs() < 1e-4, "{own} by chords, {library} by the library");
    library
}

pub(super) fn close(what: &str, size: usize, found: f64, tabled: f64) {
    assert!((found - tabled).abs() <= WITHIN, "{what}, size step {size}: {found:.4} mm, tabled {tabled}");
}

#[test]
fn every_length_of_the_table_is_met_in_every_size() {
    let coat = coat();
    for (size, row) in TABLE.iter().enumerate() {
        let (back, front) = (piece(&coat, "back", size), piece(&coat, "front", size));
        close("back side", size, length(&back, "side"), row.side);
        let front_side = length(&front, "side upper") + length(&front, "side lower");
        close("front side", size, front_side, row.side);
        close("back shoulder", size, length(&back, "shoulder"), row.shoulder);
        close("front shoulder", size, length(&front, "shoulder"), row.shoulder);
        close("back armhole", size, length(&back, "armhole"), row.armholes[0]);
        close("front armhole", size, length(&front, "armhole"), row.armholes[1]);
        close("back neck", size, length(&back, "neck"), row.necks[0]);
        // The table measures to the centre front; the edge goes on straight to the front edge.
        close("front neck", size, length(&front, "neck") - 30.0, row.necks[1]);
        let mouth = &front.dart_mouth(&"bust".into()).unwrap().curve;
        close("dart mouth", size, mouth.start().distance(mouth.end()), row.mouth);
        close("back hem", size, length(&back, "hem"), row.hem_quarter);
        close("front hem", size, length(&front, "hem") - 30.0, row.hem_quarter);
    }
}

#[test]
fn the_dart_of_size_88_is_trued_as_tabled() {
    let coat = coat();
    let front = piece(&coat, "front", 1);
    let dart = front.dart(&"bust".into()).unwrap();
    let cap = &front.dart_mouth(&dart.id).unwrap().curve;
    for leg in [cap.start(), cap.end()] {
        close("dart leg", 1, dart.apex.distance(leg), 105.24);
    }
    let [Segment::Line(lower), Segment::Line(_)] = cap.segments() else {
        panic!("the cap has two straight sides");
    };
    let tip = lower.p1;
    close("cap tip x", 1, tip.x, 243.27);
    close("cap tip y", 1, tip.y, 121.58);
    close("cap tip from the apex", 1, tip.distance(dart.apex), 110.27);
}

#[test]
fn a_closed_dart_gives_a_straight_side_in_every_size() {
    // Truing: the angles inside the cloth at both mouth corners, cap included, add up so that the seam is straight.
    let coat = coat();
    for size in 0..5 {
        let front = piece(&coat, "front", size);
        let dart = front.dart(&"bust".into()).unwrap();
        let cap = &front.dart_mouth(&dart.id).unwrap().curve;
        let (lower, upper) = (cap.start(), cap.end());
        let inner = |corner: Point, along_side: Vec2| angle_between(dart.apex - corner, along_side);
        let below = front.edge(&"side lower".into()).unwrap().curve.end_tangent();
        let above = front.edge(&"side upper".into()).unwrap().curve.start_tangent();
        let sum = inner(lower, -below) + inner(upper, above);
        assert!((sum - PI).abs() < 1e-6, "{} degrees", sum.to_degrees());
        // The cap folds onto the side: its tip, reflected in the lower leg, lies on the line of the side.
        let tip = cap.segments()[0].end();
        let leg = (lower - dart.apex).normalize();
        let off = tip - dart.apex;
        let folded = dart.apex + 2.0 * off.dot(leg) * leg - off;
        assert!((folded - lower).cross(below).abs() < 1e-5);
        // And it lies midway between the legs.
        assert!((angle_between(off, lower - dart.apex) - angle_between(off, upper - dart.apex)).abs() < 1e-7);
    }
}

fn angle_between(a: Vec2, b: Vec2) -> f64 {
    a.cross(b).atan2(a.dot(b)).abs()
}

/// The angle inside the cloth between an edge and the next.
fn corner_angle(piece: &Piece, before: &str, after: &str) -> f64 {
    let edge = |id: &str| &piece.edge(&id.into()).unwrap().curve;
    angle_between(-edge(before).end_tangent(), edge(after).start_tangent())
}

#[test]
fn hem_fold_side_neck_and_armhole_meet_squarely() {
    let coat = coat();
    for size in 0..5 {
        let square = |id: &str, corners: &[(&str, &str)]| {
            for (before, after) in corners {
                let angle = corner_angle(&piece(&coat, id, size), before, after);
                assert!(
                    (angle - FRAC_PI_2).abs() < 1e-6,
                    "{id}, {before} and {after}: {} degrees",
                    angle.to_degrees()
                );
            }
        };
        square("back", &[("fold", "hem"), ("hem", "side"), ("neck", "fold"), ("side", "armhole")]);
        square("back", &[("armhole", "shoulder"), ("shoulder", "neck")]);
        square("front", &[("front edge", "hem"), ("hem", "side lower"), ("neck", "front edge")]);
        square("front", &[("side upper", "armhole"), ("armhole", "shoulder"), ("shoulder", "neck")]);
        square("back neck facing", &[("inner edge", "shoulder"), ("fold", "inner edge")]);
        square("front armhole facing", &[("shoulder", "inner edge"), ("inner edge", "side")]);
        square("back armhole facing", &[("shoulder", "inner edge"), ("inner edge", "side")]);
        square("front facing", &[("inner edge", "shoulder"), ("front edge", "hem")]);
    }
}

#[test]
fn the_hem_is_one_circle_about_the_meeting_of_the_sides() {
    let coat = coat();
    for size in 0..5 {
        for id in ["back", "front", "front facing"] {
            let piece = piece(&coat, id, size);
            let hem = &piece.edge(&"hem".into()).unwrap().curve;
            let Some(Segment::Arc(arc)) = hem.segments().last() else {
                panic!("the hem of {id} is no arc");
            };
            let hip_x = 255.0 + 10.0 * f64::from(u8::try_from(size).unwrap());
            let center_y = -200.0 + hip_x / 15_f64.to_radians().tan();
            assert!(arc.center.distance(Point::new(0.0, center_y)) < 1e-5);
            assert!((arc.radius - (center_y + 720.0)).abs() < 1e-5);
        }
    }
}

#[test]
fn both_sides_of_every_seam_are_equally_long_and_their_notches_meet() {
    let coat = coat();
    for size in 0..5 {
        for seam in &coat.seams {
            let sides = seam.sides.each_ref().map(|run| walked(&piece(&coat, run.piece.as_str(), size), run));
            assert!(
                (sides[0].0 - sides[1].0).abs() < 1e-3,
                "{}, size step {size}: {} and {} mm",
                seam.id,
                sides[0].0,
                sides[1].0
            );
            // Notches that carry the same name on both sides lie at the same place.
            for (name, here) in &sides[0].1 {
                if let Some((_, there)) = sides[1].1.iter().find(|(other, _)| other == name) {
                    assert!((here - there).abs() < 1e-3, "{name} of {}: {here} and {there}", seam.id);
                }
            }
            let common =
                sides[0].1.iter().filter(|(name, _)| sides[1].1.iter().any(|(other, _)| other == name));
            let without_notches = ["facing shoulder", "armhole facing shoulder", "armhole facing side"];
            assert!(common.count() > 0 || without_notches.contains(&seam.id.as_str()), "{}", seam.id);
        }
    }
}

/// Length of a side of a seam, and how far along it each notch lies.
fn walked(piece: &Piece, run: &Run) -> (f64, Vec<(String, f64)>) {
    let (mut passed, mut at, mut notches) = (0.0, run.from.clone(), Vec::new());
    for id in &run.edges {
        let edge = piece.edge(id).unwrap();
        let length = edge.curve.length();
        let forwards = edge.from == at || (edge.to != at && !edge.to.as_str().starts_with("dart"));
        for notch in piece.notches.iter().filter(|notch| notch.edge == *id) {
            let from_start = notch.distance_from_start(edge);
            let along = if forwards { from_start } else { length - from_start };
            notches.push((notch.id.to_string(), passed + along));
        }
        at = if forwards { edge.to.clone() } else { edge.from.clone() };
        passed += length;
    }
    (passed, notches)
}
