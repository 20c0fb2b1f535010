//! The garden coat on an even check without a direction: what the uneven stripe forbids is allowed.

use super::{amounts, broken, place};
use chalkbeam::cloth::{Bar, Bars, Cloth, Colour, Direction, Plies, Print, RightSides};
use chalkbeam::demo;
use chalkbeam::garment::OpenGarment;
use chalkbeam::geometry::Vec2;
use chalkbeam::lay::{self, BarOrder, CentreOn, Laid, LayRules, MatchedAt, Place, Rule};
use chalkbeam::pattern::ClothKind;

fn bar(width_mm: f64, gap_mm: f64) -> Bar {
    Bar { width_mm, gap_mm, colour: Colour([20, 30, 40]) }
}

/// Bars of 24 mm every 96 mm along the cloth, of 10 mm every 70 mm across it; bars' middles as on the demo's cloth.
pub(super) fn check(open: &OpenGarment) -> Cloth {
    let mut cloth = open.plan().cloths[&ClothKind::Cloth].clone();
    cloth.print = Some(Print {
        lengthwise: Some(Bars::new(94.0, vec![bar(24.0, 72.0)])),
        crosswise: Some(Bars::new(15.0, vec![bar(10.0, 60.0)])),
        ..Print::default()
    });
    assert_eq!(cloth.direction(), Direction::Free);
    cloth
}

