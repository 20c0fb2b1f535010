//! A rule let pass on one piece: the search goes by it there and nowhere else.

use super::even::check as even_check;
use chalkbeam::cloth::{Cloth, Colour, Flaw, Plies, Print, RightSides};
use chalkbeam::demo::garden_coat;
use chalkbeam::finding::Severity;
use chalkbeam::garment::{LayProblem, LayProblemError, OpenGarment};
use chalkbeam::geometry::{Length, Point, Vec2};
use chalkbeam::lay::search::{Clearance, Engine, Item, Placed, Pose, Problem, Settings, search};
use chalkbeam::lay::{self, Laid, LayRules, LetPass, Place, Rule};
use std::sync::atomic::AtomicBool;

fn passing(rule: Rule, piece: &str) -> LayRules {
    let pass = LetPass { rule, piece: Some(piece.into()), seam: None, reason: "it does not show".to_owned() };
    LayRules { let_pass: vec![pass], ..LayRules::default() }
}

fn plain() -> Cloth {
    Cloth::plain("plain", Length::from_mm(1500.0), Length::from_mm(6000.0), Colour([90; 3]))
}

fn problem(open: &OpenGarment, cloth: &Cloth, rules: &LayRules) -> Problem {
    LayProblem::of(cloth, &open.evaluated().parts, rules, &[]).unwrap().problem
}

fn items<'a>(problem: &'a Problem, piece: &str) -> Vec<&'a Item> {
    let name = format!("“{piece}”");
    problem.items.iter().filter(|item| item.name == name).collect()
}

#[test]
fn direction_and_grain_let_pass_on_the_back_turn_the_back_alone() {
    let open = garden_coat().unwrap();
    let cloth = Cloth { nap: true, ..plain() };
    let ways = |cloth: &Cloth, rules: &LayRules, piece| {
        let problem = problem(&open, cloth, rules);
        items(&problem, piece).iter().map(|item| item.poses.len()).collect::<Vec<_>>()
    };
    let direction = passing(Rule::Direction, "back");
    assert_eq!((ways(&cloth, &direction, "back"), ways(&cloth, &direction, "front")), (vec![2], vec![1, 1]));
    // Sideways a nap shows, so that the grain alone is not enough.
    let grain = passing(Rule::Grain, "back");
    assert_eq!(ways(&cloth, &grain, "back"), [1]);
    assert_eq!((ways(&plain(), &grain, "back"), ways(&plain(), &grain, "front")), (vec![4], vec![2, 2]));
}

/// A stain right across the cloth: what is let pass on it lies over it, the other piece keeps off.
#[test]
fn flaws_let_pass_on_a_piece_are_in_its_way_for_neither_engine() {
    let band = |name: &str, length: f64, over_flaws: bool| Item {
        name: name.to_owned(),
        outline: [(0.0, 0.0), (length, 0.0), (length, 100.0), (0.0, 100.0)].map(Point::from).to_vec(),
        copies: 1,
        poses: vec![Pose::default()],
        fold_level: None,
        repeat: None,
        pinned: None,
        band: None,
        over_flaws,
    };
    let stain = [(50.0, 0.0), (60.0, 0.0), (60.0, 220.0), (50.0, 220.0)].map(Point::from).to_vec();
    let problem = Problem {
        width: 220.0,
        items: vec![band("belt", 500.0, true), band("tab", 40.0, false), band("strap", 430.0, false)],
        flaws: vec![stain],
        ..Problem::default()
    };
    let settings = Settings { moves: Some(200), ..Settings::default() };
    let outcome = search(&problem, &settings, &AtomicBool::new(false), &|_| {}).unwrap();
    // The belt from the cut end on; the strap beyond the stain, the tab before it.
    assert!((outcome.used_mm - 500.0).abs() < 0.1, "{outcome:?}");
    let held = |item: usize| outcome.places.iter().position(|place: &Placed| place.item == item).unwrap();
    for (item, clear) in [(0, true), (1, false)] {
        let mut asked = Clearance::new(&problem, &outcome.places, held(item)).unwrap();
        let at = outcome.places[held(item)].at;
        // On the stain, and away from what lies beside it: edges of the cloth are not asked for.
        let aside = if at.y < 60.0 { -5.0 } else { 5.0 };
        let at = Point::new(if item == 0 { 0.0 } else { 30.0 }, at.y + aside);
        for engine in [Engine::Fields, Engine::Quadtree] {
            assert_eq!(asked.is_clear(engine, 0, at), clear, "{engine:?} {item}");
        }
    }
}

#[test]
fn flaws_let_pass_on_the_back_bind_all_other_pieces() {
    let open = garden_coat().unwrap();
    let stain = [(0.0, 0.0), (3.0, 0.0), (3.0, 3.0)].map(Point::from).to_vec();
    let cloth = Cloth { flaws: vec![Flaw { what: "stain".to_owned(), outline: stain }], ..plain() };
    let found = problem(&open, &cloth, &passing(Rule::Flaws, "back"));
    assert_eq!(found.flaws.len(), 1);
    for item in &found.items {
        assert_eq!(item.over_flaws, item.name == "“back”", "{}", item.name);
    }
}

