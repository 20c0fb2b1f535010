//! A blend late in a list sees the other size with every step before it, exactly as if that size had been altered alone.

#[path = "../../benches/twenty.rs"]
mod twenty;

use super::{applied, list};
use chalkbeam::alter::{AlterError, Alteration, Blend, Outcome, Place, Record, Replay, ReplayMemory, replay};
use chalkbeam::demo::garden_coat;
use chalkbeam::geometry::Curve;
use chalkbeam::pattern::{CornerId, Pattern};
use proptest::prelude::*;
use twenty::twenty;

fn coat() -> Pattern {
    garden_coat().unwrap().garment().pattern.as_ref().clone()
}

fn curve<'a>(replayed: &'a Replay, piece: &str, edge: &str) -> &'a Curve {
    &replayed.piece(&piece.into()).unwrap().edge(&edge.into()).unwrap().curve
}

/// Both travelled alike, point by point.
fn same(first: &Curve, second: &Curve) -> bool {
    (0..=50).all(|step| {
        let share = f64::from(step) / 50.0;
        let (p, q) = (first.point_at(share * first.length()), second.point_at(share * second.length()));
        p.distance(q) < 1e-9
    })
}

/// The list without its blend.
fn shape_only(list: &[Alteration]) -> Vec<Alteration> {
    list.iter().filter(|step| !matches!(step.record, Record::Blend(_))).cloned().collect()
}

#[test]
fn twenty_alterations_apply_wherever_the_blend_stands() {
    for blend_at in [0, 10, 19] {
        let replayed = replay(&coat(), &"88".into(), &twenty(blend_at));
        for step in &replayed.steps {
            assert!(matches!(step.outcome, Outcome::Applied(_)), "{blend_at}: {step:?}");
        }
    }
}

#[test]
fn what_is_wholly_of_the_other_size_is_that_size_altered_alone() {
    let alone = replay(&coat(), &"96".into(), &shape_only(&twenty(19)));
    let own = replay(&coat(), &"88".into(), &shape_only(&twenty(19)));
    let blended = replay(&coat(), &"88".into(), &twenty(19));
    for piece in ["back", "front"] {
        assert!(same(curve(&blended, piece, "hem"), curve(&alone, piece, "hem")), "{piece}");
        assert!(!same(curve(&blended, piece, "hem"), curve(&own, piece, "hem")));
        assert!(same(curve(&blended, piece, "armhole"), curve(&own, piece, "armhole")));
    }
}

/// The coat from the waist up in another size, with the armhole's facings.
fn upper_part() -> Alteration {
    let corner = |name: &str| Place::Corner { corner: CornerId::from(name) };
    let record = Record::Blend(Blend {
        to: "96".into(),
        piece: "back".into(),
        from: Place::Notch { notch: "waist".into() },
        until: corner("underarm"),
        through: None,
    });
    list([record]).remove(0)
}

#[test]
fn a_facing_drawn_again_goes_over_as_that_size_draws_it() {
    let mut steps = shape_only(&twenty(19));
    let alone = replay(&coat(), &"96".into(), &steps);
    steps.push(upper_part());
    let blended = replay(&coat(), &"88".into(), &steps);
    assert!(
        matches!(blended.steps.last().unwrap().outcome, Outcome::Applied(_)),
        "{:?}",
        blended.steps.last()
    );
    for edge in ["armhole", "inner edge"] {
        let piece = "back armhole facing";
        assert!(same(curve(&blended, piece, edge), curve(&alone, piece, edge)), "{edge}");
    }
}

/// Lengths of all edges, in mm: as they came when the other size was still replayed whole for every blend.
#[test]
fn the_outcome_is_what_replaying_the_other_size_whole_gave() {
    for (blend_at, expected) in [(0, 9_639.647_671_896), (19, 9_639.213_817_798)] {
        let replayed = replay(&coat(), &"88".into(), &twenty(blend_at));
        let edges = replayed.pieces.iter().flat_map(|piece| &piece.edges);
        let all: f64 = edges.map(|edge| edge.curve.length()).sum();
        // Each of some forty lengths is known to a thousandth of a micrometre.
        assert!((all - expected).abs() < 4e-5, "{all}");
    }
}

#[test]
fn a_step_that_the_other_size_cannot_take_is_named_with_the_size() {
    // Printed for 88 alone: a notch that size 96 lacks.
    let mut pattern = coat();
    let at = pattern.sizes.iter().position(|size| size.as_str() == "96").unwrap();
    let back = pattern.pieces.iter_mut().find(|piece| piece.id.as_str() == "back").unwrap();
    std::sync::Arc::make_mut(&mut back.by_size[at]).notches.retain(|notch| notch.id.as_str() != "waist");
    let steps = twenty(19);
    let replayed = replay(&pattern, &"88".into(), &steps);
    let Outcome::Failed(AlterError::FailsInSize { size, cause }) = &replayed.steps[19].outcome else {
        panic!("{:?}", replayed.steps[19].outcome);
    };
    assert_eq!(size.as_str(), "96");
    assert!(matches!(cause.as_ref(), AlterError::UnknownNotch { .. }));
    // On its own size every step is done.
    assert!(
        applied(&pattern, "88", shape_only(&steps).into_iter().map(|step| step.record)).steps.len() == 19
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    /// What is remembered of the lists before changes nothing of what a list gives.
    #[test]
    fn a_replay_that_goes_on_from_the_last_one_is_the_one_from_the_beginning(
        edits in proptest::collection::vec((0_usize..6, 0_usize..5, any::<bool>()), 1..6)
    ) {
        let coat = coat();
        let mut list: Vec<Alteration> = twenty(2).into_iter().take(6).collect();
        let mut memory = ReplayMemory::default();
        for (at, what, other_size) in edits {
            if at < list.len() {
                match what {
                    0 => list[at].on = !list[at].on,
                    1 => drop(list.remove(at)),
                    2 => list.rotate_left(at),
                    _ => list.truncate(at + 1),
                }
            }
            let size = if other_size { "92" } else { "88" }.into();
            prop_assert_eq!(memory.replay(&coat, &size, &list), replay(&coat, &size, &list));
        }
    }
}
