//! Whole lists of alterations: what every outcome must have, and how records are written.

use super::draft::*;
use super::hem::hem;
use super::lengthen::at_waist;
use super::measure::*;
use super::{blend::v_to_hip, list};
use chalkbeam::alter::*;
use kurbo::Shape as _;
use proptest::prelude::*;

fn corner(id: &str) -> Place {
    Place::Corner { corner: id.into() }
}

fn true_dart() -> Record {
    Record::Dart(AlterDart { piece: "front".into(), dart: "bust".into(), change: DartChange::True })
}

fn shoulder(back: f64, front: f64, armhole: ShoulderArmhole) -> Record {
    let part = |piece: &str, lower_by: f64| ShoulderPart {
        piece: piece.into(),
        shoulder: "shoulder".into(),
        armhole: "armhole".into(),
        lower_by: mm(lower_by),
    };
    Record::Shoulder(Shoulder { parts: vec![part("back", back), part("front", front)], armhole })
}

fn side(let_out: f64) -> Record {
    Record::Width(Width {
        piece: "back".into(),
        full: corner("hem_side"),
        nothing: corner("underarm"),
        also_nothing: None,
        let_out: mm(let_out),
    })
}

fn neck(lower_by: f64) -> Record {
    Record::Opening(Opening {
        parts: vec![OpeningPart {
            piece: "front".into(),
            edges: vec!["neck".into(), "neck_overlap".into()],
            lower_by: mm(lower_by),
            fade: None,
        }],
    })
}

fn bust(spread: f64) -> Record {
    Record::FullBust(FullBust {
        piece: "front".into(),
        dart: "bust".into(),
        bust_point: None,
        hinge: Place::FromCorner { corner: "underarm".into(), edge: "armhole".into(), distance: mm(80.0) },
        spread: mm(spread),
        withdraw: None,
    })
}

fn allowance() -> Record {
    Record::Allowance(Allowance::Corner {
        piece: "back".into(),
        corner: "hem_side".into(),
        shape: CornerShape::Mirrored { turned: "hem".into() },
    })
}

fn facing() -> Record {
    Record::Facing(Facing {
        piece: "facing".into(),
        along: vec![Faced { piece: "back".into(), edges: vec!["armhole".into()] }],
        width: mm(45.0),
        other_widths: Vec::new(),
        trim: Some(mm(1.5)),
    })
}

/// A record after it was written and read.
pub(super) fn written_and_read(record: &Record) -> Record {
    ron::from_str(&ron::to_string(record).unwrap()).unwrap()
}

#[test]
fn every_record_is_written_and_read_as_it_was() {
    let records = [
        at_waist(21.0, Some(50.0)),
        hem(-80.0),
        v_to_hip("96"),
        true_dart(),
        shoulder(8.0, 6.0, ShoulderArmhole::Keep),
        side(5.0),
        neck(10.0),
        allowance(),
        facing(),
        bust(20.0),
    ];
    let options =
        ron::Options::default().with_default_extension(ron::extensions::Extensions::UNWRAP_VARIANT_NEWTYPES);
    let written = list(records);
    let text = options.to_string_pretty(&written, ron::ser::PrettyConfig::default()).unwrap();
    assert_eq!(options.from_str::<Vec<Alteration>>(&text).unwrap(), written);
    let plain = ron::to_string(&written).unwrap();
    assert_eq!(ron::from_str::<Vec<Alteration>>(&plain).unwrap(), written);
    assert!(options.from_str::<Record>(r#"Hem(longer_by: "-80 mm", by: "1 mm")"#).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn every_outcome_closes_and_can_be_cut(
        size in 0_usize..5,
        other in 0_usize..5,
        amounts in prop::array::uniform8(-1.0..1.0_f64),
        order in Just((0_usize..9).collect::<Vec<_>>()).prop_shuffle(),
    ) {
        let pattern = coat();
        let [a, b, c, d, e, f, g, h] = amounts;
        let armhole = if a > 0.0 { ShoulderArmhole::Keep } else { ShoulderArmhole::Tighten };
        let records = [
            v_to_hip(pattern.sizes[other].as_str()),
            at_waist(40.0 * a, Some(48.0)),
            hem(120.0 * b),
            shoulder(12.0 * c, 12.0 * d, armhole),
            side(15.0 * e),
            neck(20.0 * f),
            true_dart(),
            bust(30.0 * g.abs()),
            hem(30.0 * h),
        ];
        let shuffled = order.iter().map(|&at| records[at].clone());
        let replayed = replay(&pattern, &pattern.sizes[size], &list(shuffled));
        prop_assert_eq!(replayed.steps.len(), 9);
        for step in &replayed.steps {
            if let Outcome::Failed(error) = &step.outcome {
                // What is refused says what to do.
                prop_assert!(error.to_string().len() > 40, "{}", error);
            }
        }
        let failed: Vec<_> = replayed
            .steps
            .iter()
            .filter(|step| matches!(step.outcome, Outcome::Failed(_)))
            .collect();
        prop_assert!(failed.len() <= 3, "{failed:?}");
        for piece in &replayed.pieces {
            for (at, edge) in piece.edges.iter().enumerate() {
                let next = &piece.edges[(at + 1) % piece.edges.len()];
                prop_assert!(edge.curve.end().distance(next.curve.start()) < 1e-3);
                prop_assert!((edge.curve.length() - sampled(&edge.curve)).abs() < 0.01);
            }
            for notch in &piece.notches {
                prop_assert!(piece.notch_point(notch).is_some());
                let edge = piece.edge(&notch.edge).unwrap();
                prop_assert!((-1e-6..=edge.curve.length() + 1e-6).contains(&notch.distance), "{} {:?}", piece.id, notch);
            }
            let line = cutting_line(piece, &replayed.allowances);
            prop_assert!(line.is_ok(), "{:?}", line);
            let line = line.unwrap();
            prop_assert!(line.outline().area() > piece.outline().area() && piece.outline().area() > 0.0);
        }
        }
}
