//! The shoulder's slope, when a pad is taken out or put in.
//!
//! A pad of compressed height h lifts the shoulder tip by h. Without it the shoulder seam turns about the neck
//! point, keeping its length s, until its tip lies h lower along the grain: sin φ′ = sin φ + h/s. Front and back
//! have amounts of their own. Usual heights: dress 6 mm, jacket 10–13, coat 20–25 (from memory).
//!
//! Then one of two:
//! - **keep the armhole** (a sleeve must still fit): the armhole is moved rigidly with the shoulder tip and turned
//!   about it just so far that the underarm lies on the side seam, or its straight continuation. The armhole keeps
//!   its shape and length exactly; the side seam becomes shorter by about h.
//! - **tighten the armhole** (sleeveless only): the underarm stays, and the tip's shift fades along the armhole by
//!   w = 3u² − 2u³ of its length. Each armhole shrinks by a little less than h.
//!
//! A facing is never altered on its own: it is drawn again from the new edge.

use super::draft::{Change, Draft};
use super::place::edge_named;
use super::reshape::keep_notches;
use super::{AlterError, Amount, Figure};
use crate::geometry::{Affine, Curve, Length, Vec2, crossings, displaced};
use crate::pattern::{Edge, EdgeId, EdgeRole, Piece, PieceId, Seam};
use serde::{Deserialize, Serialize};

/// The shoulder's slope.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shoulder {
    /// Front and back, each with its amount.
    pub parts: Vec<ShoulderPart>,
    /// What becomes of the armhole.
    pub armhole: ShoulderArmhole,
}

/// One piece's share.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShoulderPart {
    /// Which piece.
    pub piece: PieceId,
    /// Its shoulder seam.
    pub shoulder: EdgeId,
    /// Its armhole, which meets the shoulder at the tip.
    pub armhole: EdgeId,
    /// How far the tip comes down along the grain; negative lifts it.
    pub lower_by: Length,
}

/// What becomes of the armhole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum ShoulderArmhole {
    /// It keeps its length; the underarm comes down along the side seam.
    Keep,
    /// It shrinks; the underarm stays. For sleeveless garments.
    Tighten,
}

impl Shoulder {
    /// The lowering of a shoulder and its mate's, by nothing yet, with the armhole kept; `None` for any edge that is
    /// no shoulder. A shoulder is a straight seam, more across the grain than along it, whose lower end meets an
    /// armhole.
    #[must_use]
    pub fn at_seam(seams: &[Seam], pieces: &[&Piece], piece: &Piece, edge: &Edge) -> Option<Self> {
        let own = ShoulderPart::at(piece, &edge.id)?;
        let mate = seams.iter().find_map(|seam| {
            let run = seam.mate_of(&piece.id, &edge.id)?;
            let [mate_edge] = run.edges.as_slice() else { return None };
            ShoulderPart::at(pieces.iter().find(|mate| mate.id == run.piece)?, mate_edge)
        })?;
        Some(Self { parts: vec![own, mate], armhole: ShoulderArmhole::Keep })
    }

    pub(super) fn apply(&self, draft: &Draft<'_>) -> Result<Change, AlterError> {
        let mut change = Change::default();
        for part in &self.parts {
            if part.lower_by.mm() == 0.0 {
                continue;
            }
            let old = draft.piece(&part.piece)?;
            change.pieces.push(part.sloped(old, self.armhole, &mut change.figures)?);
        }
        Ok(change)
    }
}

impl ShoulderPart {
    /// The share of a piece whose shoulder is an edge; `None` when the edge is no shoulder. The amount is nothing.
    #[must_use]
    pub fn at(piece: &Piece, id: &EdgeId) -> Option<Self> {
        /// A shoulder slopes by less than this.
        const STEEPEST: f64 = std::f64::consts::FRAC_PI_4;
        let index = piece.edge_index(id)?;
        let edge = piece.edges.get(index)?;
        let (start, end) = (edge.curve.start(), edge.curve.end());
        let up = piece.grainline.direction();
        let along = end - start;
        let length = along.hypot();
        let straight = edge.curve.length() - length < 1.0;
        if length <= 0.0 || !straight || (along.dot(up) / length).abs() > STEEPEST.sin() {
            return None;
        }
        let count = piece.edges.len();
        // The tip is the lower end; the armhole is the edge beyond it.
        let beyond = if along.dot(up) > 0.0 { (index + count - 1) % count } else { (index + 1) % count };
        let armhole = piece.edges.get(beyond)?;
        // Above a shoulder there is no hem below it: the piece must lie below the seam.
        let below = piece.bounding_box().center() - start.midpoint(end);
        (below.dot(up) < 0.0 && armhole.role == EdgeRole::Seam).then(|| Self {
            piece: piece.id.clone(),
            shoulder: id.clone(),
            armhole: armhole.id.clone(),
            lower_by: Length::from_mm(0.0),
        })
    }

