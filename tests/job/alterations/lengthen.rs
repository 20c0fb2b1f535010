//! Lengthening and shortening at the waist line.

use super::draft::*;
use super::measure::*;
use super::{applied, last_report, list};
use chalkbeam::alter::{AlterError, DartsAcross, Lengthen, LengthenAt, Outcome, Pieces, Record, replay};
use chalkbeam::geometry::{Curve, Point};
use proptest::prelude::*;

pub(super) fn at_waist(longer_by: f64, half_band: Option<f64>) -> Record {
    Record::Lengthen(Lengthen {
        at: LengthenAt::BalanceLine {
            line: "waist".into(),
            half_band: half_band.map(mm),
            darts: DartsAcross::Refuse,
        },
        longer_by: mm(longer_by),
    })
}

/// The published map, written down again.
fn moved(p: Point, by: f64, half_band: f64) -> Point {
    let u = ((half_band - (p.y - 40.0)) / (2.0 * half_band)).clamp(0.0, 1.0);
    Point::new(p.x, p.y - by * u * u * (3.0 - 2.0 * u))
}

#[test]
fn the_waist_of_the_coat_lengthens_front_and_back_alike() {
    for (size, name) in [(1, "88"), (3, "96")] {
        let d = draft(size);
        for (by, band) in [(21.0, 50.0), (-15.0, 50.0), (30.0, 65.0)] {
            let longer = applied(&coat(), name, [at_waist(by, Some(band))]);
            let below_v: f64 = sampled_length(|t| moved(bezier(d.side, t), by, band))
                + sampled_length(|t| moved(d.v.lerp(d.m2, t), by, band))
                + d.h.distance(d.k);
            let upper = d.u.distance(d.m2);
            let back = longer.piece(&"back".into()).unwrap().edge(&"side".into()).unwrap();
            let front = longer.piece(&"front".into()).unwrap();
            let lower = front.edge(&"side_lower".into()).unwrap();
            assert!((sampled(&back.curve) - below_v - upper).abs() < 0.005);
            assert!((sampled(&lower.curve) - below_v).abs() < 0.005);
            let change = last_report(&longer).edge(&"back".into(), &"side".into()).unwrap();
            assert!((change.after_mm - below_v - upper).abs() < 0.005);
        }
    }
}

#[test]
fn straight_edges_along_the_grain_stay_straight_and_change_by_the_amount() {
    let longer = applied(&coat(), "88", [at_waist(21.0, None)]);
    for (piece, edge) in [("back", "centre"), ("front", "front_edge")] {
        let edge = longer.piece(&piece.into()).unwrap().edge(&edge.into()).unwrap().clone();
        let x = edge.curve.start().x;
        assert_eq!(edge.curve, Curve::line(edge.curve.start(), Point::new(x, -741.0)));
    }
    let fold = last_report(&longer).figure("length at the fold", Some(&"back".into())).unwrap();
    assert!((fold.after.number() - fold.before.unwrap().number() - 21.0).abs() < 1e-9);
}

#[test]
fn what_lies_above_the_band_is_the_patterns_own_and_what_lies_below_only_moves() {
    let pattern = coat();
    let longer = applied(&pattern, "88", [at_waist(21.0, None)]);
    let (old, new) =
        (pattern.piece(&"front".into(), &"88".into()).unwrap(), longer.piece(&"front".into()).unwrap());
    for edge in ["dart_mouth", "side_upper", "armhole", "shoulder", "neck"] {
        assert_eq!(old.edge(&edge.into()), new.edge(&edge.into()), "{edge}");
    }
    assert_eq!(old.darts, new.darts);
    let hem = |piece: &chalkbeam::pattern::Piece| piece.edge(&"hem".into()).unwrap().curve.clone();
    assert_eq!(hem(new).segments().len(), 1);
    for distance in [0.0, 100.0, 390.0] {
        let shift = hem(new).point_at(distance) - hem(old).point_at(distance);
        assert!((shift.x).abs() < 1e-9 && (shift.y + 21.0).abs() < 1e-9);
    }
    let waist = new.balance_lines[0].line;
    assert!((waist.p0.y - 29.5).abs() < 1e-9, "the line itself moves by half");
    assert!((new.grainline.to.y - 200.0).abs() < 1e-9 && (new.grainline.from.y + 621.0).abs() < 1e-9);
}

#[test]
fn notches_keep_their_place_on_the_cloth() {
    let pattern = coat();
    let longer = applied(&pattern, "88", [at_waist(21.0, None)]);
    for piece in ["back", "front"] {
        let (old, new) =
            (pattern.piece(&piece.into(), &"88".into()).unwrap(), longer.piece(&piece.into()).unwrap());
        for (was, is) in old.notches.iter().zip(&new.notches) {
            let expected = moved(old.notch_point(was).unwrap(), 21.0, 50.0);
            let found = new.notch_point(is).unwrap();
            assert!(found.distance(expected) < 0.002, "{piece} {} {found:?}", is.id);
        }
    }
}

