//! Lines inside a piece become marks, by their names or by their shape.

mod folds;
mod seen;

use super::super::drawing::{Arrows, Drawing, Part, Spot, Stroke};
use super::chain::LineId;
use super::kinds::GroupKinds;
use super::label::Label;
use super::places::{Owned, Polygon};
use super::shapes::{self, Arrow};
use super::{Candidate, Names, Proposal};
use crate::finding::{Finding, Severity};
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Point, Rect, Segment, crossings};
use crate::pattern::{DrillHole, Grainline, InnerLine, Notch, NotchKind, Piece, PrintedText, signed_area};
use std::collections::BTreeSet;

/// A closed line inside that holds this part of the piece is a second outline.
const SECOND_OUTLINE: f64 = 0.6;

/// Furthest that a notch may lie from the outline, in mm.
const NOTCH_REACH_MM: f64 = 5.0;

/// The same where notches stand on the cutting line and the outline is the sew line.
const SEWN_NOTCH_REACH_MM: f64 = 60.0;

/// Furthest that the foot of a notch may lie from the outline, in mm.
const FOOT_MM: f64 = 1.0;

fn notch_kind(tags: &str) -> NotchKind {
    if tags.to_lowercase().contains("double") { NotchKind::Double } else { NotchKind::Single }
}

/// An upright grainline in the middle of a piece that shows none.
pub(super) fn upright_grain(bounds: Rect) -> Grainline {
    let x = bounds.center().x;
    Grainline {
        from: Point::new(x, bounds.y0 + 0.25 * bounds.height()),
        to: Point::new(x, bounds.y1 - 0.25 * bounds.height()),
    }
}

/// What belongs to a piece, and where it stands.
pub(super) struct On<'a> {
    pub(super) drawing: &'a Drawing,
    pub(super) kinds: &'a GroupKinds,
    pub(super) owned: &'a Owned,
    pub(super) outline: &'a Candidate,
    pub(super) arrows: &'a [Arrow],
    pub(super) label: &'a Label,
}

/// Puts the strokes and words that belong to a piece on it.
pub(super) fn put_on(
    piece: &mut Piece,
    on: &On<'_>,
    findings: &mut Vec<Finding>,
    proposals: &mut Vec<Proposal>,
) {
    let (drawing, sewn) = (on.drawing, on.outline.cutting.is_some());
    let stroke_of = |(group, index): LineId| &drawing.groups[group].strokes[index];
    let mut put = Putting {
        piece,
        findings,
        proposals,
        names: Names::default(),
        grain: None,
        notch_reach_mm: if sewn { SEWN_NOTCH_REACH_MM } else { NOTCH_REACH_MM },
    };
    let own: BTreeSet<LineId> = on.owned.strokes.iter().copied().collect();
    let mut done: BTreeSet<LineId> = BTreeSet::new();
    for &line in &own {
        let stroke = stroke_of(line);
        match on.kinds.of_stroke(line.0, stroke) {
            Some(Part::Grain) => put.grain(stroke, true),
            None if stroke.arrows != Arrows::default() && straight(stroke) => put.grain(stroke, false),
            _ => continue,
        }
        done.insert(line);
    }
    for arrow in on.arrows.iter().filter(|arrow| arrow.lines.iter().all(|line| own.contains(line))) {
        if arrow.lines.iter().any(|line| done.contains(line)) {
            continue;
        }
        put.arrow(arrow);
        done.extend(&arrow.lines);
    }
    put.finish_grain();
    let left = |done: &BTreeSet<LineId>| -> Vec<(LineId, &Stroke)> {
        let left = own.iter().filter(|line| !done.contains(line));
        left.map(|line| (*line, stroke_of(*line))).collect()
    };
    let unnamed = |done: &BTreeSet<LineId>| -> Vec<(LineId, &Stroke)> {
        // What a file calls an inner line may be a dart all the same.
        let named = |line: LineId, stroke| on.kinds.of_stroke(line.0, stroke);
        let mut lines = left(done);
        lines.retain(|(line, stroke)| matches!(named(*line, stroke), None | Some(Part::Inner)));
        lines
    };
    for seen in shapes::darts_on(
        put.piece,
        &unnamed(&done),
        &shapes::Beside { label: on.label, cutting: on.outline.cutting.as_deref() },
    ) {
        if put.dart(&seen) {
            done.extend(&seen.lines);
        }
    }
    done.extend(put.folds(on, &left(&done)));
    let mut by_shape = 0;
    for seen in shapes::seen_on(
        put.piece,
        &unnamed(&done),
        &shapes::Beside { label: on.label, cutting: on.outline.cutting.as_deref() },
    ) {
        put.seen(&seen, drawing);
        by_shape += usize::from(matches!(seen.what, shapes::What::Notch { .. }));
        done.extend(&seen.lines);
    }
    for &line in own.iter().filter(|line| !done.contains(line)) {
        let stroke = stroke_of(line);
        match on.kinds.of_stroke(line.0, stroke) {
            Some(Part::Notch) => put.notch(stroke),
            Some(Part::Drill) => put.drill(stroke),
            Some(Part::Fold) => put.stray_fold(stroke),
            Some(Part::CutOut) => put.cut_out(stroke),
            Some(Part::SewLine) => put.line_called("sew line", stroke),
            Some(Part::Balance) => put.balance(stroke),
            Some(Part::Stripe) => put.line_called("stripe line", stroke),
            Some(Part::Plaid) => put.line_called("plaid line", stroke),
            // The line around a sew line became allowances.
            Some(Part::Outline) if sewn => {}
            Some(Part::Outline | Part::Inner | Part::Grain) | None => put.line(stroke),
        }
    }
    for &(group, index) in &on.owned.spots {
        put.spot(&drawing.groups[group].spots[index]);
    }
    put.count_notches(by_shape);
    for &(group, index) in &on.owned.words {
        let words = &drawing.groups[group].words[index];
        piece.texts.push(PrintedText {
            words: words.words.clone(),
            at: words.at,
            height_mm: words.height_mm,
        });
    }
}

