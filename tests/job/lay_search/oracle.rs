//! Overlaps against jagua-rs, a collision engine of others' making, on lays found and lays pushed about.

use super::checker::{outline, shared_area};
use super::laws::problem;
use super::lay;
use chalkbeam::geometry::{Affine, Point, Vec2};
use chalkbeam::lay::Outline;
use chalkbeam::lay::search::{Clearance, Engine};
use jagua_rs::collision_detection::hazards::filter::NoFilter;
use jagua_rs::collision_detection::hazards::{Hazard, HazardEntity};
use jagua_rs::collision_detection::{CDEConfig, CDEngine};
use jagua_rs::geometry::fail_fast::SPSurrogateConfig;
use jagua_rs::geometry::geo_enums::GeoPosition;
use jagua_rs::geometry::primitives::{Point as Corner, Rect, SPolygon};
use proptest::prelude::*;
use std::sync::Arc;

/// In this band round touching the two may differ, in mm: jagua-rs reckons in f32 and counts touching as a collision.
const BAND_MM: f64 = 0.01;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Lies {
    Beyond,
    Other(usize),
}

impl HazardEntity for Lies {
    fn scope(&self) -> GeoPosition {
        if *self == Self::Beyond { GeoPosition::Exterior } else { GeoPosition::Interior }
    }

    fn is_dynamic(&self) -> bool {
        *self != Self::Beyond
    }
}

#[expect(clippy::cast_possible_truncation, reason = "the oracle reckons in f32; the band allows for it")]
fn polygon(points: &[Point]) -> SPolygon {
    SPolygon::new(points.iter().map(|p| Corner(p.x as f32, p.y as f32)).collect()).unwrap()
}

/// Whether the first outline collides with any other, by jagua-rs.
fn collides(first: &[Point], others: &[Vec<Point>]) -> bool {
    let frame = Rect::try_new(-20_000.0, -20_000.0, 20_000.0, 20_000.0).unwrap();
    let within = SPolygon::from(Rect::try_new(-19_000.0, -19_000.0, 19_000.0, 19_000.0).unwrap());
    let config =
        CDEConfig { quadtree_depth: 6, cd_threshold: 16, item_surrogate_config: SPSurrogateConfig::none() };
    let beyond = Hazard::new(Lies::Beyond, Arc::new(within));
    let mut engine = CDEngine::new(frame, vec![beyond], config);
    for (n, other) in others.iter().enumerate() {
        engine.register_hazard(Hazard::new(Lies::Other(n), Arc::new(polygon(other))));
    }
    engine.detect_poly_collision(&polygon(first), &NoFilter)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, ..ProptestConfig::default() })]

    #[test]
    fn overlaps_are_those_that_jagua_rs_finds(
        problem in problem(), seed in 0..1000_u64,
        pushes in proptest::collection::vec((-60.0..60.0_f64, -60.0..60.0_f64), 6),
    ) {
        let Ok(outcome) = lay(&problem, seed, 60) else { return Ok(()) };
        let outlines: Vec<Vec<Point>> = outcome.places.iter().map(|place| outline(&problem, place)).collect();
        for (n, push) in pushes.into_iter().chain([(0.0, 0.0)]).enumerate() {
            let index = n % outlines.len();
            let mut others = outlines.clone();
            let moved = others.remove(index);
            let moved: Vec<Point> = moved.iter().map(|p| *p + Vec2::from(push)).collect();
            let ours = Outline::new(moved.clone());
            let all: Vec<Outline> = others.iter().map(|other| Outline::new(other.clone())).collect();
            let depth = all.iter().filter_map(|other| ours.overlap(other)).map(|over| over.depth_mm);
            let depth = depth.fold(0.0, f64::max);
            let near = all.iter().any(|other| ours.gap_below(other, BAND_MM).is_some());
            if depth > BAND_MM {
                prop_assert!(collides(&moved, &others), "{depth} mm deep, and jagua-rs finds nothing");
            } else if depth == 0.0 && !near {
                // A corner that overlaps by less area than counts is touching to us and a collision to jagua-rs.
                let touches = others.iter().any(|other| shared_area(&moved, other) > 0.0);
                prop_assert!(
                    touches || !collides(&moved, &others),
                    "jagua-rs finds an overlap where we find none"
                );
            }
        }
    }

    /// The search's two engines, the depth fields and the quadtree, with the gap that each keeps.
    #[test]
    fn both_engines_of_the_search_say_the_same(
        problem in problem(), seed in 0..1000_u64,
        asked in proptest::collection::vec((0.0..1.0_f64, 0.0..1.0_f64), 12),
    ) {
        let Ok(outcome) = lay(&problem, seed, 20) else { return Ok(()) };
        let lifted = outcome.places.len() - 1;
        let item = &problem.items[outcome.places[lifted].item];
        let mut clearance = Clearance::new(&problem, &outcome.places, lifted).unwrap();
        for (x, y) in asked {
            let at = Point::new(x * outcome.used_mm, y * problem.width);
            let [by_fields, by_quadtree] =
                [Engine::Fields, Engine::Quadtree].map(|engine| clearance.is_clear(engine, 0, at));
            // The widening polygon reaches 2 % of the gap further than the gap.
            let band = BAND_MM + 0.03 * problem.gap;
            if by_fields != by_quadtree {
                prop_assert!(by_fields, "only the quadtree calls {at:?} clear");
                let placed = chalkbeam::lay::search::Placed { pose: item.poses[0], at, ..outcome.places[lifted] };
                let ours = Outline::new(outline(&problem, &placed));
                let close = |other: &[Point]| {
                    ours.gap_below(&Outline::new(other.to_vec()), problem.gap + band).is_some()
                };
                let all = outcome.places[..lifted].iter().map(|place| outline(&problem, place));
                let any = all.chain(problem.flaws.iter().cloned()).any(|other| close(&other));
                prop_assert!(any, "the quadtree calls {at:?} taken, and nothing is near");
            }
        }
    }
}

/// A check of the oracle itself.
#[test]
fn the_oracle_knows_apart_from_overlapping() {
    let square = |at: f64| {
        let outline = Outline::of_rect(kurbo_rect(at));
        outline.points().to_vec()
    };
    assert!(collides(&square(0.0), &[square(50.0)]));
    assert!(!collides(&square(0.0), &[square(101.0), square(-101.0)]));
    // One within the other shares no edge with it.
    let inner = Outline::of_rect(kurbo_rect(0.0)).moved(Affine::scale(0.2));
    assert!(collides(inner.points(), &[square(0.0)]));
}

fn kurbo_rect(at: f64) -> chalkbeam::geometry::Rect {
    chalkbeam::geometry::Rect::new(at, -20.0, at + 100.0, 80.0)
}
