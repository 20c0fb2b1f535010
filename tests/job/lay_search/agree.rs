//! The search's own checker against the rules of the lay: garments at random, on flat, folded and part-folded cloth,
//! plain or with an even print. The two share no code: one looks at a problem of outlines, phases and levels, the
//! other at pieces, plies and seams.

use super::checker::assert_sound;
use super::lay;
use crate::lay_rules::plain::edges;
use chalkbeam::cloth::{Bar, Bars, Cloth, Colour, Flaw, Motif, MotifWay, Plies, Print, RightSides};
use chalkbeam::finding::Severity;
use chalkbeam::garment::LayProblem;
use chalkbeam::geometry::{BezPath, Curve, Length, Point, Vec2};
use chalkbeam::lay::search::{SearchError, check};
use chalkbeam::lay::{self as rules, CentreOn, Laid, LayRules, LetPass, Parts, Place, Rule};
use chalkbeam::pattern::*;
use proptest::prelude::*;
use std::sync::Arc;

/// A piece by its corners from the lower left on, counter-clockwise; its left edge is the fold where it is halved.
fn piece(id: &str, corners: [(f64, f64); 4], count: u32, how: HowCut, centre: bool) -> (Arc<Piece>, BezPath) {
    let halved = matches!(how, HowCut::OnFold | HowCut::OpenedOut);
    let corners = corners.map(Point::from);
    let left_mm = if halved { 0.0 } else { 10.0 };
    let out = [(-left_mm, -20.0), (10.0, -20.0), (10.0, 10.0), (-left_mm, 10.0)];
    let mut cut = BezPath::new();
    for (index, (corner, by)) in corners.iter().zip(out).enumerate() {
        let at = *corner + Vec2::from(by);
        if index == 0 { cut.move_to(at) } else { cut.line_to(at) }
    }
    cut.close_path();
    let line = Curve::line(corners[0], corners[3]);
    let inner = InnerLine { name: "centre front".to_owned(), curve: line };
    let piece = Piece {
        id: id.into(),
        number: 1,
        cuttings: vec![Cutting { cloth: ClothKind::Cloth, count, how }],
        edges: edges(corners, halved),
        notches: Vec::new(),
        darts: Vec::new(),
        grainline: Grainline { from: Point::new(20.0, 10.0), to: Point::new(20.0, 100.0) },
        balance_lines: Vec::new(),
        drill_holes: Vec::new(),
        inner_lines: if centre { vec![inner] } else { Vec::new() },
        texts: Vec::new(),
        traces: Vec::new(),
    };
    (Arc::new(piece), cut)
}

#[derive(Debug, Clone)]
struct Asked {
    plies: u8,
    print: u8,
    centre: u8,
    nap: bool,
    /// Whether the front, and what it is sewn to, is cut on the fold.
    folds: (bool, bool),
    /// Whether the front is sewn to a panel without a centre, and not to a back.
    panel: bool,
    period: f64,
    along: f64,
    size: (f64, f64, f64),
    over: f64,
    flaw: Option<(f64, f64)>,
    gap: f64,
    let_pass: Option<(u8, u8)>,
}

fn asked() -> impl Strategy<Value = Asked> {
    let kinds = (0..4_u8, 0..6_u8, 0..3_u8, any::<bool>(), (any::<bool>(), any::<bool>()), any::<bool>());
    let sizes = (24.0..90.0_f64, 20.0..80.0_f64, (90.0..170.0_f64, 200.0..420.0_f64, 0.0..40.0_f64));
    let rest = (
        380.0..480.0_f64,
        prop::option::of((50.0..700.0_f64, 50.0..1300.0_f64)),
        prop_oneof![Just(0.0), Just(5.0)],
        prop::option::of((0..6_u8, 0..4_u8)),
    );
    (kinds, sizes, rest).prop_map(|(kinds, sizes, rest)| Asked {
        plies: kinds.0,
        print: kinds.1,
        centre: kinds.2,
        nap: kinds.3,
        folds: kinds.4,
        panel: kinds.5,
        period: sizes.0,
        along: sizes.1,
        size: sizes.2,
        over: rest.0,
        flaw: rest.1,
        gap: rest.2,
        let_pass: rest.3,
    })
}

const LENGTH_MM: f64 = 20_000.0;
const WIDTH_MM: f64 = 1400.0;

/// One bar, even whatever its width; the middle of the bar, or of the gap, lies at `at`.
fn bars(period: f64, at: f64, on_gap: bool) -> Bars {
    let (width_mm, gap_mm) = (0.4 * period, 0.6 * period);
    let start = if on_gap { at + 0.5 * gap_mm } else { at - 0.5 * width_mm };
    Bars::new(start, vec![Bar { width_mm, gap_mm, colour: Colour([9; 3]) }])
}

