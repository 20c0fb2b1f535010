//! Marks that were told by their shape, put on the piece.

use super::super::super::drawing::{Drawing, Stroke};
use super::super::super::edges;
use super::super::Proposal;
use super::super::shapes::{self, Arrow};
use super::Putting;
use crate::geometry::{Line, Point};
use crate::pattern::{BalanceLine, DrillHole, EdgeRole, Grainline, NotchKind};

impl Putting<'_> {
    pub(super) fn propose(&mut self, what: String, at: Point, confidence: f64) {
        let piece = Some(self.piece.id.clone());
        self.proposals.push(Proposal { what, piece, at: Some(at), confidence });
    }

    /// A straight line with arrowheads that were drawn.
    pub(super) fn arrow(&mut self, arrow: &Arrow) {
        let told = arrow.heads[0] != arrow.heads[1];
        let Line { p0, p1 } = arrow.line;
        let upward = if told { arrow.heads[1] } else { p1.y >= p0.y };
        let (from, to) = if upward { (p0, p1) } else { (p1, p0) };
        self.keep_longer(false, Grainline { from, to }, told);
    }

    pub(super) fn keep_longer(&mut self, named: bool, grain: Grainline, told: bool) {
        let better = self.grain.as_ref().is_none_or(|(known_named, known, _)| {
            (named, grain.from.distance(grain.to)) > (*known_named, known.from.distance(known.to))
        });
        if better {
            self.grain = Some((named, grain, told));
        }
    }

    /// A dart that was told by its shape; whether its mouth could be made.
    pub(super) fn dart(&mut self, seen: &shapes::Seen) -> bool {
        let shapes::What::Dart { mouth, apex } = &seen.what else { return false };
        let name = self.names.unique("dart".to_owned());
        let made = edges::with_dart(self.piece, *mouth, *apex, &name);
        if let Some(with_dart) = made {
            *self.piece = with_dart;
            self.propose(format!("The {name} with its point inside"), *apex, seen.confidence);
            return true;
        }
        false
    }

    /// A mark that was told by its shape.
    pub(super) fn seen(&mut self, seen: &shapes::Seen, drawing: &Drawing) {
        let first = seen.lines.first().map(|(group, index)| &drawing.groups[*group].strokes[*index]);
        match &seen.what {
            shapes::What::Notch { edge, along, double } => {
                let name =
                    first.map_or_else(String::new, |stroke| self.mark_name(stroke, &["notch"], "notch"));
                let kind = if *double { NotchKind::Double } else { NotchKind::Single };
                self.put_notch(name, kind, *edge, *along);
            }
            shapes::What::Drill(at) => {
                let name = first.map_or_else(String::new, |stroke| self.mark_name(stroke, &[], "drill hole"));
                self.piece.drill_holes.push(DrillHole { name: name.clone(), at: *at });
                self.propose(format!("A mark through the cloth, {name}"), *at, seen.confidence);
            }
            shapes::What::Fold(edge) => {
                let edge = &mut self.piece.edges[*edge];
                edge.role = EdgeRole::Fold;
                let (what, at) =
                    (format!("{} lies on the fold", edge.id), edge.curve.point_at(0.5 * edge.curve.length()));
                self.propose(what, at, seen.confidence);
            }
            shapes::What::Balance(line) => self.put_balance(*line, seen.confidence),
            shapes::What::Dart { .. } => {}
        }
    }

    /// A line that is called a lengthen/shorten line.
    pub(super) fn balance(&mut self, stroke: &Stroke) {
        self.put_balance(Line::new(stroke.curve.start(), stroke.curve.end()), 1.0);
    }

    fn put_balance(&mut self, line: Line, confidence: f64) {
        let name = self.names.unique("lengthen or shorten".to_owned());
        self.piece.balance_lines.push(BalanceLine { id: name.as_str().into(), line });
        self.propose(format!("A line to {name} at"), line.p0.midpoint(line.p1), confidence);
    }

    /// How many notches there are.
    pub(super) fn count_notches(&mut self, by_shape: usize) {
        let Some(at) = self.piece.notches.first().and_then(|notch| self.piece.notch_point(notch)) else {
            return;
        };
        let double = self.piece.notches.iter().filter(|notch| notch.kind == NotchKind::Double).count();
        let what = match (self.piece.notches.len(), double) {
            (1, 0) => "1 notch".to_owned(),
            (1, _) => "1 double notch".to_owned(),
            (count, 0) => format!("{count} notches"),
            (count, double) => format!("{count} notches, {double} of them double"),
        };
        self.propose(what, at, if by_shape > 0 { 0.85 } else { 0.95 });
    }
}
