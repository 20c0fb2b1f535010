//! What can be compared with the body: the coat's measures and the bodies of its sizes, and each measure again from
//! the formulas of the draft.

use super::draft::{Draft, FRONT_EDGE, SIZES};
use super::{demo, drafted};
use chalkbeam::geometry::{Length, Point};
use chalkbeam::pattern::{
    BodyMeasurement, FaultKind, Landmark, Measure, MeasurePath, Pattern, PatternFileError, Run, SizeBody,
    Term,
};
use std::collections::BTreeMap;

/// The bust level meets the back's side this far below the underarm, as low as the dart points.
const BUST_BELOW_UNDERARM: f64 = 40.0;

/// Bust 840 + 40 i, waist 680 + 40 i, hip 920 + 40 i, back waist length 400 + 3 i, in mm.
pub(super) fn bodies() -> Vec<SizeBody> {
    let body = |(i, size): (u32, &str)| {
        let i = f64::from(i);
        let mm = [
            (BodyMeasurement::BustGirth, 840.0 + 40.0 * i),
            (BodyMeasurement::WaistGirth, 680.0 + 40.0 * i),
            (BodyMeasurement::HipGirth, 920.0 + 40.0 * i),
            (BodyMeasurement::BackWaistLength, 400.0 + 3.0 * i),
        ];
        let measurements: BTreeMap<_, _> =
            mm.into_iter().map(|(of, mm)| (of, format!("{} cm", mm / 10.0).parse().unwrap())).collect();
        let size = size.into();
        SizeBody { size, measurements }
    };
    (0..).zip(SIZES).map(body).collect()
}

pub(super) fn measures() -> Vec<Measure> {
    let notch = |id: &str| Landmark::Notch(id.into());
    let on_back = Landmark::FromCorner {
        corner: "underarm".into(),
        edge: "side".into(),
        distance: Length::from_mm(BUST_BELOW_UNDERARM),
    };
    let round = |id: &str, of, back: Landmark, front: Landmark| Measure {
        id: id.into(),
        of,
        minimum_ease: None,
        terms: vec![
            across("back", back, 2),
            across("front", front, 2),
            // The front edges lie over each other.
            Term { path: MeasurePath::Constant(Length::from_mm(FRONT_EDGE)), times: 2 },
        ],
    };
    vec![
        round("bust", BodyMeasurement::BustGirth, on_back, Landmark::Apex("bust".into())),
        round("waist", BodyMeasurement::WaistGirth, notch("waist"), notch("waist")),
        round("hip", BodyMeasurement::HipGirth, notch("hip"), notch("hip")),
        Measure {
            id: "back waist length".into(),
            of: BodyMeasurement::BackWaistLength,
            minimum_ease: None,
            terms: vec![Term {
                path: MeasurePath::AlongGrain {
                    piece: "back".into(),
                    from: Landmark::Corner("neck centre".into()),
                    to: notch("waist"),
                },
                times: 1,
            }],
        },
    ]
}

fn across(piece: &str, level: Landmark, times: u32) -> Term {
    let piece = piece.into();
    Term { path: MeasurePath::Across { piece, level }, times }
}

fn taken(coat: &Pattern, size: usize, measure: &Measure) -> f64 {
    measure.on(&coat.pieces_in(&coat.sizes[size]).unwrap()).unwrap()
}

#[test]
fn every_measure_of_the_coat_is_what_its_formulas_say_in_every_size() {
    let coat = Pattern::read(demo("garden-coat.pattern.ron")).unwrap();
    for step in 0..5_u8 {
        let (d, size) = (Draft::of(step), usize::from(step));
        let i = f64::from(step);
        // Halves from the centre; the button side of the front is left out on both.
        let back_bust = d.underarm.x - BUST_BELOW_UNDERARM * 4_f64.to_radians().sin();
        // The level of the apex meets the upper part of the front's side, which is straight.
        let (low, high) = (d.dart_upper, d.front_underarm);
        let front_bust = low.x + (d.apex.y - low.y) / (high.y - low.y) * (high.x - low.x);
        let waist = side_at_level(&d, 0.0);
        let expected =
            [2.0 * (back_bust + front_bust), 4.0 * waist, 4.0 * (255.0 + 10.0 * i), 400.0 + 3.0 * i];
        for (measure, expected) in coat.measures.iter().zip(expected) {
            let found = taken(&coat, size, measure);
            assert!(
                (found - expected).abs() < 0.001,
                "{}, size step {step}: {found:.4} by the library, {expected:.4} by the formulas",
                measure.id
            );
        }
    }
    assert_eq!(coat.measures.len(), 4);
}

