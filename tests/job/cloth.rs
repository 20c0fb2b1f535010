//! The cloth: whether bars are even, which way is up, what is wrong with it, and how it is written down.

use chalkbeam::cloth::{
    Bar, Bars, Cloth, Colour, Cost, Direction, Flaw, FoldWay, MirrorLines, Motif, MotifWay, Plies, Print,
    RightSides, Shear, Shrinkage, Unlike,
};
use chalkbeam::demo;
use chalkbeam::finding::Severity;
use chalkbeam::garment::{Command, Garment, OpenGarment};
use chalkbeam::geometry::{Point, Vec2};
use chalkbeam::pattern::{ClothKind, Pattern};
use proptest::prelude::*;
use std::path::Path;

fn bars(list: &[(f64, f64, u8)]) -> Bars {
    let bar = |&(width_mm, gap_mm, shade): &(f64, f64, u8)| Bar {
        width_mm,
        gap_mm,
        colour: Colour([shade; 3]),
    };
    Bars::new(0.0, list.iter().map(bar).collect())
}

/// The colour at a place across the cloth, painted bar by bar; ground is 255.
fn painted(list: &[(f64, f64, u8)], at: f64) -> u8 {
    let period: f64 = list.iter().map(|(width, gap, _)| width + gap).sum();
    let mut left = at.rem_euclid(period);
    for &(width, gap, shade) in list {
        if left < width {
            return shade;
        }
        left -= width;
        if left < gap {
            return 255;
        }
        left -= gap;
    }
    255
}

/// The test of Pacific Northwest Extension PNW187, *Sewing with Stripes, Checks, and Plaids*, on painted cloth: fold
/// at the centre of a bar (any of them, or of a gap) and look whether the bars of both layers coincide.
fn folds_upon_itself(list: &[(f64, f64, u8)]) -> bool {
    let period: f64 = list.iter().map(|(width, gap, _)| width + gap).sum();
    let mut middles = Vec::new();
    let mut from = 0.0;
    for &(width, gap, _) in list {
        middles.push(from + 0.5 * width);
        middles.push(from + width + 0.5 * gap);
        from += width + gap;
    }
    middles.into_iter().any(|fold| {
        // Odd quarters of a millimetre never fall on the edge of a bar that is measured in whole ones.
        let mut off = 0.25;
        let mut same = true;
        while off < period {
            same &= painted(list, fold + off) == painted(list, fold - off);
            off += 0.5;
        }
        same
    })
}

#[test]
fn plaids_of_the_handbooks_are_judged_as_by_folding() {
    for (list, even) in [
        // One bar.
        (vec![(24.0, 72.0, 1)], true),
        // Balanced: the bars beside the main bar are the same on both sides.
        (vec![(30.0, 10.0, 1), (6.0, 12.0, 2), (6.0, 10.0, 2)], true),
        (
            vec![(30.0, 8.0, 1), (10.0, 6.0, 2), (4.0, 6.0, 3), (10.0, 8.0, 2)],
            true,
        ),
        // The same bars at other distances.
        (vec![(30.0, 10.0, 1), (6.0, 12.0, 2), (6.0, 14.0, 2)], false),
        // The garden coat's stripe.
        (vec![(24.0, 12.0, 1), (16.0, 8.0, 2), (4.0, 32.0, 3)], false),
        // The same widths, other colours.
        (vec![(30.0, 10.0, 1), (6.0, 12.0, 2), (6.0, 10.0, 3)], false),
        // Two colours side by side, no ground.
        (vec![(30.0, 0.0, 1), (20.0, 0.0, 2)], true),
        (vec![(30.0, 0.0, 1), (20.0, 0.0, 2), (10.0, 0.0, 3)], false),
    ] {
        assert_eq!(folds_upon_itself(&list), even, "folding {list:?}");
        assert_eq!(bars(&list).are_even(), even, "{list:?}");
    }
}

