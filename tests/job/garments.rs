//! Garments in memory: the coat, and plain skirts of rectangles whose numbers can be read off.

use chalkbeam::alter::{Alteration, AlterationId, Record};
use chalkbeam::body::Wearer;
use chalkbeam::demo::garden_coat;
use chalkbeam::garment::{Found, Garment, OpenGarment, Plan, Stand};
use chalkbeam::geometry::{Curve, Length, Point};
use chalkbeam::pattern::*;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

pub(crate) fn mm(amount: f64) -> Length {
    Length::from_mm(amount)
}

/// The demo's coat for nobody, with nothing decided but its size.
pub(crate) fn bare_coat(size: &str) -> OpenGarment {
    let pattern = garden_coat().unwrap().garment().pattern.as_ref().clone();
    garment(pattern, size, |_| {})
}

/// A garment of a pattern, with nothing decided but its size and what `decide` does.
pub(crate) fn garment(pattern: Pattern, size: &str, decide: impl FnOnce(&mut Plan)) -> OpenGarment {
    let mut plan = Plan {
        lay_rules: chalkbeam::lay::LayRules::default(),
        size: size.into(),
        wearer: Wearer::default(),
        alterations: Vec::new(),
        cloths: BTreeMap::new(),
        on_table: ClothKind::Cloth,
        lay: Vec::new(),
        stand: Stand::default(),
        aside: BTreeMap::new(),
    };
    decide(&mut plan);
    let garment = Garment {
        name: "Test".to_owned(),
        pattern_path: PathBuf::from("test.pattern.ron"),
        pattern: Arc::new(pattern),
        plan: Arc::new(plan),
        aims: Vec::new(),
        progress: Vec::new(),
        stands: None,
    };
    OpenGarment::new(garment, None)
}

pub(crate) fn list(records: impl IntoIterator<Item = Record>) -> Vec<Alteration> {
    (1..).zip(records).map(|(id, record)| Alteration { id: AlterationId(id), on: true, record }).collect()
}

/// What the checks say about the pieces, the aim left out.
pub(crate) fn said(open: &OpenGarment) -> Vec<Found> {
    open.evaluated().findings.clone()
}

/// The one finding whose words hold all of these.
pub(crate) fn the_one(open: &OpenGarment, words: &[&str]) -> Found {
    let said = said(open);
    let mut holding = said.iter().filter(|found| words.iter().all(|word| found.what.contains(word)));
    let found = holding.next().unwrap_or_else(|| panic!("{words:?} not in {said:#?}"));
    assert!(holding.next().is_none(), "twice: {said:#?}");
    found.clone()
}

/// A piece with a hem below, a side to the right, a waist above and a fold to the left, from its corners
/// counter-clockwise: hem at the fold, hem at the side, waist at the side, waist at the fold.
pub(crate) fn skirt_piece(id: &str, number: u32, corners: [(f64, f64); 4]) -> Piece {
    let names = ["hem fold", "hem side", "waist side", "waist fold"];
    let edges = [
        ("hem", EdgeRole::Hem),
        ("side", EdgeRole::Seam),
        ("waist", EdgeRole::Opening),
        ("fold", EdgeRole::Fold),
    ];
    let edge = |(index, (id, role)): (usize, (&str, EdgeRole))| Edge {
        id: id.into(),
        from: names[index].into(),
        to: names[(index + 1) % 4].into(),
        role,
        allowance: None,
        curve: Curve::line(Point::from(corners[index]), Point::from(corners[(index + 1) % 4])),
    };
    Piece {
        id: id.into(),
        number,
        cuttings: vec![Cutting { cloth: ClothKind::Cloth, count: 1, how: HowCut::OpenedOut }],
        edges: edges.into_iter().enumerate().map(edge).collect(),
        notches: Vec::new(),
        darts: Vec::new(),
        grainline: Grainline { from: Point::new(40.0, 60.0), to: Point::new(40.0, 240.0) },
        balance_lines: Vec::new(),
        drill_holes: Vec::new(),
        inner_lines: Vec::new(),
        texts: Vec::new(),
        traces: Vec::new(),
    }
}

/// A rectangle 200 mm wide.
pub(crate) fn rectangle(id: &str, number: u32, height: f64) -> Piece {
    skirt_piece(id, number, [(0.0, 0.0), (200.0, 0.0), (200.0, height), (0.0, height)])
}

/// A notch on the side, so far below the waist.
pub(crate) fn notched(mut piece: Piece, id: &str, below_waist: f64) -> Piece {
    piece.notches.push(Notch {
        id: id.into(),
        edge: "side".into(),
        corner: "waist side".into(),
        distance: below_waist,
        kind: NotchKind::Single,
    });
    piece
}

/// Front and back of a skirt in one size, sewn at the side from the waist down.
pub(crate) fn skirt(front: Piece, back: Piece, ease: EaseRange) -> Pattern {
    let run = |piece: &Piece| Run {
        piece: piece.id.clone(),
        from: "waist side".into(),
        edges: vec!["side".into()],
    };
    let seam = Seam { id: "side seam".into(), sides: [run(&front), run(&back)], ease };
    let sized = |piece: Piece| SizedPiece { id: piece.id.clone(), by_size: vec![Arc::new(piece)] };
    Pattern {
        name: "Skirt".to_owned(),
        sizes: vec!["one".into()],
        pieces: vec![sized(front), sized(back)],
        seams: vec![seam],
        allowance: mm(15.0),
        hem_allowance: mm(25.0),
        bodies: Vec::new(),
        measures: Vec::new(),
    }
}

/// A skirt of two pieces with nothing decided.
pub(crate) fn plain_skirt(front: Piece, back: Piece) -> OpenGarment {
    garment(skirt(front, back, EaseRange::default()), "one", |_| {})
}