/// x of the side at a level, by sampling the cubic alone.
fn side_at_level(d: &Draft, y: f64) -> f64 {
    let c = &d.side;
    let at = |t: f64| {
        let u = 1.0 - t;
        let [a, b, e, f] = [u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t];
        (a * c.p0.to_vec2() + b * c.p1.to_vec2() + e * c.p2.to_vec2() + f * c.p3.to_vec2()).to_point()
    };
    let points: Vec<Point> = (0..=100_000).map(|k| at(f64::from(k) / 100_000.0)).collect();
    let nearest = points.iter().min_by(|a, b| (a.y - y).abs().total_cmp(&(b.y - y).abs()));
    nearest.unwrap().x
}

#[test]
fn every_size_has_room_for_its_body() {
    // Minimum ease for woven cloth, inches: bust 1½, waist of a dress ¾, hip 2 (a textbook on making costumes).
    let coat = drafted();
    for (size, name) in coat.sizes.iter().enumerate() {
        for (measure, inches) in coat.measures.iter().zip([1.5, 0.75, 2.0, 0.0]) {
            let body = coat.drafted_for_mm(name, measure.of).unwrap();
            let ease = taken(&coat, size, measure) - body;
            assert!(ease >= inches * 25.4 - 1e-3, "{}, size {name}: {ease:.1} mm", measure.id);
        }
    }
}

/// A coat with one more measure.
fn with(path: MeasurePath) -> Pattern {
    let mut coat = drafted();
    coat.measures.push(Measure {
        id: "one more".into(),
        of: BodyMeasurement::FrontWaistLength,
        minimum_ease: Some("1/2 in".parse().unwrap()),
        terms: vec![Term { path, times: 1 }],
    });
    coat
}

fn front_side(from: Option<Landmark>, to: Option<Landmark>) -> MeasurePath {
    MeasurePath::Along {
        run: Run {
            piece: "front".into(),
            from: "underarm".into(),
            edges: vec!["side upper".into(), "side lower".into()],
        },
        from,
        to,
    }
}

#[test]
fn along_a_seam_the_darts_mouth_counts_nothing() {
    // The side from underarm to hem is tabled as 879.91 in size 88, and the hip lies as far down it as on the back.
    let coat = with(front_side(None, None));
    assert!((taken(&coat, 1, &coat.measures[4]) - 879.91).abs() < 0.01);
    let hip = Draft::of(1).side_levels()[2];
    let coat = with(front_side(None, Some(Landmark::Notch("hip".into()))));
    assert!((taken(&coat, 1, &coat.measures[4]) - hip).abs() < 0.01);
    // 30 mm of the upper part above the dart, the dart, and 40 mm below it.
    let from_corner = |corner: &str, edge: &str, mm: f64| Landmark::FromCorner {
        corner: corner.into(),
        edge: edge.into(),
        distance: Length::from_mm(mm),
    };
    let (above, below) =
        (from_corner("dart upper", "side upper", 30.0), from_corner("dart lower", "side lower", 40.0));
    let coat = with(front_side(Some(above), Some(below)));
    assert!((taken(&coat, 1, &coat.measures[4]) - 70.0).abs() < 1e-6);
}

