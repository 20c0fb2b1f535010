//! The garden coat: from the garment to a lay that keeps its cloth's rules.

use super::checker::assert_sound;
use super::lay;
use chalkbeam::cloth::{Cloth, Colour, Plies, RightSides};
use chalkbeam::demo::garden_coat;
use chalkbeam::finding::Severity;
use chalkbeam::garment::{LayProblem, LayProblemError, at_width};
use chalkbeam::geometry::Length;
use chalkbeam::lay::search::BoundKind;
use chalkbeam::lay::{self as rules, Laid, Place};
use chalkbeam::pattern::ClothKind;

/// Lays the coat on a cloth and says what the sewing rules find, notes left out.
fn laid(cloth: &Cloth, keep: &[Place], moves: u64) -> (f64, Vec<Place>, Vec<String>) {
    let open = garden_coat().unwrap();
    let (plan, parts) = (open.plan(), &open.evaluated().parts);
    let made = LayProblem::of(cloth, parts, &plan.lay_rules, keep).unwrap();
    let outcome = lay(&made.problem, 1, moves).unwrap();
    assert_sound(&made.problem, &outcome);
    let places = made.places(&outcome);
    let findings = rules::check(&Laid { cloth, parts, places: &places, rules: &plan.lay_rules });
    let grave = findings.into_iter().filter(|finding| finding.severity > Severity::Note);
    let grave = grave.map(|finding| finding.what).collect();
    (outcome.used_mm, places, grave)
}

fn striped() -> Cloth {
    garden_coat().unwrap().plan().cloths[&ClothKind::Cloth].clone()
}

#[test]
fn the_coat_keeps_every_rule_of_its_striped_cloth() {
    let (used, places, grave) = laid(&striped(), &[], 400);
    assert_eq!(grave, Vec::<String>::new());
    // By hand, with the back and left front side by side, it takes 2386 mm.
    assert!(used <= 2386.0, "{used}");
    let level = |piece: &str, copy| {
        let place = places.iter().find(|place| place.piece.as_str() == piece && place.copy == copy);
        place.unwrap().at
    };
    // The sprig stands in a half-drop of 70 mm in columns of 96 mm: an odd number of columns is half a drop.
    let off = level("back", 1) - level("front", 1);
    let columns = (off.y / 96.0).round();
    let half_drops = (off.x / 70.0).round();
    assert!((off.x - 70.0 * half_drops).abs() < 1.1 && (off.y - 96.0 * columns).abs() < 1.1, "{off:?}");
    assert!(((half_drops - columns) / 2.0).fract().abs() < 1e-9, "{off:?}");
}

#[test]
fn pieces_laid_already_stay_where_they_are() {
    let open = garden_coat().unwrap();
    // The back and both fronts, as they were laid by hand; the facings are to be found places.
    let keep: Vec<_> = open.plan().lay.iter().take(3).cloned().collect();
    let (_, places, grave) = laid(&striped(), &keep, 200);
    assert_eq!(grave, Vec::<String>::new());
    for kept in &keep {
        assert!(places.contains(kept), "{kept:?} was moved");
    }
    assert!(places.len() > keep.len());
}

#[test]
fn on_folded_plain_cloth_the_back_lies_on_the_fold() {
    let mut cloth = Cloth::plain("plain", Length::from_mm(1500.0), Length::from_mm(3000.0), Colour([90; 3]));
    cloth.plies = Plies::FoldedLengthwise { right_sides: RightSides::In };
    let (used, places, grave) = laid(&cloth, &[], 400);
    assert_eq!(grave, Vec::<String>::new());
    assert!(used < 3000.0);
    // One place gives both fronts.
    assert_eq!(places.iter().filter(|place| place.piece.as_str() == "front").count(), 1);
}

#[test]
fn narrower_cloth_needs_more_and_too_narrow_names_the_piece() {
    let plain = Cloth { print: None, ..striped() };
    let wide = laid(&plain, &[], 300).0;
    let narrow = laid(&at_width(&plain, &Length::from_mm(900.0)), &[], 300).0;
    assert!(narrow > wide, "{narrow} on 900 mm, {wide} on 1380 mm");
    let open = garden_coat().unwrap();
    let tape = at_width(&plain, &Length::from_mm(500.0));
    let made = LayProblem::of(&tape, &open.evaluated().parts, &open.plan().lay_rules, &[]).unwrap();
    let said = lay(&made.problem, 1, 10).unwrap_err().to_string();
    assert!(said.contains("“back” needs") && said.contains("500.0 mm are usable"), "{said}");
}