#[test]
fn a_band_that_would_fold_the_seam_back_is_refused_with_the_smallest_that_works() {
    let fails = |band: f64| {
        let outcome = &replay(&coat(), &"88".into(), &list([at_waist(-40.0, Some(band))])).steps[0].outcome;
        match outcome {
            Outcome::Failed(AlterError::BandTooNarrow { smallest_mm, .. }) => Some(*smallest_mm),
            Outcome::Applied(_) => None,
            other => panic!("{other:?}"),
        }
    };
    assert!((fails(30.0).unwrap() - 30.0).abs() < 1e-9);
    assert_eq!(fails(30.1), None);
}

#[test]
fn a_dart_in_the_band_is_refused_and_the_steps_after_it_still_run() {
    let wide = list([at_waist(20.0, Some(90.0)), at_waist(21.0, None)]);
    let replayed = replay(&coat(), &"88".into(), &wide);
    assert!(matches!(
        &replayed.steps[0].outcome,
        Outcome::Failed(AlterError::DartInBand { piece, dart, .. }) if piece.as_str() == "front" && dart.as_str() == "bust"
    ));
    assert!(matches!(replayed.steps[1].outcome, Outcome::Applied(_)));
    assert!(
        (replayed.piece(&"back".into()).unwrap().corner(&"hem_centre".into()).unwrap().y + 741.0).abs()
            < 1e-9
    );
}

#[test]
fn untouched_pieces_and_steps_without_effect_share_the_patterns_pieces() {
    let pattern = coat();
    let mut steps = list([at_waist(0.0, None), at_waist(5.0, None)]);
    steps[1].on = false;
    let replayed = replay(&pattern, &"88".into(), &steps);
    assert!(matches!(replayed.steps[0].outcome, Outcome::NoEffect(_)));
    assert_eq!(replayed.steps[1].outcome, Outcome::Off);
    for piece in &replayed.pieces {
        assert!(std::sync::Arc::ptr_eq(piece, pattern.piece(&piece.id, &"88".into()).unwrap()));
    }
    assert_eq!(replayed.last_touched(&"back".into()), None);
}

#[test]
fn at_the_lower_edge_the_seams_are_carried_on_straight() {
    let record =
        Record::Lengthen(Lengthen { at: LengthenAt::LowerEdge { pieces: Pieces::All }, longer_by: mm(40.0) });
    let longer = applied(&coat(), "88", [record]);
    let back = longer.piece(&"back".into()).unwrap();
    let (d, hem) = (draft(1), back.corner(&"hem_side".into()).unwrap());
    assert!((back.corner(&"hem_centre".into()).unwrap().y + 760.0).abs() < 1e-9);
    // On the seam's own line, and on the old hem's circle moved down by 40 mm.
    assert!(((d.h - d.k).cross(hem - d.k) / (d.h - d.k).hypot()).abs() < 1e-6);
    let radius = d.c.y + 720.0;
    assert!((hem.distance(Point::new(0.0, d.c.y - 40.0)) - radius).abs() < 1e-6);
}

#[test]
fn a_record_is_kept_as_typed() {
    let text = r#"Lengthen(at: BalanceLine(line: "waist", half_band: Some("2 in")), longer_by: "5/8 in")"#;
    let options =
        ron::Options::default().with_default_extension(ron::extensions::Extensions::UNWRAP_VARIANT_NEWTYPES);
    let record: Record = options.from_str(text).unwrap();
    let again = options.to_string(&record).unwrap();
    assert!(again.contains("5/8 in") && again.contains("2 in"), "{again}");
    assert_eq!(options.from_str::<Record>(&again).unwrap(), record);
    assert!(options.from_str::<Record>(&text.replace("half_band", "halfband")).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn shortening_and_lengthening_by_the_same_amount_returns_the_seams(by in 1.0..45.0_f64, band in 36.0..48.0_f64) {
        let pattern = coat();
        let there_and_back = applied(&pattern, "92", [at_waist(-by, Some(band)), at_waist(by, Some(band))]);
        for id in ["back", "front"] {
            let old = pattern.piece(&id.into(), &"92".into()).unwrap();
            let new = there_and_back.piece(&id.into()).unwrap();
            for (was, is) in old.edges.iter().zip(&new.edges) {
                let (was, is) = (was.curve.length(), is.curve.length());
                // The second spread is centred where the first has put the line: the seam in the band is a
                // little straighter or more bent, its ends are where they were.
                prop_assert!((was - is).abs() < 0.02, "{was} {is}");
            }
            for edge in &old.edges {
                let (was, is) = (edge.curve.start(), new.corner(&edge.from).unwrap());
                prop_assert!(was.distance(is) < 1e-6);
            }
        }
    }
}
