//! What a person does to a lay: drags, puts down, lets pass; and what no input may do.

use super::broken;
use super::coat::{three, with};
use chalkbeam::cloth::{Bar, Bars, Cloth, Colour, Motif, MotifWay, Plies, Print, RightSides};
use chalkbeam::demo;
use chalkbeam::finding::Severity;
use chalkbeam::garment::Command;
use chalkbeam::geometry::{Length, Point, Vec2};
use chalkbeam::lay::{self, LayRules, LetPass, Place, Rule};
use chalkbeam::pattern::ClothKind;
use proptest::prelude::*;

#[test]
fn a_rule_is_let_pass_only_with_a_reason_and_stays_in_sight() {
    let mut open = demo::garden_coat().unwrap();
    let mut right = open.plan().lay[2].clone();
    right.turn_degrees = 180.0;
    open.perform(&Command::SetPlace(right), None).unwrap();
    let mut let_pass = |reason: &str| {
        let rules = LayRules {
            let_pass: vec![LetPass {
                rule: Rule::Direction,
                piece: Some("front".into()),
                seam: None,
                reason: reason.to_owned(),
            }],
            ..LayRules::default()
        };
        open.perform(&Command::SetLayRules(rules), None).unwrap();
        open.findings()
    };
    let without = let_pass("  ");
    assert!(
        without
            .iter()
            .any(|finding| finding.severity == Severity::Stop && finding.what.contains("upside down"))
    );
    assert!(without.iter().any(|finding| finding.what.contains("no reason is written")));
    let with = let_pass("the sprigs are dots from two steps away");
    let note = with.iter().find(|finding| finding.what.contains("upside down")).unwrap();
    assert_eq!(note.severity, Severity::Note);
    assert!(note.what.contains("dots from two steps away"));
    // The reason is kept in the garment's file.
    let text = open.garment().to_text("coat.garment.ron".as_ref()).unwrap();
    assert!(text.contains("dots from two steps away") && text.contains("Direction"));
}

#[test]
fn a_dragged_back_moves_by_sprigs_and_keeps_its_phase() {
    let open = demo::garden_coat().unwrap();
    let laid = open.evaluated().laid(open.plan()).unwrap();
    let back = &laid.places[1];
    let moved = lay::kept_in_phase(back, back.at + Vec2::new(130.0, 10.0), laid.cloth);
    assert!((moved.at - back.at - Vec2::new(140.0, 0.0)).hypot() < 1e-9, "{:?}", moved.at);
    let moved = lay::kept_in_phase(back, back.at + Vec2::new(-60.0, -90.0), laid.cloth);
    assert!((moved.at - back.at - Vec2::new(-70.0, -96.0)).hypot() < 1e-9);
    let mut places = laid.places.to_vec();
    places[1] = moved;
    with(&open, &places, None, |laid| assert!(broken(laid, Rule::Match).is_empty()));
}

#[test]
fn a_back_put_down_anywhere_snaps_to_where_it_matches() {
    let open = demo::garden_coat().unwrap();
    for (x, y) in [(700.0, 969.8), (731.0, 940.0), (1200.0, 1020.0), (655.0, 1001.0)] {
        let mut places = three(770.0, x, 1960.0);
        places[1].at.y = y;
        let snapped = with(&open, &places, None, |laid| lay::snapped(&places[1], laid));
        assert!(snapped.at.distance(Point::new(x, y)) < 70.0_f64.hypot(96.0), "{:?}", snapped.at);
        places[1] = snapped;
        with(&open, &places, None, |laid| {
            assert!(broken(laid, Rule::Match).is_empty());
            assert!(broken(laid, Rule::Centre).is_empty());
        });
    }
}

#[test]
fn one_place_is_checked_as_it_is_among_all() {
    let open = demo::garden_coat().unwrap();
    let mut places = three(770.0, 850.0, 1960.0);
    places[1].at.y = 1010.0;
    places[1].turn_degrees = 2.0;
    with(&open, &places, None, |laid| {
        let alone = lay::check_place(laid, 1);
        let all = lay::check(laid);
        for words in
            ["off the warp", "usable width", "overlaps", "off the middle of the widest bar", "does not match"]
        {
            assert!(alone.iter().any(|finding| finding.what.contains(words)), "{words}");
            assert!(all.iter().any(|finding| finding.what.contains(words)), "{words}");
        }
        assert!(lay::check_place(laid, 0).iter().all(|finding| !finding.what.contains("off the warp")));
    });
}

