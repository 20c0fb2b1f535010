//! A checker that shares nothing with the program: areas by slabs, in f64.
//!
//! The plane is cut at every corner and every crossing of two edges; between two cuts both outlines are stretches
//! between straight lines, and the area that they share is a sum of trapezia, exact up to rounding.

use chalkbeam::geometry::Point;
use chalkbeam::lay::search::{Item, Outcome, Placed, Problem, Steps};

/// Panics with a sentence when a lay breaks a rule.
pub(super) fn assert_sound(problem: &Problem, outcome: &Outcome) {
    let outlines: Vec<Vec<Point>> = outcome.places.iter().map(|place| outline(problem, place)).collect();
    let mut used = problem.min_x;
    for (place, outline) in outcome.places.iter().zip(&outlines) {
        let item = &problem.items[place.item];
        for p in outline {
            used = used.max(p.x);
            let inside = p.x >= problem.min_x - 0.01 && p.y >= -0.01 && p.y <= problem.width + 0.01;
            assert!(inside || item.pinned.is_some(), "{} leaves the cloth at {p:?}", item.name);
        }
        assert_kept(problem, outcome, item, place);
    }
    assert!((used - outcome.used_mm).abs() < 0.01, "ends at {used}, said {}", outcome.used_mm);
    for (index, a) in outlines.iter().enumerate() {
        for b in &outlines[index + 1..] {
            let area = shared_area(a, b);
            assert!(area <= 0.01, "an overlap of {area} mm²");
            assert!(problem.gap <= 0.0 || distance(a, b) >= problem.gap - 0.01, "closer than the gap");
        }
        for flaw in &problem.flaws {
            let area = shared_area(a, flaw);
            assert!(area <= 0.01, "an overlap of {area} mm² with a flaw");
        }
    }
    for (index, item) in problem.items.iter().enumerate() {
        let laid = outcome.places.iter().filter(|place| place.item == index).count();
        assert_eq!(laid, item.copies, "copies of {}", item.name);
    }
    let density = problem.items.iter().map(|item| area(&item.outline) * item.copies as f64).sum::<f64>()
        / (problem.width * outcome.used_mm);
    assert!((density - outcome.density).abs() < 1e-6);
    assert!(outcome.bound.mm <= outcome.used_mm + 0.01, "a bound above the lay");
}

fn assert_kept(problem: &Problem, outcome: &Outcome, item: &Item, place: &Placed) {
    match &item.pinned {
        Some(pinned) => {
            assert_eq!((place.pose, place.at), (pinned.pose, pinned.at), "{} was moved", item.name)
        }
        None => assert!(item.poses.contains(&place.pose), "{} lies as it may not", item.name),
    }
    if let Some(level) = item.fold_level {
        let fold = on_cloth(place, Point::new(123.0, level));
        assert!(fold.y.abs() <= 0.01, "{} lies {} mm off the fold", item.name, fold.y);
    }
    let Some(repeat) = &item.repeat else { return };
    let mate = outcome
        .places
        .iter()
        .find(|other| problem.items[other.item].repeat.is_some_and(|mate| mate.group == repeat.group));
    let mate = mate.unwrap();
    let at = |place: &Placed| on_cloth(place, problem.items[place.item].repeat.unwrap().reference);
    let phase = at(mate);
    let off = at(place) - phase;
    let error = |value: f64, step: f64| {
        let rest = value.rem_euclid(step);
        rest.min(step - rest)
    };
    let by = match repeat.steps {
        Steps::Along(step) => error(off.x, step),
        Steps::Across(step) => error(off.y, step),
        Steps::Both([a, b]) => {
            // The least distance to any node nearby.
            let mut least = f64::INFINITY;
            for i in -60..=60 {
                for j in -60..=60 {
                    least = least.min((off - f64::from(i) * a - f64::from(j) * b).hypot());
                }
            }
            least
        }
    };
    assert!(by <= 0.01, "{} misses its phase by {by} mm", item.name);
}

/// A point of an item on the cloth, by the definition of a pose: mirrored about x, turned, moved.
pub(super) fn on_cloth(place: &Placed, p: Point) -> Point {
    let y = if place.pose.mirrored { -p.y } else { p.y };
    let (sin, cos) = place.pose.turn.sin_cos();
    Point::new(place.at.x + cos * p.x - sin * y, place.at.y + sin * p.x + cos * y)
}

pub(super) fn outline(problem: &Problem, place: &Placed) -> Vec<Point> {
    problem.items[place.item].outline.iter().map(|p| on_cloth(place, *p)).collect()
}

pub(super) fn area(outline: &[Point]) -> f64 {
    let edges = outline.iter().zip(outline.iter().cycle().skip(1));
    (edges.map(|(p, q)| p.x * q.y - q.x * p.y).sum::<f64>() / 2.0).abs()
}

/// The area that two outlines share, in mm².
pub(super) fn shared_area(a: &[Point], b: &[Point]) -> f64 {
    let span = |outline: &[Point], of: fn(&Point) -> f64| {
        let values = outline.iter().map(of);
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
    };
    let ((ax0, ax1), (bx0, bx1)) = (span(a, |p| p.x), span(b, |p| p.x));
    let ((ay0, ay1), (by0, by1)) = (span(a, |p| p.y), span(b, |p| p.y));
    if ax1.min(bx1) <= ax0.max(bx0) || ay1.min(by1) <= ay0.max(by0) {
        return 0.0;
    }
    let mut cuts: Vec<f64> = a.iter().chain(b).map(|p| p.y).collect();
    for (p, q) in edges(a) {
        for (r, s) in edges(b) {
            let (u, v) = (q - p, s - r);
            let cross = u.cross(v);
            if cross.abs() > 1e-12 {
                let t = (r - p).cross(v) / cross;
                let w = (r - p).cross(u) / cross;
                if (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&w) {
                    cuts.push(p.y + t * u.y);
                }
            }
        }
    }
    cuts.sort_by(f64::total_cmp);
    let mut area = 0.0;
    for pair in cuts.windows(2) {
        let height = pair[1] - pair[0];
        if height > 1e-9 {
            // Between two cuts widths change linearly: the middle gives the mean.
            area += height * shared_width(a, b, (pair[0] + pair[1]) / 2.0);
        }
    }
    area
}

fn shared_width(a: &[Point], b: &[Point], y: f64) -> f64 {
    let stretches = |outline: &[Point]| {
        let mut xs: Vec<f64> = edges(outline)
            .filter(|(p, q)| (p.y <= y) != (q.y <= y))
            .map(|(p, q)| p.x + (y - p.y) / (q.y - p.y) * (q.x - p.x))
            .collect();
        xs.sort_by(f64::total_cmp);
        xs.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect::<Vec<_>>()
    };
    let (a, b) = (stretches(a), stretches(b));
    let pairs = a.iter().flat_map(|first| b.iter().map(move |second| (first, second)));
    pairs.map(|(p, q)| (p.1.min(q.1) - p.0.max(q.0)).max(0.0)).sum()
}

fn edges(outline: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    outline.iter().copied().zip(outline.iter().copied().cycle().skip(1))
}

fn distance(a: &[Point], b: &[Point]) -> f64 {
    let mut least = f64::INFINITY;
    for (corners, other) in [(a, b), (b, a)] {
        for p in corners {
            for (q, r) in edges(other) {
                let t = ((*p - q).dot(r - q) / (r - q).hypot2()).clamp(0.0, 1.0);
                least = least.min((*p - q.lerp(r, t)).hypot());
            }
        }
    }
    least
}