proptest! {
    /// Random bars in whole millimetres, some made even on purpose, against the fold of painted cloth.
    #[test]
    fn even_is_what_folding_says(
        list in prop::collection::vec((2..20_u8, 1..20_u8, 0..3_u8), 1..5),
        back in any::<bool>(),
    ) {
        let mut list: Vec<_> = list
            .into_iter()
            .map(|(width, gap, shade)| (2.0 * f64::from(width), 2.0 * f64::from(gap), shade))
            .collect();
        if back {
            let there = list.clone();
            for pair in there.windows(2).rev() {
                list.push((pair[0].0, if list.len() + 1 == 2 * there.len() - 1 { 10.0 } else { pair[0].1 }, pair[0].2));
            }
        }
        prop_assert_eq!(bars(&list).are_even(), folds_upon_itself(&list), "{:?}", list);
    }

    /// A list of unequal widths in rising order has no mirror image.
    #[test]
    fn bars_that_only_grow_are_uneven(first in 2..10_u8, steps in prop::collection::vec(2..9_u8, 2..5)) {
        let mut width = f64::from(first);
        let mut list = vec![(width, 10.0, 1)];
        for step in steps {
            width += f64::from(step);
            list.push((width, 10.0, 1));
        }
        prop_assert!(!bars(&list).are_even());
    }
}

fn cloth() -> Cloth {
    let (width, length) = ("138 cm".parse().unwrap(), "260 cm".parse().unwrap());
    let mut cloth = Cloth::plain("cloth", width, length, Colour([60, 80, 70]));
    cloth.shrinkage.pre_shrunk = true;
    cloth
}

fn with_print(print: Print) -> Cloth {
    Cloth {
        print: Some(print),
        ..cloth()
    }
}

#[test]
fn direction_follows_from_the_print_and_is_not_asked() {
    let stripe = bars(&[(24.0, 12.0, 1), (16.0, 8.0, 2), (4.0, 32.0, 3)]);
    let motif = |way| {
        Some(Motif {
            origin: Point::ORIGIN,
            steps: [Vec2::new(70.0, 96.0), Vec2::new(0.0, 192.0)],
            way,
            mirrors: true,
        })
    };
    let direction = |print| with_print(print).direction();
    let plain = Print::default;
    assert_eq!(cloth().direction(), Direction::Free);
    let lengthwise = Some(stripe.clone());
    assert_eq!(
        direction(Print {
            lengthwise,
            ..plain()
        }),
        Direction::OneWay(Unlike::BarsAlong)
    );
    let crosswise = Some(stripe);
    assert_eq!(
        direction(Print { crosswise, ..plain() }),
        Direction::OneWay(Unlike::BarsAcross)
    );
    let (lengthwise, crosswise) = (Some(bars(&[(20.0, 76.0, 1)])), Some(bars(&[(10.0, 60.0, 1)])));
    assert_eq!(
        direction(Print {
            lengthwise,
            crosswise,
            ..plain()
        }),
        Direction::Free
    );
    for (way, expected) in [
        (MotifWay::OneWay, Direction::Top),
        (MotifWay::TwoWay, Direction::Free),
        (MotifWay::NoWay, Direction::Free),
    ] {
        let motif = motif(way);
        assert_eq!(direction(Print { motif, ..plain() }), expected);
    }
}

/// The coat with another cloth, and what its checks say of it.
fn says_of(cloth: Cloth) -> Vec<(Severity, String)> {
    let mut open = demo::garden_coat().unwrap();
    let command = Command::SetCloth(ClothKind::Cloth, cloth);
    open.perform(&command, None).unwrap();
    assert_written_and_read(&open);
    let findings = open.findings().into_iter();
    findings
        .filter(|finding| finding.what.starts_with("the cloth “cloth”"))
        .map(|finding| {
            assert!(!finding.remedy.is_empty());
            (finding.severity, finding.what)
        })
        .collect()
}

/// Nothing of what was typed is lost, however wrong: the file gives back the same plan.
fn assert_written_and_read(open: &OpenGarment) {
    let path = Path::new("coat.garment.ron");
    let text = open.garment().to_text(path).unwrap();
    let pattern = Pattern::clone(&open.garment().pattern);
    match Garment::parse(path, &text, pattern) {
        Ok(read) => assert_eq!(*read.plan, *open.garment().plan),
        // What no cloth can have is refused with its place, and the file stays as it is.
        Err(error) => assert!(error.to_string().contains("“cloth”"), "{error}"),
    }
}

#[test]
fn a_sound_cloth_has_nothing_said_of_it() {
    assert_eq!(says_of(cloth()), []);
}