fn on_check<T>(open: &OpenGarment, places: &[Place], look: impl FnOnce(&Laid<'_>) -> T) -> T {
    let cloth = check(open);
    let laid = open.evaluated().laid(open.plan()).unwrap();
    look(&Laid { places, cloth: &cloth, ..laid })
}

fn three() -> [Place; 3] {
    let mut right = place("front", 2, 1960.0, 970.0);
    right.mirrored = true;
    [place("front", 1, 770.0, 490.0), place("back", 1, 700.0, 970.0), right]
}

#[test]
fn side_seams_meet_in_a_chevron_and_match() {
    let open = demo::garden_coat().unwrap();
    on_check(&open, &three(), |laid| {
        assert!(broken(laid, Rule::Match).is_empty());
        for side in lay::matches(laid) {
            if side.at == MatchedAt::Seam("side".into()) {
                assert_eq!(side.order, BarOrder::Mirrors);
                assert!(side.across_mm.unwrap().abs() < 1e-6 && side.along_mm.unwrap().abs() < 1e-6);
            }
        }
    });
}

/// Across and along are told apart: 3 mm across off, 5 mm along off.
#[test]
fn across_and_along_are_told_apart() {
    let open = demo::garden_coat().unwrap();
    let mut places = three();
    places[1].at += Vec2::new(5.0, 3.0);
    on_check(&open, &places, |laid| {
        for side in lay::matches(laid) {
            if side.at == MatchedAt::Seam("side".into()) {
                assert!((side.across_mm.unwrap().abs() - 3.0).abs() < 1e-6, "{side:?}");
                assert!((side.along_mm.unwrap().abs() - 5.0).abs() < 1e-6, "{side:?}");
            }
        }
        // The back is its own fold: off the bar by 3, its halves are 6 mm apart. Said once, as the bar's.
        assert_eq!(amounts(laid, Rule::Centre).len(), 1);
        assert!((amounts(laid, Rule::Centre)[0] - 3.0).abs() < 1e-6);
        assert!(broken(laid, Rule::FoldPrint).is_empty());
    });
}

#[test]
fn halves_that_do_not_mirror_are_told_with_their_phase_error() {
    let open = demo::garden_coat().unwrap();
    let mut places = three();
    places[1].at.y += 3.0;
    let rules = LayRules { centre: CentreOn::Anything, ..LayRules::default() };
    on_check(&open, &places, |laid| {
        let laid = Laid { rules: &rules, ..*laid };
        let [apart] = amounts(&laid, Rule::FoldPrint)[..] else { panic!("one piece with two halves") };
        assert!((apart - 6.0).abs() < 1e-6, "{apart}");
    });
}

#[test]
fn a_gap_may_be_chosen_for_the_centre() {
    let open = demo::garden_coat().unwrap();
    let rules = LayRules { centre: CentreOn::WidestGap, ..LayRules::default() };
    on_check(&open, &three(), |laid| {
        let off = amounts(&Laid { rules: &rules, ..*laid }, Rule::Centre);
        assert_eq!(off.len(), 3);
        assert!(off.iter().all(|mm| (mm - 48.0).abs() < 1e-6), "{off:?}");
    });
    let rules = LayRules { centre: CentreOn::Bar(4), ..LayRules::default() };
    on_check(&open, &three(), |laid| {
        let said = broken(&Laid { rules: &rules, ..*laid }, Rule::Centre);
        assert!(said.len() == 1 && said[0].finding.what.contains("number 4"), "{said:?}");
    });
}

/// On cloth without a direction a piece may lie on its head; its print is then compared as if the cloth were turned
/// under it.
#[test]
fn a_front_on_its_head_is_allowed_and_still_matched() {
    let open = demo::garden_coat().unwrap();
    let mut places = three();
    places[2].turn_degrees = 180.0;
    places[2].at += Vec2::new(-173.0, 21.0);
    on_check(&open, &places, |laid| {
        assert!(broken(laid, Rule::Direction).is_empty());
        assert!(!broken(laid, Rule::Match).is_empty());
    });
    places[2] = on_check(&open, &places, |laid| lay::snapped(&places[2], laid));
    on_check(&open, &places, |laid| {
        let said = broken(laid, Rule::Match);
        assert!(said.is_empty(), "{said:?}");
        assert!(broken(laid, Rule::Centre).is_empty());
    });
}

/// Folded, one place of the fronts gives both, and the back lies with its fold on the fold.
#[test]
fn folded_at_a_bar_the_coat_is_cut_from_two_plies() {
    let open = demo::garden_coat().unwrap();
    let mut cloth = check(&open);
    cloth.plies = Plies::FoldedLengthwise { right_sides: RightSides::In };
    // The fold at 690 mm, on the middle of a bar.
    if let Some(bars) = cloth.print.as_mut().and_then(|print| print.lengthwise.as_mut()) {
        bars.start_mm = 690.0 - 12.0;
    }
    let laid = open.evaluated().laid(open.plan()).unwrap();
    let look = |places: &[Place], rule| {
        let laid = Laid { places, cloth: &cloth, ..laid };
        broken(&laid, rule)
    };
    let back = Place { mirrored: true, ..place("back", 1, 700.0, 0.0) };
    // Levels: 1890 − 700 is a whole number of 70 mm; 288 mm from the fold is the middle of a bar.
    let front = Place { mirrored: true, ..place("front", 1, 1890.0, 192.0) };
    let places = [back.clone(), front.clone()];
    for rule in [
        Rule::Inside,
        Rule::Apart,
        Rule::Fold,
        Rule::Plies,
        Rule::Pair,
        Rule::Centre,
        Rule::FoldPrint,
        Rule::Match,
    ] {
        let said = look(&places, rule);
        assert!(said.is_empty(), "{rule:?} {said:?}");
    }
    let missing = look(&places, Rule::Copies);
    assert!(!missing[0].finding.what.contains("“front” "), "{missing:?}");

    // A hundredth off the fold is on it, two are not.
    for (off, stops) in [(0.009, 0), (0.02, 1), (-0.02, 1)] {
        let mut places = places.clone();
        places[0].at.y = off;
        assert_eq!(look(&places, Rule::Fold).len(), stops, "{off}");
    }

    // Half a bar off, the fold shows it twice.
    let mut off = cloth.clone();
    if let Some(bars) = off.print.as_mut().and_then(|print| print.lengthwise.as_mut()) {
        bars.start_mm -= 2.5;
    }
    let laid = Laid { places: &places, cloth: &off, ..laid };
    let [apart] = amounts(&laid, Rule::Plies)[..] else { panic!("one word on the fold") };
    assert!((apart - 5.0).abs() < 1e-6);
}