/// Every offer to move or turn a piece keeps the rule that it was made for.
#[test]
fn what_is_offered_mends_the_rule_that_was_broken() {
    let open = demo::garden_coat().unwrap();
    let mut seen = std::collections::BTreeSet::new();
    type Spoil = fn(&mut Place);
    let wrong: [(usize, Spoil); 8] = [
        (1, |place| place.at.y += 3.0),
        (1, |place| place.at.x += 11.0),
        (2, |place| place.turn_degrees = 180.0),
        (2, |place| place.mirrored = false),
        (0, |place| place.turn_degrees = 3.0),
        (0, |place| place.at.y = 300.0),
        (0, |place| place.at.x = 600.0),
        (2, |place| place.at += Vec2::new(-33.0, 17.0)),
    ];
    for (index, spoil) in wrong {
        let mut places = three(770.0, 700.0, 1960.0);
        spoil(&mut places[index]);
        let offers: Vec<_> = with(&open, &places, None, |laid| {
            let all = lay::breaches(laid).into_iter();
            all.filter_map(|breach| Some((breach.rule, breach.finding.what.clone(), breach.mended?)))
                .collect()
        });
        assert!(!offers.is_empty(), "{index}");
        for (rule, what, mended) in offers {
            assert!(!mended.words.is_empty());
            let mut places = places.clone();
            let slot = places
                .iter_mut()
                .find(|place| place.piece == mended.place.piece && place.copy == mended.place.copy);
            *slot.unwrap() = mended.place;
            with(&open, &places, None, |laid| {
                let still = lay::breaches(laid).into_iter().any(|breach| breach.finding.what == what);
                assert!(!still, "{what}");
            });
            seen.insert(rule);
        }
    }
    let expected = [Rule::Inside, Rule::Grain, Rule::Direction, Rule::Pair, Rule::Centre, Rule::Match];
    assert!(expected.iter().all(|rule| seen.contains(rule)), "{seen:?}");
}

#[test]
fn folded_cloth_is_refused_before_anything_is_laid() {
    let mut open = demo::garden_coat().unwrap();
    for place in open.plan().lay.clone() {
        open.perform(&Command::RemovePlace(place.piece, place.copy), None).unwrap();
    }
    let said = |open: &chalkbeam::garment::OpenGarment, words: &str| {
        open.findings().iter().any(|finding| finding.what.contains(words))
    };
    assert!(!said(&open, "not laid yet") && !said(&open, "folded"));
    let mut cloth = open.plan().cloths[&ClothKind::Cloth].clone();
    cloth.plies = Plies::FoldedLengthwise { right_sides: RightSides::In };
    open.perform(&Command::SetCloth(ClothKind::Cloth, cloth), None).unwrap();
    assert!(said(&open, "can't be cut folded") && said(&open, "print inside"));
}

/// Numbers that nobody means, and some that somebody might.
fn a_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        6 => -3000.0..3000.0_f64,
        1 => Just(0.0),
        1 => Just(f64::NAN),
        1 => Just(f64::INFINITY),
        1 => Just(1e300),
        1 => Just(-1e-300),
        1 => 0.0..1e-6_f64,
    ]
}

fn a_bar() -> impl Strategy<Value = Bar> {
    (a_number(), a_number(), 0..3_u8).prop_map(|(width_mm, gap_mm, shade)| Bar {
        width_mm,
        gap_mm,
        colour: Colour([shade; 3]),
    })
}

fn some_bars() -> impl Strategy<Value = Option<Bars>> {
    prop::option::of(
        (a_number(), prop::collection::vec(a_bar(), 0..4)).prop_map(|(start, bars)| Bars::new(start, bars)),
    )
}