impl Asked {
    fn cloth(&self) -> Cloth {
        let (width, length) = (Length::from_mm(WIDTH_MM), Length::from_mm(LENGTH_MM));
        let mut cloth = Cloth::plain("cloth", width, length, Colour([200; 3]));
        let right_sides = RightSides::Out;
        cloth.plies = match self.plies {
            0 => Plies::Flat,
            1 => Plies::FoldedLengthwise { right_sides },
            2 => Plies::PartFolded { folded_over: Length::from_mm(self.over), right_sides },
            _ => Plies::FoldedCrosswise { right_sides },
        };
        cloth.nap = self.nap && self.plies != 3;
        // The fold lies on a bar's middle, or a gap's, as a fold in an even print must.
        let fold = if self.plies == 1 { 0.5 * WIDTH_MM } else { self.over };
        let across = || Some(bars(self.period, fold, self.on_gap()));
        let along = || Some(bars(self.along, 0.5 * LENGTH_MM, false));
        let motif = |steps: [(f64, f64); 2], pitch: f64| {
            let y = if self.on_gap() { fold + 0.5 * pitch } else { fold };
            let origin = Point::new(0.5 * LENGTH_MM, y);
            Some(Motif { origin, steps: steps.map(Vec2::from), way: MotifWay::NoWay, mirrors: true })
        };
        let (a, b) = (self.along, self.period);
        let none = Print::default;
        cloth.print = match self.print {
            0 => None,
            1 => Some(Print { lengthwise: across(), ..none() }),
            2 => Some(Print { crosswise: along(), ..none() }),
            3 => Some(Print { lengthwise: across(), crosswise: along(), ..none() }),
            4 => Some(Print { motif: motif([(a, 0.0), (0.0, b)], b), ..none() }),
            _ => Some(Print { motif: motif([(a, b), (0.0, 2.0 * b)], b), ..none() }),
        };
        if let Some((x, y)) = self.flaw {
            let x = if self.plies == 3 { 0.5 * LENGTH_MM + x } else { x };
            let outline = [(x, y), (x + 60.0, y + 5.0), (x + 30.0, y + 50.0)].map(Point::from).to_vec();
            cloth.flaws = vec![Flaw { what: "stain".to_owned(), outline }];
        }
        assert_eq!(cloth.why_not_folded(), None, "{self:?}");
        cloth
    }

    /// Between the columns of a half-drop no fold agrees.
    fn on_gap(&self) -> bool {
        self.centre == 1 && self.print != 5
    }

    fn rules(&self) -> LayRules {
        let list = [Rule::Grain, Rule::Direction, Rule::Flaws, Rule::Centre, Rule::Fold, Rule::FoldPrint];
        let pieces = [None, Some("front"), Some("back"), Some("cuff")];
        let pass = self.let_pass.map(|(rule, piece)| LetPass {
            rule: list[usize::from(rule)],
            piece: pieces[usize::from(piece)].map(Into::into),
            seam: None,
            reason: "it does not show".to_owned(),
        });
        let centre = match self.centre {
            0 => CentreOn::WidestBar,
            1 if self.on_gap() => CentreOn::WidestGap,
            1 => CentreOn::WidestBar,
            _ => CentreOn::Anything,
        };
        LayRules {
            gap: Length::from_mm(self.gap),
            centre,
            let_pass: pass.into_iter().collect(),
            ..LayRules::default()
        }
    }

    fn parts(&self) -> Parts {
        let (width, height, lean) = self.size;
        // Two centred pieces with upright sides agree there by chance only.
        let lean = if self.panel { lean } else { lean.max(5.0) };
        // What lies across a fold of the cloth is cut in pairs.
        let how = |fold: bool| match (fold && self.plies != 3, self.plies) {
            (false, _) => (HowCut::MirroredPair, 2),
            (true, 0) => (HowCut::OpenedOut, 1),
            (true, _) => (HowCut::OnFold, 1),
        };
        let ((front, fronts), (back, backs)) = (how(self.folds.0), how(self.folds.1));
        let leaning = [(0.0, 0.0), (width, 0.0), (width - lean, height), (0.0, height)];
        let mut pieces = vec![piece("front", leaning, fronts, front, front == HowCut::MirroredPair)];
        let right = |piece: &str| Run { piece: piece.into(), from: "b".into(), edges: vec!["right".into()] };
        let left = |piece: &str| Run { piece: piece.into(), from: "a".into(), edges: vec!["left".into()] };
        let sides = if self.panel {
            let leaning = [(0.0, 0.0), (130.0, 0.0), (130.0, height), (lean, height)];
            pieces.push(piece("back", leaning, 2, HowCut::MirroredPair, false));
            [right("front"), left("back")]
        } else {
            pieces.push(piece("back", leaning, backs, back, back == HowCut::MirroredPair));
            [right("front"), right("back")]
        };
        let cuff = [(0.0, 0.0), (70.0, 0.0), (60.0, 150.0), (0.0, 150.0)];
        let single = matches!(self.plies, 0 | 2);
        let (how, count) = if single { (HowCut::Single, 1) } else { (HowCut::MirroredPair, 2) };
        pieces.push(piece("cuff", cuff, count, how, false));
        let seam = Seam { id: "side".into(), sides, ease: EaseRange::default() };
        Parts::of(pieces.iter().map(|(piece, path)| (piece, Some(path), None)), &[seam], ClothKind::Cloth)
    }
}

