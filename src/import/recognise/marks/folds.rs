//! The edge that lies on the fold: by a line that is called so, by a bracket, never by both on two edges.

use super::super::super::drawing::{Part, Stroke};
use super::super::chain::LineId;
use super::super::shapes::{self, straight_edge};
use super::{On, Putting};
use crate::finding::Severity;
use crate::geometry::Point;
use crate::pattern::EdgeRole;
use std::collections::BTreeSet;

/// Furthest that a fold line may lie from its edge, in mm.
const FOLD_REACH_MM: f64 = 1.0;

impl Putting<'_> {
    /// Takes in the folds among the lines that are left, and answers which lines draw them. What a name tells goes
    /// before what a bracket or words tell.
    pub(super) fn folds(&mut self, on: &On<'_>, left: &[(LineId, &Stroke)]) -> Vec<LineId> {
        let kind = |line: &LineId, stroke: &Stroke| on.kinds.of_stroke(line.0, stroke);
        let mut done: Vec<LineId> = Vec::new();
        for (line, stroke) in left {
            if kind(line, stroke) == Some(Part::Fold) && self.fold(stroke) {
                done.push(*line);
            }
        }
        let lines: Vec<(LineId, &Stroke)> = left
            .iter()
            .filter(|(line, stroke)| {
                matches!(kind(line, stroke), None | Some(Part::Inner | Part::Fold)) && !done.contains(line)
            })
            .copied()
            .collect();
        let called: BTreeSet<LineId> = lines
            .iter()
            .filter(|(line, stroke)| kind(line, stroke) == Some(Part::Fold))
            .map(|(line, _)| *line)
            .collect();
        let beside = shapes::Beside { label: on.label, cutting: on.outline.cutting.as_deref() };
        for seen in shapes::brackets_on(self.piece, &lines, &beside, &called) {
            self.seen(&seen, on.drawing);
            done.extend(&seen.lines);
        }
        done
    }

    /// Takes in a line that is called a fold, if it lies along a straight edge.
    fn fold(&mut self, stroke: &Stroke) -> bool {
        let ends = [stroke.curve.start(), stroke.curve.end(), super::super::middle(stroke)];
        let on_one_edge = |edge: &&mut crate::pattern::Edge| {
            let near = |end: &Point| edge.curve.distance_to(*end) <= FOLD_REACH_MM;
            straight_edge(&edge.curve).is_some() && ends.iter().all(near)
        };
        let edge = self.piece.edges.iter_mut().find(on_one_edge);
        edge.map(|edge| edge.role = EdgeRole::Fold).is_some()
    }

    /// A line that is called a fold and does not lie along an edge.
    pub(super) fn stray_fold(&mut self, stroke: &Stroke) {
        self.say(
            Severity::Warning,
            "A fold line does not lie along a straight edge; it became an inner line".to_owned(),
            "Move it onto the edge and import again",
            super::super::middle(stroke),
        );
        self.line(stroke);
    }
}
