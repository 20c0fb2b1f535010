//! What can't be is said with its numbers, and nothing that was typed is lost.

use super::{bars, cloth, with_print};
use chalkbeam::cloth::{Cloth, Cost, Flaw, Motif, MotifWay, Plies, Print, RightSides, Shear, Shrinkage};
use chalkbeam::demo;
use chalkbeam::finding::Severity;
use chalkbeam::garment::{Command, Garment, OpenGarment};
use chalkbeam::geometry::{Point, Vec2};
use chalkbeam::pattern::{ClothKind, Pattern};
use std::path::Path;

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
            (finding.severity, finding.what.clone())
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
        Err(error) => panic!("{error}"),
    }
}

#[test]
fn a_sound_cloth_has_nothing_said_of_it() {
    assert_eq!(says_of(cloth()), []);
}

fn lengthwise(list: &[(f64, f64, u8)]) -> Cloth {
    with_print(Print { lengthwise: Some(bars(list)), ..Print::default() })
}

fn measured(repeat: &str) -> Cloth {
    let mut stripe = bars(&[(24.0, 12.0, 1), (16.0, 8.0, 2)]);
    stripe.repeat = Some(repeat.parse().unwrap());
    with_print(Print { lengthwise: Some(stripe), ..Print::default() })
}

fn flaw(outline: &[(f64, f64)]) -> Cloth {
    Cloth {
        flaws: vec![Flaw {
            what: "hole".to_owned(),
            outline: outline.iter().copied().map(Point::from).collect(),
        }],
        ..cloth()
    }
}

fn motif(steps: [(f64, f64); 2]) -> Cloth {
    with_print(Print {
        motif: Some(Motif {
            origin: Point::ORIGIN,
            steps: steps.map(Vec2::from),
            way: MotifWay::OneWay,
            mirrors: false,
        }),
        ..Print::default()
    })
}

fn angle(angle_degrees: f64) -> Cloth {
    with_print(Print { lengthwise: Some(bars(&[(24.0, 12.0, 1)])), angle_degrees, ..Print::default() })
}

fn sheared(off: &str, over: &str) -> Cloth {
    Cloth { shear: Some(Shear { off: off.parse().unwrap(), over: over.parse().unwrap() }), ..cloth() }
}

fn shrunk(along_percent: f64, across_percent: f64) -> Cloth {
    Cloth { shrinkage: Shrinkage { along_percent, across_percent, pre_shrunk: false }, ..cloth() }
}

type Case = (Cloth, Severity, &'static [&'static str]);

/// Cloths that can't be, how grave it is, and what must be said.
fn cases() -> Vec<Case> {
    let (stop, warning) = (Severity::Stop, Severity::Warning);
    vec![
        (lengthwise(&[]), stop, &["bars along the cloth are none"]),
        (lengthwise(&[(24.0, 12.0, 1), (0.0, 8.0, 2)]), stop, &["bar 2", "0.0 mm"]),
        (lengthwise(&[(24.0, -30.0, 1), (16.0, 8.0, 2)]), stop, &["40.0 mm", "18.0 mm"]),
        (lengthwise(&[(0.2, 0.3, 1)]), stop, &["0.50 mm"]),
        (lengthwise(&[(1000.0, 700.0, 1)]), warning, &["1700 mm", "1380 mm"]),
        (measured("30 mm"), stop, &["40.0 mm", "30.0 mm"]),
        (measured("70 mm"), warning, &["70.0 mm", "60.0 mm"]),
        (motif([(70.0, 0.0), (140.0, 0.0)]), stop, &["(70.0, 0.0)", "parallel"]),
        (motif([(0.2, 0.0), (0.0, 50.0)]), stop, &["0.20 mm"]),
        (angle(80.0), stop, &["80.0°"]),
        (angle(2.0), warning, &["2.0°", "35 mm a metre"]),
        (flaw(&[(0.0, 0.0), (1.0, 0.0)]), stop, &["hole", "2 corners"]),
        (flaw(&[(100.0, 1500.0), (140.0, 1500.0), (140.0, 1540.0)]), warning, &["hole", "120 mm off"]),
        (sheared("21 mm", "140 cm"), warning, &["21.0 mm", "1400 mm", "1.5 %"]),
        (sheared("200 cm", "0 mm"), stop, &["2000.0 mm", "0 mm"]),
        (shrunk(0.0, 0.0), stop, &["not pre-shrunk"]),
        (shrunk(5.0, 2.0), stop, &["2470 mm by 1352 mm"]),
        (shrunk(120.0, 0.0), stop, &["120.0 %"]),
        (
            Cloth { between_selvedges: Some("130 cm".parse().unwrap()), ..cloth() },
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
            Cloth { cost_per_metre: Some(Cost { amount: -3.0, currency: "EUR".to_owned() }), ..cloth() },
            warning,
            &["-3.00"],
        ),
    ]
}

/// What no cloth can have is refused before it is taken over; the garment stays as it was.
#[test]
fn a_cloth_of_no_size_and_a_number_that_is_none_are_refused() {
    let nothing = Cloth { width: "0 mm".parse().unwrap(), ..cloth() };
    for (cloth, words) in [
        (nothing, ["usable width", "0 mm"]),
        (lengthwise(&[(f64::NAN, 12.0, 1)]), ["a measure of the print", "NaN"]),
    ] {
        let told = cloth.faults()[0].to_string();
        assert!(words.iter().all(|word| told.contains(word)), "{told}");
        let mut open = demo::garden_coat().unwrap();
        let before = open.plan().clone();
        let refused = open.perform(&Command::SetCloth(ClothKind::Cloth, cloth), None);
        assert!(refused.unwrap_err().to_string().contains("“cloth”"));
        assert_eq!(*open.plan(), before);
    }
}

#[test]
fn what_can_not_be_is_said_with_its_numbers() {
    for (cloth, severity, words) in cases() {
        let said = says_of(cloth.clone());
        let found =
            said.iter().any(|(how, what)| *how == severity && words.iter().all(|word| what.contains(word)));
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
