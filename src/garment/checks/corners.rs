//! Angles where seams end, and at folds.
//!
//! Where two pieces are joined edge to edge, the lines that run on across the join (hem, neckline, armhole) must not
//! break: the angles inside the cloth on both sides add up to 180°. A facing lies on the piece that it finishes, so
//! there both angles are the same. At a fold the outline meets its own mirror image: 90°. What the pattern is drafted
//! with is taken as meant and only noted; what an alteration has changed is warned about.
//!
//! Source: the trueing of handbooks, with a tolerance of ±3° from memory.

use super::{Looked, corner_angle, is_facing};
use crate::finding::{Finding, Severity};
use crate::garment::{EvaluatedPiece, Found};
use crate::pattern::{CornerId, Edge, EdgeRole, Seam, SeamSide};

/// An angle may be so far off, in degrees.
const TOLERANCE_DEGREES: f64 = 3.0;

/// An angle within so much of the printed one is the pattern's own, in degrees.
const AS_PRINTED_DEGREES: f64 = 0.5;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let seams = looked.replay.seams.iter();
    let mut findings: Vec<Found> =
        seams.flat_map(|seam| [0, 1].map(|end| at_join(looked, seam, end))).flatten().collect();
    findings.extend(looked.pieces.iter().flat_map(at_fold));
    findings
}

fn at_join(looked: &Looked<'_>, seam: &Seam, end: usize) -> Option<Found> {
    let (sides, printed) = (looked.sides(seam)?, looked.printed_sides(seam)?);
    let join = join_at(&sides, end)?;
    let off = join.off_degrees?;
    let was_off = join_at(&printed, end)?.off_degrees?;
    let [first, second] = [sides[0].piece(), sides[1].piece()];
    let [edge, other] = join.beyond;
    let how = if join.lies_on { "make one angle" } else { "form one line" };
    let what = format!(
        "at the end of the seam “{}” the edges “{}” of “{}” and “{}” of “{}” do not {how}: {:.1}° off",
        seam.id,
        edge.id,
        first.id,
        other.id,
        second.id,
        off.abs()
    );
    let at = first.corner(join.corner)?;
    let finding = graded(off, was_off, what, "true the line across the seam, with the seam closed")?;
    Some(finding.on(&first.id).at(at).into())
}

/// What meets where both sides of a seam end.
struct Join<'a> {
    corner: &'a CornerId,
    /// The edge that goes on from the end of each side.
    beyond: [&'a Edge; 2],
    /// Whether one piece lies on the other.
    lies_on: bool,
    /// How far the angles are off; `None` where nothing runs on.
    off_degrees: Option<f64>,
}

fn join_at<'a>(sides: &[SeamSide<'a>; 2], end: usize) -> Option<Join<'a>> {
    let [first, second] = sides;
    let corners = [first.ends()?[end], second.ends()?[end]];
    let beyond = [edge_beyond(first, corners[0])?, edge_beyond(second, corners[1])?];
    let facings = [first, second].map(|side| is_facing(side.piece()));
    let lies_on = facings[0] != facings[1];
    let angles = [(first, corners[0]), (second, corners[1])]
        .map(|(side, corner)| corner_angle(side.piece(), corner).map(f64::to_degrees));
    let off_degrees = match (runs_on(beyond), angles) {
        (true, [Some(a), Some(b)]) if lies_on => Some(a - b),
        (true, [Some(a), Some(b)]) => Some(a + b - 180.0),
        _ => None,
    };
    Some(Join { corner: corners[0], beyond, lies_on, off_degrees })
}

/// Whether two edges are parts of one line across a seam: of one role, and neither a fold, which has its own rule, nor
/// the mouth of a dart.
fn runs_on([first, second]: [&Edge; 2]) -> bool {
    first.role == second.role && !matches!(first.role, EdgeRole::Fold | EdgeRole::DartMouth(_))
}

/// The edge that meets a side of a seam at its end.
fn edge_beyond<'a>(side: &SeamSide<'a>, corner: &CornerId) -> Option<&'a Edge> {
    let sewn = |edge: &Edge| side.edges().any(|(held, _)| held.id == edge.id);
    let edges = side.piece().edges.iter();
    let mut meeting = edges.filter(|edge| (&edge.from == corner || &edge.to == corner) && !sewn(edge));
    meeting.next()
}

fn at_fold(piece: &EvaluatedPiece) -> Vec<Found> {
    let Some(fold) = piece.altered.fold() else {
        return Vec::new();
    };
    let at_end = |corner: &CornerId| {
        let off = corner_angle(&piece.altered, corner)?.to_degrees() - 90.0;
        let was_off = corner_angle(&piece.printed, corner)?.to_degrees() - 90.0;
        let id = &piece.altered.id;
        let what = format!("“{id}” is {:.1}° off square at its fold, at “{corner}”", off.abs());
        let remedy = "draw the line square to the fold for the last centimetre";
        let finding = graded(off, was_off, what, remedy)?;
        Some(finding.on(id).at(piece.altered.corner(corner)?).into())
    };
    [&fold.from, &fold.to].into_iter().filter_map(at_end).collect()
}

fn graded(off: f64, was_off: f64, what: String, remedy: &str) -> Option<Finding> {
    if off.abs() <= TOLERANCE_DEGREES {
        return None;
    }
    Some(if (off - was_off).abs() <= AS_PRINTED_DEGREES {
        Finding::new(Severity::Note, format!("{what}, as printed"), remedy)
    } else {
        Finding::new(Severity::Warning, what, remedy)
    })
}