#[test]
fn what_can_not_be_is_said_with_its_numbers() {
    let stop = Severity::Stop;
    let warning = Severity::Warning;
    let lengthwise = |list: &[(f64, f64, u8)]| {
        with_print(Print {
            lengthwise: Some(bars(list)),
            ..Print::default()
        })
    };
    let measured = |repeat: &str| {
        let mut stripe = bars(&[(24.0, 12.0, 1), (16.0, 8.0, 2)]);
        stripe.repeat = Some(repeat.parse().unwrap());
        with_print(Print {
            lengthwise: Some(stripe),
            ..Print::default()
        })
    };
    let flaw = |outline: Vec<(f64, f64)>| Cloth {
        flaws: vec![Flaw {
            what: "hole".to_owned(),
            outline: outline.into_iter().map(Point::from).collect(),
        }],
        ..cloth()
    };
    let motif = |steps: [(f64, f64); 2]| {
        with_print(Print {
            motif: Some(Motif {
                origin: Point::ORIGIN,
                steps: steps.map(Vec2::from),
                way: MotifWay::OneWay,
                mirrors: false,
            }),
            ..Print::default()
        })
    };
    let angle = |angle_degrees| {
        with_print(Print {
            lengthwise: Some(bars(&[(24.0, 12.0, 1)])),
            angle_degrees,
            ..Print::default()
        })
    };
    let sheared = |off: &str, over: &str| Cloth {
        shear: Some(Shear {
            off: off.parse().unwrap(),
            over: over.parse().unwrap(),
        }),
        ..cloth()
    };
    let shrunk = |along_percent, across_percent| Cloth {
        shrinkage: Shrinkage {
            along_percent,
            across_percent,
            pre_shrunk: false,
        },
        ..cloth()
    };
    let cases: Vec<(Cloth, Severity, &[&str])> = vec![
        (lengthwise(&[]), stop, &["bars along the cloth are none"]),
        (
            lengthwise(&[(24.0, 12.0, 1), (0.0, 8.0, 2)]),
            stop,
            &["bar 2", "0.0 mm"],
        ),
        (
            lengthwise(&[(24.0, -30.0, 1), (16.0, 8.0, 2)]),
            stop,
            &["40.0 mm", "18.0 mm"],
        ),
        (lengthwise(&[(0.2, 0.3, 1)]), stop, &["0.50 mm"]),
        (
            lengthwise(&[(1000.0, 700.0, 1)]),
            warning,
            &["1700 mm", "1380 mm"],
        ),
        (measured("30 mm"), stop, &["40.0 mm", "30.0 mm"]),
        (measured("70 mm"), warning, &["70.0 mm", "60.0 mm"]),
        (
            motif([(70.0, 0.0), (140.0, 0.0)]),
            stop,
            &["(70.0, 0.0)", "parallel"],
        ),
        (motif([(0.2, 0.0), (0.0, 50.0)]), stop, &["0.20 mm"]),
        (angle(80.0), stop, &["80.0°"]),
        (angle(2.0), warning, &["2.0°", "35 mm a metre"]),
        (flaw(vec![(0.0, 0.0), (1.0, 0.0)]), stop, &["hole", "2 corners"]),
        (
            flaw(vec![(100.0, 1500.0), (140.0, 1500.0), (140.0, 1540.0)]),
            warning,
            &["hole", "120 mm off"],
        ),
        (
            sheared("21 mm", "140 cm"),
            warning,
            &["21.0 mm", "1400 mm", "1.5 %"],
        ),
        (sheared("200 cm", "0 mm"), stop, &["2000.0 mm", "0 mm"]),
        (shrunk(0.0, 0.0), stop, &["not pre-shrunk"]),
        (shrunk(5.0, 2.0), stop, &["2470 mm by 1352 mm"]),
        (shrunk(120.0, 0.0), stop, &["120.0 %"]),
        (
            Cloth {
                between_selvedges: Some("130 cm".parse().unwrap()),
                ..cloth()
            },
            stop,
            &["1380 mm", "1300 mm"],
        ),
        (
            Cloth {
                plies: Plies::PartFolded {
                    folded_over: "80 cm".parse().unwrap(),
                    right_sides: RightSides::In,
                },
                ..cloth()
            },
            stop,
            &["800 mm", "690 mm"],
        ),
        (
            Cloth {
                cost_per_metre: Some(Cost {
                    amount: -3.0,
                    currency: "EUR".to_owned(),
                }),
                ..cloth()
            },
            warning,
            &["-3.00"],
        ),
        (
            Cloth {
                width: "0 mm".parse().unwrap(),
                ..cloth()
            },
            stop,
            &["usable width", "0 mm"],
        ),
        (
            lengthwise(&[(f64::NAN, 12.0, 1)]),
            stop,
            &["a measure of the print", "NaN"],
        ),
    ];
    for (cloth, severity, words) in cases {
        let said = says_of(cloth.clone());
        let found = said
            .iter()
            .any(|(how, what)| *how == severity && words.iter().all(|word| what.contains(word)));
        assert!(found, "{words:?} of {said:?} for {cloth:?}");
    }
}

