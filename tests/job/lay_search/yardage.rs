//! Yardage against what handbooks say.

use super::checker::assert_sound;
use super::lay;
use super::pieces::dress;
use chalkbeam::geometry::{Point, Vec2};
use chalkbeam::lay::search::{Group, Problem, Repeat, Steps};

const MM_A_INCH: f64 = 25.4;

/// "Fabric Conversion Chart" (sewwithsarah.com): yards at 35–36, 44–45 and 58–60 inches.
const CHART: [[f64; 3]; 12] = [
    [1.75, 1.375, 1.0],
    [2.0, 1.625, 1.25],
    [2.25, 1.75, 1.375],
    [2.5, 2.125, 1.625],
    [2.875, 2.25, 1.75],
    [3.125, 2.5, 1.875],
    [3.375, 2.75, 2.0],
    [3.75, 2.875, 2.25],
    [4.25, 3.125, 2.375],
    [4.5, 3.375, 2.625],
    [4.75, 3.625, 2.75],
    [5.0, 3.875, 2.875],
];

/// Selvedge left uncut at each edge, in mm: common practice says 13 to 25.
const SELVEDGE_MM: f64 = 13.0;

#[test]
fn wider_cloth_saves_about_what_the_conversion_chart_says() {
    let used = [36.0, 45.0, 60.0].map(|inches| {
        let problem = dress(inches * MM_A_INCH - 2.0 * SELVEDGE_MM);
        let outcome = lay(&problem, 1, 1_500).unwrap();
        assert_sound(&problem, &outcome);
        outcome.used_mm
    });
    let sum = |column: usize| CHART.iter().map(|row| row[column]).sum::<f64>();
    for (from, to) in [(0, 1), (1, 2)] {
        let (ours, chart) = (used[to] / used[from], sum(to) / sum(from));
        // An order of magnitude: the chart itself spreads from 0.71 to 0.85 over its rows.
        assert!((ours - chart).abs() < 0.1, "ours {ours:.3}, the chart's {chart:.3}; {used:?}");
    }
}

/// Handbooks add cloth by the size of the repeat (trend only). The repeats here divide each other, so that every
/// lay on a larger one is also a lay on a smaller one.
#[test]
fn a_larger_repeat_never_needs_less_cloth() {
    let used: Vec<f64> = [0.0, 60.0, 120.0, 240.0].into_iter().map(|repeat| matched(repeat, 2_500)).collect();
    for pair in used.windows(2) {
        // The search is no proof: half a per cent of the shorter repeat's length is left to it.
        assert!(pair[1] >= pair[0] * 0.995, "{used:?}");
    }
    assert!(used[3] > used[0], "{used:?}");
}

fn matched(repeat: f64, moves: u64) -> f64 {
    let mut problem: Problem = dress(1400.0);
    problem.groups = vec![Group::default()];
    if repeat > 0.0 {
        // The large pieces match; facings, belt and pockets are left free.
        for item in &mut problem.items[..4] {
            item.repeat = Some(Repeat {
                group: 0,
                reference: Point::new(0.0, 0.0),
                steps: Steps::Both([Vec2::new(repeat, 0.0), Vec2::new(0.0, repeat)]),
            });
        }
    }
    let outcome = lay(&problem, 1, moves).unwrap();
    assert_sound(&problem, &outcome);
    outcome.used_mm
}
