//! What of the coat is sewn to what. Both sides of a seam are travelled the same way.

use chalkbeam::pattern::{EaseRange, Run, Seam};

pub(super) fn seams() -> Vec<Seam> {
    let run = |piece: &str, from: &str, edges: &[&str]| Run {
        piece: piece.into(),
        from: from.into(),
        edges: edges.iter().map(|edge| (*edge).into()).collect(),
    };
    let seam = |id: &str, first: Run, second: Run| Seam {
        id: id.into(),
        sides: [first, second],
        ease: EaseRange::default(),
    };
    let (front, back) = ("front", "back");
    let (front_facing, neck_facing) = ("front facing", "back neck facing");
    let (front_arm, back_arm) = ("front armhole facing", "back armhole facing");
    vec![
        seam("side", run(front, "underarm", &["side upper", "side lower"]), run(back, "underarm", &["side"])),
        seam(
            "shoulder",
            run(front, "shoulder neck", &["shoulder"]),
            run(back, "shoulder neck", &["shoulder"]),
        ),
        seam(
            "facing shoulder",
            run(front_facing, "shoulder neck", &["shoulder"]),
            run(neck_facing, "shoulder neck", &["shoulder"]),
        ),
        seam(
            "front edge and neck",
            run(front, "hem front edge", &["front edge", "neck"]),
            run(front_facing, "hem front edge", &["front edge", "neck"]),
        ),
        seam(
            "back neck",
            run(back, "shoulder neck", &["neck"]),
            run(neck_facing, "shoulder neck", &["neck"]),
        ),
        seam(
            "armhole facing shoulder",
            run(front_arm, "shoulder tip", &["shoulder"]),
            run(back_arm, "shoulder tip", &["shoulder"]),
        ),
        seam(
            "armhole facing side",
            run(front_arm, "underarm", &["side"]),
            run(back_arm, "underarm", &["side"]),
        ),
        seam("front armhole", run(front, "underarm", &["armhole"]), run(front_arm, "underarm", &["armhole"])),
        seam("back armhole", run(back, "underarm", &["armhole"]), run(back_arm, "underarm", &["armhole"])),
    ]
}
