//! Laws: walking has no favourite side, and no list of alterations parts two mates unseen.

use crate::garments::*;
use chalkbeam::alter::{Blend, DartsAcross, Hem, Lengthen, LengthenAt, Pieces, Place, Record};
use chalkbeam::demo::garden_coat;
use chalkbeam::pattern::{Piece, Run, SeamSide, Walk};
use proptest::prelude::*;

fn walked(first: &Piece, second: &Piece, from: &str) -> Walk {
    let side = |piece| {
        let run = Run { piece: Piece::clone(piece).id, from: from.into(), edges: vec!["side".into()] };
        SeamSide::new(piece, &run).unwrap()
    };
    Walk::of(&side(first), &side(second))
}

/// Names of notches that either piece may have, and how far below the waist.
fn notches() -> impl Strategy<Value = Vec<(u8, f64)>> {
    proptest::collection::vec((0_u8..6, 1.0..280.0), 0..5).prop_map(|mut notches| {
        notches.sort_by_key(|notch| notch.0);
        notches.dedup_by_key(|notch| notch.0);
        notches
    })
}

fn piece(id: &str, height: f64, notches: &[(u8, f64)]) -> Piece {
    let bare = rectangle(id, 1, height);
    notches.iter().fold(bare, |piece, (name, below)| notched(piece, &format!("notch {name}"), *below))
}

proptest! {
    #[test]
    fn walking_is_symmetric(
        heights in (290.0..310.0, 290.0..310.0),
        first in notches(),
        second in notches(),
    ) {
        let (first, second) = (piece("front", heights.0, &first), piece("back", heights.1, &second));
        let forth = walked(&first, &second, "waist side");
        let back = walked(&second, &first, "waist side");
        let places = |walk: &Walk, turned: bool| {
            let mut places: Vec<_> = walk
                .marks
                .iter()
                .map(|mark| {
                    let [a, b] = mark.on_sides_mm;
                    (mark.notch.clone(), if turned { [b, a] } else { [a, b] })
                })
                .collect();
            places.sort_by(|a, b| a.0.cmp(&b.0).then(a.1[0].total_cmp(&b.1[0])));
            places
        };
        prop_assert_eq!(places(&forth, false), places(&back, true));
        // From the other end every mark lies as far from the end as it did from the beginning.
        let from_hem = walked(&first, &second, "hem side");
        let [whole_first, whole_second] = forth.lengths_mm();
        for mark in forth.marks.iter().filter(|mark| mark.notch.is_some()) {
            let same = from_hem.marks.iter().find(|other| other.notch == mark.notch).unwrap();
            prop_assert!((same.on_sides_mm[0] + mark.on_sides_mm[0] - whole_first).abs() < 1e-6);
            prop_assert!((same.on_sides_mm[1] + mark.on_sides_mm[1] - whole_second).abs() < 1e-6);
        }
    }
}

/// Pieces of the coat that have a hem, any of them.
fn hemmed() -> impl Strategy<Value = Pieces> {
    let names = ["front", "back", "front facing"];
    proptest::option::of(proptest::sample::subsequence(names.to_vec(), 1..=3)).prop_map(|named| match named {
        Some(named) => Pieces::Only(named.into_iter().map(Into::into).collect()),
        None => Pieces::All,
    })
}

fn record() -> impl Strategy<Value = Record> {
    let by = || (-60_i32..60).prop_map(|amount| mm(f64::from(amount)));
    let notch = |notch: &str| Place::Notch { notch: notch.into() };
    let size = proptest::sample::select(vec!["84", "92", "96", "100"]);
    prop_oneof![
        by().prop_map(|longer_by| {
            Record::Lengthen(Lengthen {
                at: LengthenAt::BalanceLine {
                    line: "waist".into(),
                    half_band: None,
                    darts: DartsAcross::default(),
                },
                longer_by,
            })
        }),
        (hemmed(), by()).prop_map(|(pieces, longer_by)| {
            Record::Lengthen(Lengthen { at: LengthenAt::LowerEdge { pieces }, longer_by })
        }),
        (hemmed(), by()).prop_map(|(pieces, longer_by)| Record::Hem(Hem::parallel(pieces, longer_by))),
        (hemmed(), by(), by()).prop_map(|(pieces, centre, side)| {
            Record::Hem(Hem { at_side: Some(side), ..Hem::parallel(pieces, centre) })
        }),
        (size, proptest::sample::select(vec!["back", "front"])).prop_map(move |(size, piece)| {
            Record::Blend(Blend {
                to: size.into(),
                piece: piece.into(),
                from: notch("below dart"),
                until: notch("hip"),
                through: None,
            })
        }),
    ]
}

/// Sewn length of a run by short chords.
fn sewn(pieces: &[std::sync::Arc<Piece>], run: &Run) -> f64 {
    let piece = pieces.iter().find(|piece| piece.id == run.piece).unwrap();
    let chords = |edge| {
        let points = piece.edge(edge).unwrap().curve.flatten(0.001);
        points.windows(2).map(|pair| pair[0].distance(pair[1])).sum::<f64>()
    };
    run.edges.iter().map(chords).sum()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn mates_stay_equal_or_a_finding_says_so(records in proptest::collection::vec(record(), 1..4)) {
        let pattern = garden_coat().unwrap().garment().pattern.as_ref().clone();
        let open = garment(pattern, "88", |plan| plan.alterations = list(records));
        let said = said(&open);
        for seam in &open.garment().pattern.seams {
            let [first, second] = seam.sides.each_ref().map(|run| sewn(&open.evaluated().replay.pieces, run));
            let told = said
                .iter()
                .any(|found| found.what.contains(&format!("the seam “{}”", seam.id)));
            // A facing must lie within half a millimetre, every other mate within a sixteenth of an inch.
            let facing = seam.sides[1].piece.as_str().contains("facing")
                && !seam.sides[0].piece.as_str().contains("facing");
            let tolerance = if facing { 0.5 } else { 1.5 };
            if (second - first).abs() > tolerance + 0.02 {
                prop_assert!(told, "{}: {first:.2} and {second:.2} mm; {said:#?}", seam.id);
            }
        }
    }
}
