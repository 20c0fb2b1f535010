//! Allowances: there once, neither missing nor doubled, and alike on mates.
//!
//! The cutting line moved inwards by each edge's allowance must be the seam line again: every point of it lies as far
//! from its edge as the allowance is wide. More than that is cloth left on purpose (a margin); twice as much, an
//! allowance added twice.

use super::Looked;
use crate::alter::{Allowances, CuttingLine};
use crate::finding::{Finding, Severity};
use crate::garment::{EvaluatedPiece, Found};
use crate::geometry::Point;
use crate::pattern::{Edge, EdgeRole, Piece, Run};

/// How much narrower than asked for an allowance may be cut, in mm: a cutter follows a line no closer.
const NARROWER_MM: f64 = 0.1;

/// Mates' allowances that differ by less are sewn as one, in mm.
const SAME_WIDTH_MM: f64 = 0.5;

/// Places along an edge at which its allowance is looked at.
const SAMPLES: u32 = 8;

/// The allowances of one piece.
pub(super) fn of_piece(piece: &EvaluatedPiece, allowances: &Allowances) -> Vec<Found> {
    let mut findings = Vec::new();
    for (index, edge) in piece.altered.edges.iter().enumerate() {
        let width = allowances.width_mm(&piece.altered, index);
        if width <= 0.0 {
            findings.extend(missing(piece, edge));
        } else if let Ok(cutting) = &piece.cutting {
            findings.extend(elsewhere(&piece.altered, edge, cutting, width));
        }
    }
    findings
}

/// The allowances of mates against each other.
pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let seams = looked.replay.seams.iter();
    let differing = seams.filter_map(|seam| {
        let [first, second] = [&seam.sides[0], &seam.sides[1]].map(|run| width_of(looked, run));
        let (first, second) = (first?, second?);
        let [on_first, on_second] = [&seam.sides[0].piece, &seam.sides[1].piece];
        ((first - second).abs() > SAME_WIDTH_MM).then(|| {
            let what = format!(
                "along the seam “{}” the allowance is {first:.1} mm on “{on_first}” and {second:.1} mm on “{on_second}”",
                seam.id
            );
            let remedy = "sew on the seam line, not by the cut edges, or give both the same allowance";
            let finding = Finding::new(Severity::Note, what, remedy);
            finding.on(on_first).by_mm(second - first).into()
        })
    });
    differing.collect()
}

fn missing(piece: &EvaluatedPiece, edge: &Edge) -> Option<Found> {
    let id = &piece.altered.id;
    (edge.role == EdgeRole::Seam).then(|| {
        let what = format!("the edge “{}” of “{id}” is sewn, but has no allowance", edge.id);
        let remedy = "give the edge an allowance in the pattern, unless its edges are butted";
        let middle = edge.curve.point_at(0.5 * edge.curve.length());
        Found::from(Finding::new(Severity::Warning, what, remedy).on(id).at(middle))
    })
}

/// An allowance that is narrower than asked for, or there twice.
fn elsewhere(piece: &Piece, edge: &Edge, cutting: &CuttingLine, width: f64) -> Option<Found> {
    let id = &piece.id;
    let run = &cutting.along(&edge.id)?.curve;
    let share = |k: u32| f64::from(k) / f64::from(SAMPLES);
    let places = (0..=SAMPLES).map(|k| run.point_at(share(k) * run.length()));
    let widths: Vec<(Point, f64)> = places.map(|at| (at, edge.curve.distance_to(at))).collect();
    let finding = |at: Point, found: f64, what: String, remedy: &str| {
        let finding = Finding::new(Severity::Stop, what, remedy);
        Found::from(finding.on(id).at(at).by_mm(found - width))
    };
    if let Some(&(at, found)) = widths.iter().find(|(_, found)| *found < width - NARROWER_MM) {
        let what = format!(
            "the allowance of “{}” on “{id}” is {found:.1} mm at one place instead of {width:.1} mm",
            edge.id
        );
        return Some(finding(at, found, what, "use a narrower allowance there"));
    }
    let all_double = widths.iter().all(|(_, found)| *found >= 2.0 * width - NARROWER_MM);
    let (at, found) = *widths.get(widths.len() / 2)?;
    all_double.then(|| {
        let what = format!(
            "the allowance of “{}” on “{id}” is there twice: {found:.1} mm instead of {width:.1} mm",
            edge.id
        );
        finding(at, found, what, "take one of the two off")
    })
}

/// The allowance along the first edge of a run.
fn width_of(looked: &Looked<'_>, run: &Run) -> Option<f64> {
    let piece = &looked.piece(&run.piece)?.altered;
    let index = piece.edge_index(run.edges.first()?)?;
    Some(looked.replay.allowances.width_mm(piece, index))
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{allowances, rectangle};
    use super::*;
    use crate::alter::cutting_line;

    /// What is said about the right side of a rectangle that asks for 15 mm, cut with `cut_mm`.
    fn said(cut_mm: f64) -> Option<Found> {
        let piece = rectangle("skirt", 200.0, 300.0);
        let line = cutting_line(&piece, &allowances(cut_mm)).unwrap();
        elsewhere(&piece, piece.edge(&"side".into()).unwrap(), &line, 15.0)
    }

    #[test]
    fn an_allowance_as_wide_as_asked_for_is_silent_and_so_is_a_margin() {
        assert_eq!(said(15.0), None);
        assert_eq!(said(25.0), None);
    }

    #[test]
    fn a_narrow_and_a_doubled_allowance_stop_the_cutting() {
        let narrow = said(12.0).unwrap();
        assert_eq!(narrow.severity, Severity::Stop);
        assert!((narrow.amount_mm.unwrap() + 3.0).abs() < 1e-6);
        let doubled = said(30.0).unwrap();
        assert!(doubled.what.contains("twice"), "{}", doubled.what);
        assert!((doubled.at.unwrap().x - 230.0).abs() < 1e-6);
    }
}