#[test]
fn bars_and_motif_without_a_common_repeat_are_told() {
    let print = Print {
        lengthwise: Some(bars(&[(24.0, 37.7, 1)])),
        motif: Some(Motif {
            origin: Point::ORIGIN,
            steps: [Vec2::new(70.0, 0.0), Vec2::new(0.0, 96.37)],
            way: MotifWay::TwoWay,
            mirrors: true,
        }),
        ..Print::default()
    };
    let said = says_of(with_print(print));
    assert!(matches!(&said[..], [(Severity::Warning, what)] if what.contains("no repeat in common")));
}

#[test]
fn where_a_fold_may_lie_is_in_millimetres() {
    let print = Print {
        lengthwise: Some(bars(&[(24.0, 72.0, 1)])),
        ..Print::default()
    };
    let mut folded = with_print(print);
    folded.plies = Plies::FoldedLengthwise {
        right_sides: RightSides::In,
    };
    let MirrorLines::At(lines) = folded.mirror_lines(FoldWay::Lengthwise) else {
        panic!("an even stripe folds")
    };
    assert!(lines.contains(&12.0) && lines.contains(&60.0) && lines.contains(&684.0));
    // The fold at 690 mm lies 6 mm from the middle of a bar: the plies are 12 mm apart.
    let (way, error) = folded.fold_phase_error_mm().unwrap();
    assert_eq!(way, FoldWay::Lengthwise);
    assert!((error - 12.0).abs() < 1e-9, "{error}");
}

const WRITTEN: &str = r##"(
    name: "check",
    width: "138 cm",
    between_selvedges: "142 cm",
    length: "260 cm",
    colour: "#2f4a3f",
    plies: PartFolded(folded_over: "40 cm", right_sides: In),
    nap: true,
    print: (
        lengthwise: (start_mm: 6.0, bars: [(width_mm: 20.0, gap_mm: 30.0, colour: "#16261f")], repeat: "50.4 mm"),
        motif: (origin: (1.0, 2.0), steps: ((70.0, 96.0), (0.0, 192.0)), way: TwoWay),
        angle_degrees: 1.5,
    ),
    shrinkage: (along_percent: 4.0, across_percent: 1.0, pre_shrunk: true),
    shear: (off: "1/2 in", over: "55 in"),
    flaws: [(what: "stain", outline: [(10.0, 10.0), (40.0, 10.0), (40.0, 30.0)])],
    cost_per_metre: (amount: 18.5, currency: "EUR"),
)"##;

#[test]
fn a_cloth_is_written_as_a_person_would_and_keeps_its_units() {
    let options = ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
    let cloth: Cloth = options.from_str(WRITTEN).unwrap();
    assert_eq!(cloth.length.to_string(), "260 cm");
    assert_eq!(cloth.shear.as_ref().unwrap().off.to_string(), "1/2 in");
    assert!(
        (cloth
            .print
            .as_ref()
            .unwrap()
            .lengthwise
            .as_ref()
            .unwrap()
            .period_mm()
            - 50.4)
            .abs()
            < 1e-12
    );
    let text = options.to_string(&cloth).unwrap();
    assert_eq!(options.from_str::<Cloth>(&text).unwrap(), cloth);
    let misspelt = WRITTEN.replace("nap: true", "napp: true");
    let refused = options.from_str::<Cloth>(&misspelt).unwrap_err().to_string();
    assert!(refused.contains("napp"), "{refused}");
}
