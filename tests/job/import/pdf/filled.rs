//! Filled shapes that clips cut are closed along the clips' borders, as viewers show them.

use super::clips::{CENTRE, LENGTH_MM, RADIUS, circle, in_mm, read, strokes};
use super::options;
use chalkbeam::geometry::Point;
use chalkbeam::import::{self, Stroke};
use proptest::prelude::*;

/// The area of closed strokes.
fn areas(strokes: &[Stroke]) -> Vec<f64> {
    assert!(strokes.iter().all(|part| part.closed && part.curve.start().distance(part.curve.end()) < 0.01));
    let area = |part: &Stroke| {
        let points: Vec<Point> = part.curve.flatten(0.001);
        let next = points.iter().skip(1).chain(points.first());
        points.iter().zip(next).map(|(a, b)| 0.5 * a.to_vec2().cross(b.to_vec2())).sum::<f64>().abs()
    };
    strokes.iter().map(area).collect()
}

#[test]
fn a_filled_shape_is_closed_along_the_border_of_its_clip() {
    let clip = circle(CENTRE, RADIUS, 1.0);
    // A band of 20 mm through the whole circle: what two chords at 10 mm leave of it.
    let band = strokes(&read(&format!("{clip} W n 1 100 238 20 re f")));
    let expected = 2.0 * (10.0 * (RADIUS * RADIUS - 100.0).sqrt() + RADIUS * RADIUS * (10.0 / RADIUS).asin());
    let found = areas(&band);
    assert!(matches!(found[..], [area] if (area - expected).abs() < 1.0), "{found:?} {expected}");
    for at in band[0].curve.flatten(0.01) {
        let off = (at.distance(CENTRE) - RADIUS).abs().min(((at.y - CENTRE.y).abs() - 10.0).abs());
        assert!(off <= LENGTH_MM, "{at}: {off}");
    }
    // Around everything, the clip itself; with a hole in the clip, the hole too.
    let disc = std::f64::consts::PI * RADIUS * RADIUS;
    let found = areas(&strokes(&read(&format!("{clip} W n 1 1 238 238 re f"))));
    assert!(matches!(found[..], [area] if (area - disc).abs() < 1.0), "{found:?}");
    let ring = clip.clone() + &circle(CENTRE, 25.0, 1.0);
    let found = areas(&strokes(&read(&format!("{ring} W* n 1 1 238 238 re f"))));
    assert!(matches!(found[..], [outer, hole] if (outer - disc).abs() < 1.0 && hole < 2000.0), "{found:?}");
    // Half of the ring is one shape, along both of its circles.
    let found = areas(&strokes(&read(&format!("{ring} W* n {} 1 138 238 re f", CENTRE.x))));
    let half = 0.5 * std::f64::consts::PI * (RADIUS * RADIUS - 625.0);
    assert!(matches!(found[..], [area] if (area - half).abs() < 1.0), "{found:?} {half}");
    // Two clips, the second one twice, and a shape around both: their common part.
    let square = format!("{} {} 200 200 re", CENTRE.x, CENTRE.y);
    let turned = format!("q 0.8 0.6 -0.6 0.8 20 -30 cm {square} W n");
    let quarter = format!("{clip} W n {turned} {square} W n 1 1 300 300 re f Q");
    let found = areas(&strokes(&read(&quarter)));
    // The circle's middle lies 46 mm below the square's lower side, which is longer than the chord.
    let segment = RADIUS * RADIUS * (46.0 / RADIUS).acos() - 46.0 * (RADIUS * RADIUS - 46.0 * 46.0).sqrt();
    assert!(matches!(found[..], [area] if (area - segment).abs() < 1.0), "{found:?} {segment}");
    // A rectangle is followed too, but for the edge of the page, beyond which nothing is known.
    let found = areas(&strokes(&read(&format!("50 50 100 100 re W n {} f", circle(CENTRE, 70.0, 1.0)))));
    assert_eq!(found.len(), 1, "{found:?}");
    let beyond = strokes(&read(&format!("{} f", circle(Point::new(10.0, 110.0), RADIUS, 1.0))));
    assert!(beyond.iter().all(|part| !part.closed), "{beyond:?}");
}

#[test]
fn a_piece_that_is_filled_through_a_clip_has_its_whole_outline() {
    // A front whose right side is the clip's: 100 mm by 140 mm less a corner of 30 mm.
    let shape = "30 30 m 230 30 l 230 170 l 30 170 l h f";
    for clip in ["130 20 m 130 140 l 90 180 l 90 200 l 20 200 l 20 20 l h", "20 20 110 200 re"] {
        let commands = in_mm(&format!("0.9 0.7 0.7 rg q {clip} W n {shape} Q"));
        let imported = import::read(&commands, &options()).unwrap();
        let [front] = &imported.pattern.pieces[..] else { panic!("{:?}", imported.findings) };
        let front = &front.by_size[0];
        let (count, cut) = if clip.ends_with("re") { (4, 0.0) } else { (5, 450.0) };
        assert_eq!(front.edges.len(), count, "{clip}");
        let area = kurbo::Shape::area(&front.outline());
        assert!((area - (14_000.0 - cut)).abs() < 0.5, "{clip}: {area}");
    }
}

/// What two convex polygons share. (Sutherland and Hodgman, Communications of the ACM 17 (1974), 32-42.)
fn shared_area(subject: &[Point], clip: &[Point]) -> f64 {
    let turn = |points: &[Point]| {
        let next = points.iter().skip(1).chain(points.first());
        points.iter().zip(next).map(|(a, b)| 0.5 * a.to_vec2().cross(b.to_vec2())).sum::<f64>()
    };
    let way = turn(clip).signum();
    let mut left = subject.to_vec();
    for (from, to) in clip.iter().zip(clip.iter().skip(1).chain(clip.first())) {
        let side = |point: &Point| way * (*to - *from).cross(*point - *from);
        let next: Vec<Point> = left.iter().skip(1).chain(left.first()).copied().collect();
        let mut kept = Vec::new();
        for (a, b) in left.iter().zip(&next) {
            if side(a) >= 0.0 {
                kept.push(*a);
            }
            if (side(a) >= 0.0) != (side(b) >= 0.0) {
                kept.push(a.lerp(*b, side(a) / (side(a) - side(b))));
            }
        }
        left = kept;
    }
    turn(&left).abs()
}

proptest! {
    #[test]
    fn what_shows_of_a_filled_triangle_in_a_triangle_has_the_area_that_both_share(
        at in proptest::array::uniform12(10.0..230.0_f64),
    ) {
        let [fill, clip] = [0, 6].map(|k| [0, 2, 4].map(|j| Point::new(at[k + j], at[k + j + 1])));
        let wide = |[a, b, c]: [Point; 3]| {
            let around = a.distance(b) + b.distance(c) + c.distance(a);
            (b - a).cross(c - a).abs() / around > 10.0
        };
        prop_assume!(wide(fill) && wide(clip));
        let path = |[a, b, c]: [Point; 3]| format!("{} {} m {} {} l {} {} l h", a.x, a.y, b.x, b.y, c.x, c.y);
        let found = strokes(&read(&format!("{} W n {} f", path(clip), path(fill))));
        let expected = shared_area(&fill, &clip);
        // What is smaller than its own edge's slack may be left out.
        if expected > 1.0 {
            let found: f64 = areas(&found).iter().sum();
            prop_assert!((found - expected).abs() <= 1.0, "{found} for {expected}");
        }
    }
}