    fn sloped(
        &self,
        old: &Piece,
        rule: ShoulderArmhole,
        figures: &mut Vec<Figure>,
    ) -> Result<Piece, AlterError> {
        let (shoulder, armhole) = (edge_named(old, &self.shoulder)?, edge_named(old, &self.armhole)?);
        let count = old.edges.len();
        let apart = || AlterError::NotNeighbours {
            piece: old.id.clone(),
            first: self.shoulder.clone(),
            second: self.armhole.clone(),
        };
        // The armhole either ends or begins at the tip.
        let armhole_ends = (armhole + 1) % count == shoulder;
        if !armhole_ends && (shoulder + 1) % count != armhole {
            return Err(apart());
        }
        let seam = &old.edges[shoulder].curve;
        let (tip, neck) = if armhole_ends { (seam.start(), seam.end()) } else { (seam.end(), seam.start()) };
        let up = old.grainline.direction();
        let along = tip - neck;
        let length = along.hypot();
        let sine = -along.dot(up) / length.max(f64::MIN_POSITIVE);
        let steeper = sine + self.lower_by.mm() / length.max(f64::MIN_POSITIVE);
        if !(-1.0..1.0).contains(&steeper) {
            return Err(AlterError::TooSteep {
                piece: old.id.clone(),
                edge: self.shoulder.clone(),
                length_mm: length,
            });
        }
        // Turning by the difference of slopes brings the tip down, whichever side of the neck it lies on.
        let turn = -(steeper.asin() - sine.clamp(-1.0, 1.0).asin()) * along.cross(up).signum();
        let about_neck = Affine::rotate_about(turn, neck);
        let mut piece = old.clone();
        piece.edges[shoulder].curve = seam.transformed(about_neck);
        let shift = about_neck * tip - tip;
        let hole = &old.edges[armhole].curve;
        match rule {
            ShoulderArmhole::Tighten => {
                let whole = hole.length();
                piece.edges[armhole].curve = displaced(hole, &[], |along| {
                    let from_tip = if armhole_ends { whole - along.distance } else { along.distance };
                    let u = (1.0 - from_tip / whole).clamp(0.0, 1.0);
                    let slope = 6.0 * u * (1.0 - u) / whole * if armhole_ends { 1.0 } else { -1.0 };
                    (u * u * (3.0 - 2.0 * u) * shift, slope * shift)
                });
            }
            ShoulderArmhole::Keep => self.slide_underarm(old, &mut piece, armhole, armhole_ends, shift)?,
        }
        keep_notches(old, &mut piece);
        // A rigidly moved edge keeps the distances of its notches.
        for (notch, was) in piece.notches.iter_mut().zip(&old.notches) {
            if notch.edge == self.shoulder || (notch.edge == self.armhole && rule == ShoulderArmhole::Keep) {
                notch.distance = was.distance;
            }
        }
        let degrees = |sine: f64| Amount::Degrees(sine.asin().to_degrees());
        figures.push(Figure {
            name: "slope of the shoulder",
            piece: Some(piece.id.clone()),
            before: Some(degrees(sine)),
            after: degrees(steeper),
        });
        figures.push(Figure {
            name: "armhole",
            piece: Some(piece.id.clone()),
            before: Some(Amount::Mm(hole.length())),
            after: Amount::Mm(piece.edges[armhole].curve.length()),
        });
        Ok(piece)
    }

    /// Moves the armhole with the tip and turns it until the underarm lies on the side seam.
    fn slide_underarm(
        &self,
        old: &Piece,
        piece: &mut Piece,
        armhole: usize,
        armhole_ends: bool,
        shift: Vec2,
    ) -> Result<(), AlterError> {
        let count = old.edges.len();
        let side = if armhole_ends { armhole + count - 1 } else { armhole + 1 } % count;
        let moved = old.edges[armhole].curve.transformed(Affine::translate(shift));
        let (tip, underarm) =
            if armhole_ends { (moved.end(), moved.start()) } else { (moved.start(), moved.end()) };
        let reach = 8.0 * shift.hypot();
        let seam = &old.edges[side].curve;
        let long = if armhole_ends { seam.extended(0.0, reach) } else { seam.extended(reach, 0.0) };
        let radius = tip.distance(underarm);
        let spread = (reach / radius).min(1.0);
        let around = (underarm - tip).atan2();
        let circle = Curve::arc(tip, tip + radius * Vec2::from_angle(around - spread), 2.0 * spread);
        let meeting = crossings(&long, &circle)
            .into_iter()
            .min_by(|a, b| a.at.distance(underarm).total_cmp(&b.at.distance(underarm)));
        let found = meeting.and_then(|meeting| {
            let kept = if armhole_ends {
                long.portion(0.0, meeting.on_first)
            } else {
                long.portion(meeting.on_first, f64::INFINITY)
            };
            Some((meeting.at, kept?))
        });
        let (place, kept) = found.ok_or_else(|| AlterError::Apart {
            piece: old.id.clone(),
            first: self.armhole.clone(),
            second: old.edges[side].id.clone(),
            by_mm: self.lower_by.mm(),
        })?;
        let turn = (place - tip).atan2() - around;
        piece.edges[armhole].curve = moved.transformed(Affine::rotate_about(turn, tip));
        piece.edges[side].curve = kept;
        Ok(())
    }
}
