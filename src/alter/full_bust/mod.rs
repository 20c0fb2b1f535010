//! More room for the bust: slash and spread.
//!
//! The front, which must have a dart in its side seam, is cut along three lines from the bust point: down the
//! grain through the hem, up to a place on the armhole (but not through it: that is the hinge), and along the dart
//! from the side (hinged at the bust point). Three parts move:
//!
//! - the side part **above** the dart turns about the hinge on the armhole until the bust point has gone out by the
//!   spread s, by the angle φ with e·(R(φ) − 1)·(B − A) = s, for the bust point B, the hinge A and e outwards
//!   across the grain;
//! - the side part **below** the dart follows the bust point without turning, so that the cut down the grain opens
//!   into a strip of width s, which the hem takes up over 100 mm on each side;
//! - the centre part below the bust comes down by as much as the side part did, so that the hem is level; the
//!   centre front grows by that.
//!
//! The dart opens from θ to θ + φ with equal legs. No seam changes its length but the centre front and the hem: the
//! side seam, with its dart closed, returns to what the back has, and the armhole keeps its length with a bend of φ at
//! the hinge, to be smoothed in drawing. The width s stays at waist and hem, for the side seam to take in if not
//! wanted. The bust point itself is then in the middle of the strip; the dart's apex is set back from the
//! strip's outer edge.
//!
//! The method is the handbooks' (from memory); the formula is worked out here.

mod parts;

use super::dart::{Wedge, dart_named, measures, reversed};
use super::draft::{Change, Draft};
use super::place::{Place, Spot, edges_of_run};
use super::{AlterError, Amount, Figure};
use crate::geometry::{Affine, Curve, Length, Point, Segment, Vec2, crossings};
use crate::pattern::{DartId, Edge, EdgeRole, Piece, PieceId};
use parts::{Cuts, Moves, move_marks, spread_apart};
use serde::{Deserialize, Serialize};

/// More room for the bust.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FullBust {
    /// The front.
    pub piece: PieceId,
    /// Its dart in the side seam.
    pub dart: DartId,
    /// Drill hole that marks the bust point; the dart's apex when absent.
    #[serde(default)]
    pub bust_point: Option<String>,
    /// The hinge on the armhole.
    pub hinge: Place,
    /// How much wider each front becomes at the bust.
    pub spread: Length,
    /// How far the dart's apex is set back from the bust point.
    #[serde(default)]
    pub withdraw: Option<Length>,
}

impl FullBust {
    pub(super) fn apply(&self, draft: &Draft<'_>) -> Result<Change, AlterError> {
        let printed = draft.piece(&self.piece)?;
        let spread = self.spread.mm();
        if spread.is_nan() || spread < 0.0 {
            return Err(AlterError::NotPositive { what: "the spread at the bust", given_mm: spread });
        }
        if spread == 0.0 {
            return Ok(Change::default());
        }
        let bust = match &self.bust_point {
            None => dart_named(printed, &self.dart)?.apex,
            Some(name) => {
                let hole = printed.drill_holes.iter().find(|hole| &hole.name == name);
                let hole = hole.ok_or_else(|| AlterError::UnknownDrillHole {
                    piece: printed.id.clone(),
                    name: name.clone(),
                })?;
                hole.at
            }
        };
        // Going on from the dart along the outline, the armhole must come before the hem.
        let count = printed.edges.len();
        let hinge = self.hinge.on(printed)?;
        let wedge = Wedge::of(printed, dart_named(printed, &self.dart)?)?;
        let hem = printed.edges.iter().position(|edge| edge.role == EdgeRole::Hem);
        let hem = hem.ok_or_else(|| AlterError::NoHem { piece: printed.id.clone() })?;
        let ahead = |at: usize| (at + count - wedge.mouth) % count;
        let forwards = ahead(hinge.edge) < ahead(hem);
        let old = if forwards { printed.clone() } else { reversed(printed) };
        let hinge = if forwards {
            hinge
        } else {
            Spot {
                edge: count - 1 - hinge.edge,
                along: printed.edges[hinge.edge].curve.length() - hinge.along,
            }
        };
        let (cuts, moves, turn) = self.plan(&old, bust, hinge, spread)?;
        let mut piece = spread_apart(&old, &cuts, &moves);
        let after_bust = moves.lower * bust;
        move_marks(&old, &mut piece, &cuts, &moves, bust);
        for dart in piece.darts.iter_mut().filter(|dart| dart.id == self.dart) {
            dart.apex = after_bust;
        }
        let opened = Wedge::of(&piece, dart_named(&piece, &self.dart)?)?;
        let axis = opened.ends[0].midpoint(opened.ends[1]) - after_bust;
        let back = self.withdraw.as_ref().map_or(0.0, Length::mm);
        for dart in piece.darts.iter_mut().filter(|dart| dart.id == self.dart && axis.hypot() > 0.0) {
            dart.apex = after_bust + back * axis.normalize();
        }
        for hole in piece.drill_holes.iter_mut().filter(|hole| Some(&hole.name) == self.bust_point.as_ref()) {
            hole.at = bust.midpoint(after_bust);
        }
        let piece = if forwards { piece } else { reversed(&piece) };
        let mut change = Change {
            figures: measures(&piece, &wedge, &Wedge::of(&piece, dart_named(&piece, &self.dart)?)?),
            ..Change::default()
        };
        let figure = |name, before, after| Figure { name, piece: Some(printed.id.clone()), before, after };
        let drop = (after_bust - bust).dot(-old.grainline.direction());
        change.figures.push(figure("turn of the side part", None, Amount::Degrees(turn.abs().to_degrees())));
        change.figures.push(figure("longer at the centre front", None, Amount::Mm(drop)));
        for (before, after) in self.against_mates(draft, printed, &piece) {
            change.figures.push(figure(
                "longer than its mate at the side",
                Some(Amount::Mm(before)),
                Amount::Mm(after),
            ));
        }
        change.notes.push(format!(
            "Piece “{}”: the armhole bends by {:.1}° at the hinge. Smooth it when you cut, and draw its facing again.",
            piece.id,
            turn.abs().to_degrees()
        ));
        change.pieces.push(piece);
        Ok(change)
    }