#[test]
fn across_a_dart_its_wedge_counts_nothing() {
    // At the level of the dart's upper corner the line runs through the wedge from the lower leg to that corner.
    let level = Landmark::Corner("dart upper".into());
    let coat = with(MeasurePath::Across { piece: "front".into(), level });
    let d = Draft::of(1);
    let (low, apex, y) = (d.dart_lower, d.apex, d.dart_upper.y);
    let on_lower_leg = apex.x + (apex.y - y) / (apex.y - low.y) * (low.x - apex.x);
    let expected = on_lower_leg - FRONT_EDGE;
    assert!((taken(&coat, 1, &coat.measures[4]) - expected).abs() < 1e-3);
}

#[test]
fn a_straight_measure_is_the_distance_of_its_ends() {
    let coat = with(MeasurePath::Straight {
        piece: "back".into(),
        from: Landmark::Corner("shoulder neck".into()),
        to: Landmark::Corner("shoulder tip".into()),
    });
    assert!((taken(&coat, 2, &coat.measures[4]) - 116.0).abs() < 1e-5);
}

#[test]
fn measures_and_bodies_are_written_and_read_back() {
    let coat = with(front_side(None, Some(Landmark::Notch("hip".into()))));
    let again = Pattern::parse(&coat.to_ron(), "coat").unwrap();
    assert_eq!(again.measures, coat.measures);
    assert_eq!(again.bodies, bodies());
}

#[test]
fn a_pattern_without_measures_is_read_as_before() {
    let text = drafted().to_ron();
    let (before, _) = text.split_once("    bodies: [").unwrap();
    let old = Pattern::parse(&format!("{before})\n"), "coat").unwrap();
    assert!(old.measures.is_empty() && old.bodies.is_empty());
    assert!(!old.to_ron().contains("measures"));
}

#[test]
fn a_measure_that_cannot_be_taken_is_refused_with_its_place() {
    let refused = |coat: &Pattern| match Pattern::parse(&coat.to_ron(), "coat") {
        Err(PatternFileError::Faulty { faults, .. }) => {
            assert!(faults.iter().all(|fault| fault.place.is_some()), "{faults:?}");
            faults[0].to_owned()
        }
        other => panic!("{other:?}"),
    };
    let misspelt =
        refused(&with(MeasurePath::Across { piece: "front".into(), level: Landmark::Notch("hipp".into()) }));
    let message = misspelt.fault.to_string();
    assert!(message.contains("measure “one more”") && message.contains("Did you mean “hip”?"), "{message}");
    let off = refused(&with(front_side(None, Some(Landmark::Notch("shoulder".into())))));
    assert!(off.fault.to_string().contains("does not lie on the edges"), "{}", off.fault);
    let none = refused(&with(MeasurePath::Across {
        piece: "back".into(),
        level: Landmark::Corner("shoulder neck".into()),
    }));
    assert!(none.fault.to_string().contains("no width"), "{}", none.fault);

    let beyond = refused(&with(MeasurePath::Across {
        piece: "back".into(),
        level: Landmark::FromCorner {
            corner: "underarm".into(),
            edge: "side".into(),
            distance: Length::from_mm(900.0),
        },
    }));
    assert!(beyond.fault.to_string().contains("900 mm from “underarm” along “side”"), "{}", beyond.fault);

    let mut twice = drafted();
    twice.measures.push(twice.measures[0].clone());
    assert!(matches!(refused(&twice).fault.kind, FaultKind::Duplicate { .. }));
    let mut never = drafted();
    never.measures[0].terms[0].times = 0;
    assert!(matches!(refused(&never).fault.kind, FaultKind::Zero(_)));
    let mut empty = drafted();
    empty.measures[0].terms.clear();
    assert!(matches!(empty.faults()[0].kind, FaultKind::None("term")));
    let mut thin = drafted();
    thin.bodies[1].measurements.insert(BodyMeasurement::HipGirth, Length::from_mm(-4.0));
    let message = refused(&thin).fault.to_string();
    assert!(message.contains("body of size 88") && message.contains("hip girth of -4 mm"), "{message}");
    let mut stranger = drafted();
    stranger.bodies[1].size = "881".into();
    assert!(matches!(refused(&stranger).fault.kind, FaultKind::Unknown { .. }));
}