fn plain_folded_over(folded_over: f64) -> Cloth {
    let mut cloth = Cloth::plain("plain", Length::from_mm(1500.0), Length::from_mm(3000.0), Colour([90; 3]));
    let folded_over = Length::from_mm(folded_over);
    cloth.plies = Plies::PartFolded { folded_over, right_sides: RightSides::In };
    cloth
}

/// The rules of the lay confirm it, which know of plies and copies what the search does not.
#[test]
fn cloth_folded_in_part_is_laid_and_every_rule_kept() {
    let open = garden_coat().unwrap();
    for over in [200.0, 430.0, 520.0, 740.0] {
        let cloth = plain_folded_over(over);
        let (used, places, grave) = laid(&cloth, &[], 200);
        assert_eq!(grave, Vec::<String>::new(), "{over} mm folded over");
        let (plan, parts) = (open.plan(), &open.evaluated().parts);
        let cut = Laid { cloth: &cloth, parts, places: &places, rules: &plan.lay_rules }.copies_cut();
        let copies: usize = cut.iter().map(Vec::len).sum();
        let wanted: u32 = parts.all().iter().map(|part| part.count).sum();
        assert_eq!(copies, usize::try_from(wanted).unwrap(), "{over} mm folded over");
        assert!(cut.iter().any(|copies| copies.len() == 2), "no pair is cut from the double part");
        assert!(used > 1000.0 && used < 6000.0, "{used}");
    }
}

#[test]
fn on_the_double_part_the_back_lies_on_the_fold_and_else_opened_out() {
    let back = |over: f64| {
        let (_, places, _) = laid(&plain_folded_over(over), &[], 50);
        places.into_iter().find(|place| place.piece.as_str() == "back").unwrap()
    };
    // Half the back needs some 420 mm.
    assert!(back(520.0).at.y.abs() < 0.01, "{:?}", back(520.0));
    assert!(back(200.0).at.y > 500.0, "{:?}", back(200.0));
}

#[test]
fn what_is_cut_already_of_part_folded_cloth_stays() {
    let cloth = plain_folded_over(520.0);
    let (_, places, _) = laid(&cloth, &[], 100);
    let keep: Vec<Place> =
        places.iter().filter(|place| place.piece.as_str() != "back").take(3).cloned().collect();
    let (_, again, grave) = laid(&cloth, &keep, 100);
    assert_eq!(grave, Vec::<String>::new());
    for kept in &keep {
        assert!(again.contains(kept), "{kept:?} was moved");
    }
}

#[test]
fn a_piece_that_neither_part_is_wide_enough_for_is_named() {
    let mut cloth = plain_folded_over(300.0);
    cloth.width = Length::from_mm(950.0);
    let open = garden_coat().unwrap();
    let refused = LayProblem::of(&cloth, &open.evaluated().parts, &open.plan().lay_rules, &[]).unwrap_err();
    let said = refused.to_string();
    assert!(said.contains("“back” needs") && said.contains("300 and 350 mm"), "{said}");
}

#[test]
fn an_uneven_stripe_is_not_cut_folded_in_part_either() {
    let mut cloth = striped();
    cloth.plies = Plies::PartFolded { folded_over: Length::from_mm(300.0), right_sides: RightSides::In };
    let open = garden_coat().unwrap();
    let refused = LayProblem::of(&cloth, &open.evaluated().parts, &open.plan().lay_rules, &[]).unwrap_err();
    assert!(matches!(refused, LayProblemError::Uneven { .. }), "{refused}");
}

#[test]
fn the_bound_of_plain_cloth_says_where_it_comes_from() {
    let open = garden_coat().unwrap();
    let plain = Cloth { print: None, ..striped() };
    let made = LayProblem::of(&plain, &open.evaluated().parts, &open.plan().lay_rules, &[]).unwrap();
    let outcome = lay(&made.problem, 1, 50).unwrap();
    assert_eq!(outcome.bound.kind, BoundKind::Area);
    assert_eq!(outcome.bound.kind.words(), "area");
}