    fn plan(
        &self,
        old: &Piece,
        bust: Point,
        hinge: Spot,
        spread: f64,
    ) -> Result<(Cuts, Moves, f64), AlterError> {
        let wedge = Wedge::of(old, dart_named(old, &self.dart)?)?;
        let legs = wedge.ends.map(|end| end.distance(bust));
        if (legs[0] - legs[1]).abs() > 0.5 {
            return Err(AlterError::LegsDiffer {
                piece: old.id.clone(),
                dart: self.dart.clone(),
                first_mm: legs[0],
                second_mm: legs[1],
            });
        }
        let count = old.edges.len();
        let up = old.grainline.direction();
        let across = Vec2::new(up.y, -up.x);
        let out = across * (wedge.ends[0].midpoint(wedge.ends[1]) - bust).dot(across).signum();
        let unfit = |why: &'static str| AlterError::NoFullBust { piece: old.id.clone(), why };
        // Down the grain through the hem.
        let area = old.bounding_box();
        let down = Curve::line(bust, bust - (area.width() + area.height()) * up);
        let hems = (0..count).filter(|&at| old.edges[at].role == EdgeRole::Hem);
        let mut meetings = hems.filter_map(|at| {
            let meeting = crossings(&old.edges[at].curve, &down).into_iter().next()?;
            Some(Spot { edge: at, along: meeting.on_first })
        });
        let hem =
            meetings.next().ok_or_else(|| unfit("the grain through the bust point does not meet the hem"))?;
        // Back from there to the centre front, which passes the bust along the grain.
        let passes = |edge: &Edge| {
            let (start, end) = (edge.curve.start(), edge.curve.end());
            let straight = matches!(edge.curve.segments(), [Segment::Line(_)]);
            let along = (end - start).cross(up).abs() < 1e-6 * (end - start).hypot();
            straight && along && (start - bust).dot(up) * (end - bust).dot(up) < 0.0
        };
        let centre =
            (1..count).map(|step| (hem.edge + count - step) % count).find(|&at| passes(&old.edges[at]));
        let centre = centre.ok_or_else(|| {
            unfit("the centre front is not one straight line along the grain beside the bust")
        })?;
        let arm = old.edges[hinge.edge].curve.point_at(hinge.along);
        let spoke = bust - arm;
        let (a, b) = (out.dot(spoke), out.dot(Vec2::new(-spoke.y, spoke.x)));
        let reach = (spread + a) / a.hypot(b);
        if reach.is_nan() || reach.abs() > 0.95 {
            return Err(unfit("the spread is too much for the distance between armhole and bust point"));
        }
        let turns = [1.0, -1.0].map(|sign| {
            let angle = b.atan2(a) + sign * reach.acos();
            angle.sin().atan2(angle.cos())
        });
        let turn = if turns[0].abs() < turns[1].abs() { turns[0] } else { turns[1] };
        let upper = Affine::rotate_about(turn, arm);
        let shift = upper * bust - bust;
        let cuts = Cuts { centre, hem, mouth: wedge.mouth, hinge };
        let moves =
            Moves { upper, lower: Affine::translate(shift), centre: Affine::translate(shift.dot(up) * up) };
        Ok((cuts, moves, turn))
    }

    /// How much longer the dart's seam is than its mates, before and after.
    fn against_mates(&self, draft: &Draft<'_>, before: &Piece, after: &Piece) -> Vec<(f64, f64)> {
        let Some(mouth) = before.dart_mouth(&self.dart).and_then(|mouth| before.edge_index(&mouth.id)) else {
            return Vec::new();
        };
        let count = before.edges.len();
        let beside = &before.edges[(mouth + 1) % count].id;
        let length = |piece: &Piece, edges: &[usize]| {
            edges.iter().map(|&at| piece.edges[at].curve.length()).sum::<f64>()
        };
        let seams = draft.seams.iter().filter_map(|seam| {
            let mine = seam.sides.iter().find(|run| run.holds(&before.id, beside))?;
            let mate = seam.mate_of(&before.id, beside)?;
            let theirs = draft.piece(&mate.piece).ok()?;
            let mate_length = length(theirs, &edges_of_run(theirs, mate)?.0);
            let edges = edges_of_run(before, mine)?.0;
            Some((length(before, &edges) - mate_length, length(after, &edges) - mate_length))
        });
        seams.collect()
    }
}