fn a_cloth() -> impl Strategy<Value = Cloth> {
    let motif =
        (prop::array::uniform6(a_number()), 0..3_u8, any::<bool>()).prop_map(|(n, way, mirrors)| Motif {
            origin: Point::new(n[0], n[1]),
            steps: [Vec2::new(n[2], n[3]), Vec2::new(n[4], n[5])],
            way: [MotifWay::OneWay, MotifWay::TwoWay, MotifWay::NoWay][usize::from(way)],
            mirrors,
        });
    let print =
        (some_bars(), some_bars(), prop::option::of(motif), prop_oneof![4 => Just(0.0), 1 => a_number()]);
    let print = print.prop_map(|(lengthwise, crosswise, motif, angle_degrees)| Print {
        lengthwise,
        crosswise,
        motif,
        angle_degrees,
        ..Print::default()
    });
    let plies = (0..4_u8, 0.0..2000.0_f64).prop_map(|(kind, over)| {
        let right_sides = RightSides::Out;
        match kind {
            0 => Plies::Flat,
            1 => Plies::FoldedLengthwise { right_sides },
            2 => Plies::FoldedCrosswise { right_sides },
            _ => Plies::PartFolded { folded_over: Length::from_mm(over), right_sides },
        }
    });
    (print, plies, 0.0..3000.0_f64, any::<bool>()).prop_map(|(print, plies, width, nap)| {
        let (width, length) = (Length::from_mm(width), Length::from_mm(2600.0));
        let mut cloth = Cloth::plain("cloth", width, length, Colour([0; 3]));
        cloth.print = Some(print);
        cloth.plies = plies;
        cloth.nap = nap;
        cloth
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]
    /// Whatever is typed, every check answers, and snapping leaves a place where it can be found.
    #[test]
    fn no_number_ends_the_checks(
        cloth in a_cloth(),
        spots in prop::collection::vec((0..3_usize, a_number(), a_number(), a_number(), any::<bool>()), 1..4),
    ) {
        let open = demo::garden_coat().unwrap();
        let names = ["front", "back", "front facing"];
        let places: Vec<Place> = (1..)
            .zip(&spots)
            .map(|(copy, &(name, x, y, turn_degrees, mirrored))| Place {
                piece: names[name].into(),
                copy,
                at: Point::new(x, y),
                turn_degrees,
                mirrored,
            })
            .collect();
        for fault in cloth.faults() {
            prop_assert!(!fault.to_string().is_empty() && !fault.remedy().is_empty());
        }
        with(&open, &places, Some(&cloth), |laid| {
            let mut said = lay::check(laid);
            for matched in lay::matches(laid) {
                prop_assert!(matched.along_mm.is_none_or(f64::is_finite));
                prop_assert!(matched.across_mm.is_none_or(f64::is_finite));
            }
            for (index, place) in places.iter().enumerate() {
                said.extend(lay::check_place(laid, index));
                let snapped = lay::snapped(place, laid);
                let moved = lay::kept_in_phase(place, Point::new(500.0, 500.0), &cloth);
                prop_assert!(snapped.at.is_finite() || !place.at.is_finite());
                prop_assert!(moved.at.is_finite() || !place.at.is_finite());
            }
            for finding in said {
                prop_assert!(finding.amount_mm.is_none_or(f64::is_finite), "{}", finding.what);
                prop_assert!(!finding.what.is_empty() && !finding.remedy.is_empty());
            }
            Ok(())
        })?;
    }
}

/// The rules let pass on all pieces, with a reason.
fn passing(rules: &[Rule]) -> LayRules {
    let pass =
        |rule: &Rule| LetPass { rule: *rule, piece: None, seam: None, reason: "it does not show".to_owned() };
    LayRules { let_pass: rules.iter().map(pass).collect(), ..LayRules::default() }
}

#[test]
fn what_is_let_pass_holds_neither_a_drag_nor_the_search() {
    use chalkbeam::garment::LayProblem;
    let mut open = demo::garden_coat().unwrap();
    let back = open.plan().lay[1].clone();
    let moved = Place { at: back.at + Vec2::new(3.0, 5.0), ..back.clone() };
    let drag = |open: &chalkbeam::garment::OpenGarment| {
        lay::snapped(&moved, &open.evaluated().laid(open.plan()).unwrap()).at
    };
    let problem = |open: &chalkbeam::garment::OpenGarment| {
        let plan = open.plan();
        let cloth = plan.cloth().unwrap();
        LayProblem::of(cloth, &open.evaluated().parts, &plan.lay_rules, &[]).unwrap().problem
    };
    assert!(drag(&open).distance(back.at) < 0.5, "it snaps back into phase");
    assert!(problem(&open).items.iter().any(|item| item.repeat.is_some()));
    open.perform(&Command::SetLayRules(passing(&[Rule::Match, Rule::Centre])), None).unwrap();
    assert_eq!(drag(&open), moved.at);
    // Without a reason both hold again.
    let mut silent = passing(&[Rule::Match, Rule::Centre]);
    silent.let_pass.iter_mut().for_each(|by| by.reason = "  ".to_owned());
    open.perform(&Command::SetLayRules(silent), None).unwrap();
    assert!(drag(&open).distance(back.at) < 0.5);
    let plain = Cloth { print: None, nap: true, ..open.plan().cloth().unwrap().clone() };
    open.perform(&Command::SetCloth(ClothKind::Cloth, plain), None).unwrap();
    assert!(problem(&open).items.iter().all(|item| item.poses.len() == 1), "a nap has one way up");
    open.perform(&Command::SetLayRules(passing(&[Rule::Direction])), None).unwrap();
    assert!(problem(&open).items.iter().all(|item| item.poses.len() == 2));
}