fn straight(stroke: &Stroke) -> bool {
    matches!(stroke.curve.segments(), [Segment::Line(_)])
}

struct Putting<'a> {
    piece: &'a mut Piece,
    findings: &'a mut Vec<Finding>,
    proposals: &'a mut Vec<Proposal>,
    names: Names,
    /// The longest straight line that may be the grainline: whether its name says so, the line, whether the up
    /// end was told by an arrowhead.
    grain: Option<(bool, Grainline, bool)>,
    notch_reach_mm: f64,
}

impl Putting<'_> {
    fn say(&mut self, severity: Severity, what: String, remedy: &str, at: Point) {
        let finding = Finding::new(severity, what, remedy);
        self.findings.push(finding.on(&self.piece.id).at(at));
    }

    fn grain(&mut self, stroke: &Stroke, named: bool) {
        // The head of an arrow may be part of the stroke, or another stroke of the group: the longest straight
        // stretch is the line.
        let longest = stroke
            .curve
            .segments()
            .iter()
            .filter_map(|segment| match segment {
                Segment::Line(line) => Some(*line),
                _ => None,
            })
            .max_by(|a, b| a.length().total_cmp(&b.length()));
        let Some(line) = longest.filter(|line| line.length() > JOIN_MM) else {
            return;
        };
        let told = stroke.arrows.start != stroke.arrows.end;
        let upward = if told { stroke.arrows.end } else { line.p1.y >= line.p0.y };
        let (from, to) = if upward { (line.p0, line.p1) } else { (line.p1, line.p0) };
        self.keep_longer(named, Grainline { from, to }, told);
    }

    fn finish_grain(&mut self) {
        match self.grain.take() {
            Some((named, grain, told)) => {
                self.piece.grainline = grain;
                let sure = if named { 0.95 } else { 0.85 };
                self.propose("The grainline".to_owned(), grain.from.midpoint(grain.to), sure);
                if !told {
                    self.say(
                        Severity::Note,
                        "The grainline does not tell which end is up; the upper end on the drawing was taken"
                            .to_owned(),
                        "Check it before cutting from one-way cloth",
                        grain.to,
                    );
                }
            }
            None => {
                let at = self.piece.grainline.to;
                self.say(
                    Severity::Warning,
                    "The piece has no grainline; one straight up the drawing was assumed".to_owned(),
                    "Draw a line named “grain” on the piece, or check that it stands upright on the drawing",
                    at,
                );
            }
        }
    }

    /// Edge and arc length along it of the place on the outline nearest to a point, and how far that is.
    fn on_outline(&self, point: Point) -> Option<(usize, f64, f64)> {
        let places = self.piece.edges.iter().enumerate().map(|(index, edge)| {
            let (along, off) = edge.curve.nearest(point);
            (index, along, off)
        });
        places.min_by(|a, b| a.2.total_cmp(&b.2))
    }

    fn notch(&mut self, stroke: &Stroke) {
        let crossing = self.piece.edges.iter().enumerate().find_map(|(index, edge)| {
            let found = crossings(&edge.curve, &stroke.curve);
            found.first().map(|crossing| (index, crossing.on_first, 0.0))
        });
        let ends = [stroke.curve.start(), stroke.curve.end(), super::middle(stroke)];
        let nearest =
            ends.into_iter().filter_map(|end| self.on_outline(end)).min_by(|a, b| a.2.total_cmp(&b.2));
        // A notch drawn as a V or a castle stands with both feet on the outline; its place is between them.
        let feet = match (self.on_outline(ends[0]), self.on_outline(ends[1])) {
            (Some(a), Some(b)) if a.0 == b.0 && a.2.max(b.2) <= FOOT_MM => {
                Some((a.0, 0.5 * (a.1 + b.1), 0.0))
            }
            _ => None,
        };
        let place = feet.or(crossing).or(nearest).filter(|(_, _, off)| *off <= self.notch_reach_mm);
        let Some((index, along, _)) = place else {
            self.say(
                Severity::Warning,
                format!(
                    "A notch lies more than {} mm from the outline; it became an inner line",
                    self.notch_reach_mm
                ),
                "Move it to the outline and import again",
                ends[2],
            );
            self.line(stroke);
            return;
        };
        let name = self.mark_name(stroke, &["notch", "single", "double"], "notch");
        self.put_notch(name, notch_kind(&stroke.tags), index, along);
    }

    /// A mark without a line.
    fn spot(&mut self, spot: &Spot) {
        if spot.part == Part::Drill {
            let name = self.names.unique("drill hole".to_owned());
            self.piece.drill_holes.push(DrillHole { name, at: spot.at });
            return;
        }
        match self.on_outline(spot.at).filter(|(_, _, off)| *off <= self.notch_reach_mm) {
            Some((index, along, _)) => {
                let name = self.names.unique("notch".to_owned());
                self.put_notch(name, notch_kind(&spot.tags), index, along);
            }
            None => self.say(
                Severity::Warning,
                format!(
                    "A notch lies more than {} mm from the outline and was left out",
                    self.notch_reach_mm
                ),
                "Move it to the outline and import again",
                spot.at,
            ),
        }
    }

    /// A notch at an arc length along an edge.
    fn put_notch(&mut self, name: String, kind: NotchKind, index: usize, along: f64) {
        let edge = &self.piece.edges[index];
        let left = edge.curve.length() - along;
        // Measured from the nearer corner, so that a change far away moves it less.
        let (corner, distance) = if along <= left { (&edge.from, along) } else { (&edge.to, left) };
        let notch = Notch { id: name.into(), edge: edge.id.clone(), corner: corner.clone(), distance, kind };
        self.piece.notches.push(notch);
    }

    fn drill(&mut self, stroke: &Stroke) {
        let name = self.mark_name(stroke, &["drill", "hole"], "drill hole");
        let at = stroke.curve.bounding_box().center();
        self.piece.drill_holes.push(DrillHole { name, at });
    }

    fn cut_out(&mut self, stroke: &Stroke) {
        self.line_called("cut-out", stroke);
        self.say(
            Severity::Warning,
            "The piece has an opening inside; it is shown as a line to be marked".to_owned(),
            "Cut the opening by hand when the piece is cut",
            super::middle(stroke),
        );
    }

    fn line_called(&mut self, name: &str, stroke: &Stroke) {
        let name = self.names.unique(name.to_owned());
        let curve = stroke.curve.clone();
        self.piece.inner_lines.push(InnerLine { name, curve });
    }

    fn line(&mut self, stroke: &Stroke) {
        if stroke.closed {
            self.tell_second_outline(stroke);
        }
        let name = self.mark_name(stroke, &[], "line");
        self.piece.inner_lines.push(InnerLine { name, curve: stroke.curve.clone() });
    }

    /// A closed line that follows the outline inside: one of the two is the seam line, the other the cutting line.
    fn tell_second_outline(&mut self, stroke: &Stroke) {
        let inner = Polygon::of(stroke.curve.segments()).area();
        let outline = signed_area(&self.piece.polygon());
        if inner < SECOND_OUTLINE * outline {
            return;
        }
        let at = stroke.curve.start();
        let off = self.on_outline(at).map_or(0.0, |(_, _, off)| off);
        let which = if stroke.look.is_dashed() { "dashed" } else { "closed" };
        let what = format!(
            "The piece shows a second outline, {which}, {off:.1} mm inside; the outer one was taken as the seam line"
        );
        let remedy = "If the outer one is the cutting line, hide it in the drawing and import again";
        let finding = Finding::new(Severity::Warning, what, remedy);
        self.findings.push(finding.on(&self.piece.id).at(at).by_mm(off));
    }

    /// What is left of a mark's name without the words that say what it is, and without the piece's own name.
    fn mark_name(&mut self, stroke: &Stroke, without: &[&str], otherwise: &str) -> String {
        let piece = self.piece.id.to_string();
        let name = stroke.name.clone().unwrap_or_default();
        let rest = name.strip_prefix(&piece).unwrap_or(&name);
        let words: Vec<&str> =
            rest.split_whitespace().filter(|word| !without.contains(&word.to_lowercase().as_str())).collect();
        let name = if words.is_empty() { otherwise.to_owned() } else { words.join(" ") };
        self.names.unique(name)
    }
}
