//! Which seams are matched first where not all of them can be.

use super::plain::{cloth, parts, rectangle};
use chalkbeam::cloth::{Bar, Bars, Colour, Print};
use chalkbeam::garment::LayProblem;
use chalkbeam::lay::search::{Settings, search};
use chalkbeam::lay::{self, CentreOn, Laid, LayRules, MatchedAt, Parts};
use chalkbeam::pattern::{EaseRange, HowCut, Run, Seam};
use std::sync::atomic::AtomicBool;

/// A seam from the right edge of one piece to the left edge of the next.
fn seam(id: &str, first: &str, second: &str) -> Seam {
    let run = |piece: &str, from: &str, edge: &str| Run {
        piece: piece.into(),
        from: from.into(),
        edges: vec![edge.into()],
    };
    Seam {
        id: id.into(),
        sides: [run(first, "b", "right"), run(second, "a", "left")],
        ease: EaseRange::default(),
    }
}

/// Four panels sewn into a ring, 200 + 210 + 230 + 220 = 860 mm round.
fn ring(seams: &[Seam]) -> Parts {
    let panel = |id: &str, width: f64| rectangle(id, (width, 300.0), (0.0, 0.0), 1, HowCut::Single);
    parts(&[panel("a", 200.0), panel("b", 210.0), panel("c", 220.0), panel("d", 230.0)], seams)
}

/// Every seam of the lay that is found, in the order in which they are looked at, with what it lacks across.
fn found(parts: &Parts) -> Vec<(String, f64)> {
    let mut cloth = cloth("140 cm", "2000 mm");
    let bars = vec![Bar { width_mm: 20.0, gap_mm: 76.0, colour: Colour([20, 30, 40]) }];
    cloth.print = Some(Print { lengthwise: Some(Bars::new(0.0, bars)), ..Print::default() });
    let rules = LayRules { centre: CentreOn::Anything, ..LayRules::default() };
    let made = LayProblem::of(&cloth, parts, &rules, &[]).unwrap();
    let settings = Settings { seed: 1, moves: Some(50), ..Settings::default() };
    let outcome = search(&made.problem, &settings, &AtomicBool::new(false), &|_| {}).unwrap();
    let places = made.places(&outcome);
    let matches = lay::matches(&Laid { cloth: &cloth, parts, places: &places, rules: &rules });
    let named = matches.into_iter().map(|found| {
        let MatchedAt::Seam(seam) = found.at else { panic!("no piece here has a centre") };
        (seam.to_string(), found.across_mm.unwrap())
    });
    named.collect()
}

/// Bars 96 mm apart can't go round 860 mm: 860 = 9 × 96 − 4. One seam is off by 4 mm, and it is the one that common
/// practice matches last, though both of its pieces are next to others that lie first.
#[test]
fn where_bars_cannot_go_all_round_the_last_seam_in_order_is_the_one_that_is_off() {
    for last in 0..4 {
        let name = |n: usize| if n == last { "pocket".to_owned() } else { format!("side {n}") };
        let parts = ring(&[
            seam(&name(0), "a", "b"),
            seam(&name(1), "b", "d"),
            seam(&name(2), "d", "c"),
            seam(&name(3), "c", "a"),
        ]);
        let found = found(&parts);
        assert_eq!(found.len(), 4);
        assert_eq!(found[3].0, "pocket");
        assert!((found[3].1.abs() - 4.0).abs() < 1e-6, "{found:?}");
        assert!(found[..3].iter().all(|(_, off)| off.abs() < 1e-6), "{found:?}");
    }
}

/// A sleeve is matched to the front, whichever seam the pattern names first.
#[test]
fn a_sleeve_is_matched_to_the_front_before_the_back() {
    let panel = |id: &str, width: f64| {
        let (piece, path) = rectangle(id, (width, 300.0), (0.0, 0.0), 1, HowCut::Single);
        let mut piece = (*piece).clone();
        piece.edges[0].role = chalkbeam::pattern::EdgeRole::Seam;
        (piece.into(), path)
    };
    let pieces = [panel("back", 200.0), panel("front", 210.0), panel("sleeve", 220.0)];
    let parts = parts(
        &pieces,
        &[
            seam("back armhole", "sleeve", "back"),
            seam("front armhole", "front", "sleeve"),
            seam("side", "back", "front"),
        ],
    );
    let found = found(&parts);
    let order: Vec<&str> = found.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(order, ["side", "front armhole", "back armhole"]);
    assert!(found[..2].iter().all(|(_, off)| off.abs() < 1e-6), "{found:?}");
    // 630 = 7 × 96 − 42.
    assert!((found[2].1.abs() - 42.0).abs() < 1e-6, "{found:?}");
}