fn grave(laid: &Laid<'_>) -> Vec<String> {
    let all = rules::check(laid).into_iter();
    all.filter(|finding| finding.severity > Severity::Note).map(|finding| finding.what).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    #[test]
    fn what_the_search_calls_good_keeps_the_rules_of_the_lay(
        asked in asked(),
        seed in 0..1000_u64,
        moved in (0..8_usize, -1.5..1.5_f64, -1.5..1.5_f64, -4..5_i8, -4..5_i8, any::<bool>()),
    ) {
        let (cloth, parts, set) = (asked.cloth(), asked.parts(), asked.rules());
        let laid = |places: &[Place]| grave(&Laid { cloth: &cloth, parts: &parts, places, rules: &set });
        let made = LayProblem::of(&cloth, &parts, &set, &[]).unwrap();
        let outcome = match lay(&made.problem, seed, 40) {
            Ok(outcome) => outcome,
            // A coarse print may leave a piece no place beside a flaw; that is said.
            Err(SearchError::NoPlace { .. }) => return Err(TestCaseError::reject("no place")),
            Err(other) => return Err(TestCaseError::fail(other.to_string())),
        };
        if !made.problem.items.iter().any(|item| item.over_flaws) {
            assert_sound(&made.problem, &outcome);
        }
        prop_assert_eq!(check(&made.problem, &outcome.places), vec![]);
        prop_assert_eq!(laid(&made.places(&outcome)), Vec::<String>::new());
        // One piece moved by repeats and a little: what the search still calls good, the rules do too.
        let (index, dx, dy, i, j, exact) = moved;
        let mut other = outcome.clone();
        let index = index % other.places.len();
        let little = if exact { Vec2::ZERO } else { Vec2::new(dx, dy) };
        other.places[index].at += Vec2::new(f64::from(i) * asked.along, f64::from(j) * asked.period) + little;
        if check(&made.problem, &other.places).is_empty() {
            prop_assert_eq!(laid(&made.places(&other)), Vec::<String>::new());
        }
    }
}

/// A side that leans by 5 mm sewn to one that leans by 30: at the hem the print can match, 25 mm further up not.
#[test]
fn seam_lines_at_different_angles_are_said_to_match_at_one_point_only() {
    let leaning = |lean: f64| [(0.0, 0.0), (120.0, 0.0), (120.0 - lean, 300.0), (0.0, 300.0)];
    let pieces = [
        piece("front", leaning(5.0), 2, HowCut::MirroredPair, true),
        piece("back", leaning(30.0), 1, HowCut::OpenedOut, false),
    ];
    let run = |piece: &str| Run { piece: piece.into(), from: "b".into(), edges: vec!["right".into()] };
    let seam = Seam { id: "side".into(), sides: [run("front"), run("back")], ease: EaseRange::default() };
    let parts =
        Parts::of(pieces.iter().map(|(piece, path)| (piece, Some(path), None)), &[seam], ClothKind::Cloth);
    let mut cloth = Cloth::plain("cloth", Length::from_mm(900.0), Length::from_mm(900.0), Colour([9; 3]));
    cloth.print = Some(Print { lengthwise: Some(bars(60.0, 0.0, false)), ..Print::default() });
    let set = LayRules::default();
    let place = |piece: &str, copy, y, mirrored| Place {
        piece: piece.into(),
        copy,
        at: Point::new(30.0, y),
        turn_degrees: 0.0,
        mirrored,
    };
    let places =
        [place("front", 1, 780.0, false), place("front", 2, 540.0, true), place("back", 1, 240.0, false)];
    let laid = Laid { cloth: &cloth, parts: &parts, places: &places, rules: &set };
    let failing: Vec<_> = rules::matches(&laid).into_iter().flat_map(|found| found.failing).collect();
    assert_eq!(failing.len(), 2, "both sides of the body: {failing:?}");
    for failing in failing {
        let rules::Failing::EdgesDiffer { drift_mm } = failing else { panic!("{failing:?}") };
        assert!((24.0..26.0).contains(&drift_mm), "{drift_mm}");
    }
    let said = rules::check(&laid).into_iter().filter(|finding| finding.what.contains("at one point only"));
    let said: Vec<_> = said.map(|finding| (finding.severity, finding.amount_mm)).collect();
    assert!(matches!(said[..], [(Severity::Note, Some(mm))] if mm > 24.0), "{said:?}");
}