#[test]
fn a_centre_let_pass_on_a_piece_binds_neither_it_nor_its_mates() {
    let open = garden_coat().unwrap();
    let cloth = even_check(&open);
    let parts = &open.evaluated().parts;
    let kept = LayRules::default();
    let given = |rules: &LayRules| {
        let found = problem(&open, &cloth, rules);
        found.groups.iter().any(|group| group.across.is_some())
    };
    assert!(given(&kept));
    // The front is centred, and the back by its seam to it.
    assert!(given(&passing(Rule::Centre, "back")));
    let mut all = passing(Rule::Centre, "back");
    all.let_pass.extend(passing(Rule::Centre, "front").let_pass);
    // The halves of the opened back are still to be alike.
    assert!(given(&all));
    all.let_pass.extend(passing(Rule::FoldPrint, "back").let_pass);
    // So are the side seams, whose bars meet as mirror images.
    assert!(given(&all));
    let mut none = all.clone();
    none.let_pass.extend(["front", "back"].iter().flat_map(|piece| passing(Rule::Match, piece).let_pass));
    assert!(!given(&none));
    // A drag goes by the same.
    let back = Place { at: Point::new(700.0, 703.0), ..open.plan().lay[1].clone() };
    let lie = |rules: &LayRules| lay::snapped(&back, &Laid { cloth: &cloth, parts, places: &[], rules }).at;
    assert!((lie(&kept).y - back.at.y).abs() > 0.5);
    assert_eq!(lie(&all), back.at);
}

#[test]
fn halves_that_are_to_be_alike_are_laid_alike_where_no_bar_is_chosen() {
    let open = garden_coat().unwrap();
    let cloth = even_check(&open);
    let parts = &open.evaluated().parts;
    let rules = LayRules { centre: lay::CentreOn::Anything, ..LayRules::default() };
    let back = Place { at: Point::new(700.0, 703.0), ..open.plan().lay[1].clone() };
    let off = |place: Place| {
        let places = [place];
        let laid = Laid { cloth: &cloth, parts, places: &places, rules: &rules };
        let found = lay::breaches(&laid).into_iter().filter(|breach| breach.rule == Rule::FoldPrint);
        found.map(|breach| breach.finding.amount_mm).collect::<Vec<_>>()
    };
    assert_eq!(off(back.clone()).len(), 1);
    let at_rest = lay::snapped(&back, &Laid { cloth: &cloth, parts, places: &[], rules: &rules });
    // A bar's middle or a gap's, a quarter of the repeat away at most.
    assert!(at_rest.at.distance(back.at) <= 24.0 && off(at_rest.clone()).is_empty(), "{at_rest:?}");
}

#[test]
fn a_fold_let_pass_leaves_the_half_anywhere_on_two_plies() {
    let open = garden_coat().unwrap();
    let folded = Cloth { plies: Plies::FoldedLengthwise { right_sides: RightSides::In }, ..plain() };
    let level = |rules: &LayRules| items(&problem(&open, &folded, rules), "back")[0].fold_level;
    assert!(level(&LayRules::default()).is_some());
    assert_eq!(level(&passing(Rule::Fold, "back")), None);
    // On a fold across the cloth it could not lie at all.
    let across = Cloth { plies: Plies::FoldedCrosswise { right_sides: RightSides::In }, ..plain() };
    let parts = &open.evaluated().parts;
    let refused = LayProblem::of(&across, parts, &LayRules::default(), &[]).unwrap_err();
    assert!(matches!(refused, LayProblemError::CrosswiseFold { .. }), "{refused}");
    let rules = passing(Rule::Fold, "back");
    let made = LayProblem::of(&across, parts, &rules, &[]);
    if let Err(LayProblemError::CrosswiseFold { piece, .. }) = &made {
        assert_ne!(piece.as_str(), "back");
    }
    let made = LayProblem::of(&folded, parts, &rules, &[]).unwrap();
    let settings = Settings { moves: Some(200), ..Settings::default() };
    let outcome = search(&made.problem, &settings, &AtomicBool::new(false), &|_| {}).unwrap();
    let places = made.places(&outcome);
    let laid = Laid { cloth: &folded, parts, places: &places, rules: &rules };
    let grave = lay::check(&laid).into_iter().filter(|finding| finding.severity > Severity::Note);
    assert_eq!(grave.map(|finding| finding.what).collect::<Vec<_>>(), Vec::<String>::new());
}

#[test]
fn a_piece_dragged_on_two_plies_comes_to_rest_with_its_fold_edge_on_the_fold() {
    let open = garden_coat().unwrap();
    let mut cloth = plain();
    cloth.plies = Plies::FoldedLengthwise { right_sides: RightSides::In };
    let parts = &open.evaluated().parts;
    let put = |cloth: &Cloth, rules: &LayRules| {
        let back = Place { at: Point::new(700.0, 31.0), mirrored: true, ..open.plan().lay[1].clone() };
        lay::snapped(&back, &Laid { cloth, parts, places: &[], rules }).at - Vec2::new(700.0, 0.0)
    };
    let kept = LayRules::default();
    assert!(put(&cloth, &kept).to_vec2().hypot() < 1e-9, "{:?}", put(&cloth, &kept));
    assert_eq!(put(&cloth, &passing(Rule::Fold, "back")), Point::new(0.0, 31.0));
    // A bar somewhere else does not draw it off the fold.
    cloth.print = Some(Print { ..even_check(&open).print.unwrap() });
    assert!(put(&cloth, &kept).to_vec2().hypot() < 1e-9);
}
