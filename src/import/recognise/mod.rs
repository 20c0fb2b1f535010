//! Pieces out of a drawing.
//!
//! 1. In each group, closed lines and open lines that meet end to end become loops ([`chain`]).
//! 2. A loop inside another of the same group, or of a group around it, is something on the piece; every other
//!    loop is the outline of a piece. A rectangle that holds the outlines of several groups, or is the page, is a
//!    frame and left out.
//! 3. An outline is cut into edges where it turns sharply, or where lines of different names meet ([`outline`]).
//! 4. What remains goes to the piece of its group, else to the smallest outline around it, and becomes a mark by
//!    its name ([`marks`]): *grain*, *notch*, *drill*, *fold*; a straight line with arrowheads is a grainline. The
//!    rest is inner lines.
//!
//! Groups are trusted before geometry, because pieces may lie one on the other (sizes) and a person grouped them
//! for a reason; what a format tells ([`Part`]) is trusted before both. Where groups show sizes, each size is looked
//! at by itself, together with what all sizes share ([`views`]). Limit: an outline of lines that cross without
//! meeting is not found.

mod allowance;
mod chain;
mod frame;
mod marks;
mod name;
mod outline;
mod places;
mod views;

pub(super) use views::LETTERS as SIZE_LETTERS;

use super::drawing::{Drawing, Group, Part, Stroke};
use crate::finding::{Finding, Severity};
use crate::geometry::Point;
use crate::pattern::{ClothKind, Cutting, HowCut, Piece};
use chain::Loop;
use marks::GroupKinds;
use places::{Census, Polygon, owner_of};
use std::collections::{BTreeMap, BTreeSet};

/// Ends of lines closer than this are taken as joined, in mm: drawing programs leave gaps of up to a tenth, and
/// no corner of a pattern is smaller.
pub const JOIN_ENDS_MM: f64 = 0.3;

/// An outline turns by more than this at a corner, in radians (20°). Curves drawn as short straight lines turn by
/// less at each; the flattest corner of a garment, a shoulder tip or a side at the hem, by more.
pub const CORNER_TURN: f64 = 0.349;

/// Closed lines whose bounding box is smaller than this across are marks, in mm.
pub const SMALLEST_PIECE_MM: f64 = 20.0;

/// What was found in a drawing.
#[derive(Debug, Default)]
pub(super) struct Recognised {
    pub(super) pieces: Vec<Found>,
    pub(super) findings: Vec<Finding>,
}

/// A piece as one size of a drawing shows it.
#[derive(Debug, Clone)]
pub(super) struct Found {
    pub(super) piece: Piece,
    /// The size, where the drawing tells.
    pub(super) size: Option<String>,
    /// Whether the drawing gives it a name.
    pub(super) named: bool,
}

/// A loop of the drawing and where it comes from.
struct Candidate {
    group: usize,
    ring: Loop,
    polygon: Polygon,
    /// Whether it is a sew line inside a cutting line.
    sewn: bool,
}

/// Finds the pieces of a drawing, each in every size that it shows; ends closer than `join_mm` are joined.
pub(super) fn pieces_of(drawing: &Drawing, join_mm: f64) -> Recognised {
    let mut all = Recognised::default();
    for (size, view) in views::views_of(drawing) {
        let found = pieces_in(&view, size.as_deref(), join_mm);
        all.pieces.extend(found.pieces);
        // What all sizes share is told once.
        for finding in found.findings {
            if !all.findings.contains(&finding) {
                all.findings.push(finding);
            }
        }
    }
    all
}

/// Finds the pieces of one size.
fn pieces_in(drawing: &Drawing, size: Option<&str>, join_mm: f64) -> Recognised {
    let mut findings = Vec::new();
    let kinds = GroupKinds::of(drawing);
    let mut candidates = Vec::new();
    // Strokes that are accounted for.
    let mut used: BTreeSet<(usize, usize)> = BTreeSet::new();
    for (group, content) in drawing.groups.iter().enumerate() {
        let told = |part| move |stroke: &Stroke| stroke.part == Some(part);
        let tells = |part| content.strokes.iter().any(told(part));
        let mut sewn = false;
        let mut rings = Vec::new();
        if tells(Part::SewLine) && tells(Part::Outline) {
            rings = chain::loops(&content.strokes, told(Part::SewLine), join_mm, &mut findings);
            sewn = !rings.is_empty();
        }
        if rings.is_empty() {
            let told_outline = tells(Part::Outline);
            let usable = |stroke: &Stroke| {
                let untold = told_outline && !matches!(stroke.part, Some(Part::Outline | Part::Fold));
                !untold && kinds.may_be_outline(group, stroke)
            };
            rings = chain::loops(&content.strokes, usable, join_mm, &mut findings);
        }
        for ring in rings {
            let polygon = Polygon::of(&ring.segments());
            if let Some(stroke) = test_square(content, &ring) {
                findings.push(tell_test_square(&polygon));
                used.insert((group, stroke));
            } else if polygon.extent() >= SMALLEST_PIECE_MM {
                candidates.push(Candidate { group, ring, polygon, sewn });
            }
        }
    }
    let outlines = frame::outermost(drawing, candidates, &mut findings);
    for outline in &outlines {
        used.extend(outline.ring.strokes().map(|stroke| (outline.group, stroke)));
    }
    let census = Census::of(drawing, &outlines);
    let owners = owner_of(drawing, &outlines, &census, &used, &mut findings);
    let mut names = Names::default();
    let mut pieces = Vec::new();
    for (index, (outline, owned)) in outlines.iter().zip(&owners).enumerate() {
        let number = u32::try_from(index + 1).unwrap_or(u32::MAX);
        let called = name::piece_name(drawing, outline, &census, size);
        let named = called.is_some();
        let name = names.unique(called.unwrap_or_else(|| format!("piece {number}")));
        let group = &drawing.groups[outline.group];
        let mut piece = Piece {
            id: name.as_str().into(),
            number,
            cuttings: vec![group.cutting.clone().unwrap_or(Cutting {
                cloth: ClothKind::Cloth,
                count: 1,
                how: HowCut::Single,
            })],
            edges: outline::edges_of(group, &outline.ring, &name),
            notches: Vec::new(),
            darts: Vec::new(),
            grainline: marks::upright_grain(outline.polygon.bounds),
            balance_lines: Vec::new(),
            drill_holes: Vec::new(),
            inner_lines: Vec::new(),
            texts: Vec::new(),
            traces: Vec::new(),
        };
        marks::put_on(&mut piece, drawing, &kinds, owned, outline.sewn, &mut findings);
        if outline.sewn {
            allowance::measure(&mut piece, group, &mut findings);
        }
        if piece.fold().is_some() {
            for cutting in &mut piece.cuttings {
                cutting.how = HowCut::OnFold;
            }
        }
        match piece.faults(None, true).first() {
            None => pieces.push(Found { piece, size: size.map(ToOwned::to_owned), named }),
            Some(fault) => findings.push(
                Finding::new(
                    Severity::Stop,
                    format!("The piece was left out: {}", fault.kind),
                    "Mend the drawing where it was made, and import it again",
                )
                .on(&name.into())
                .at(outline.polygon.bounds.center()),
            ),
        }
    }
    Recognised { pieces, findings }
}

/// The stroke of a loop that is called a test square.
fn test_square(content: &Group, ring: &Loop) -> Option<usize> {
    let strokes: Vec<usize> = ring.strokes().collect();
    let [only] = strokes[..] else { return None };
    let tags = content.strokes[only].tags.to_lowercase().replace(['-', '_'], " ");
    tags.contains("test square").then_some(only)
}

fn tell_test_square(polygon: &Polygon) -> Finding {
    let (width, height) = (polygon.bounds.width(), polygon.bounds.height());
    Finding::new(
        Severity::Note,
        format!("The test square measures {width:.2} mm across and {height:.2} mm up"),
        "Compare with what the drawing says that it should measure",
    )
    .at(polygon.bounds.center())
    .by_mm(width)
}

/// Names given so far.
#[derive(Default)]
struct Names {
    taken: BTreeSet<String>,
    /// The number that a repeated name gets next.
    next: BTreeMap<String, u32>,
}

impl Names {
    /// The name, with a number where it is taken.
    fn unique(&mut self, name: String) -> String {
        if self.taken.insert(name.clone()) {
            return name;
        }
        let next = self.next.entry(name.clone()).or_insert(2);
        loop {
            let numbered = format!("{name} {next}");
            *next += 1;
            if self.taken.insert(numbered.clone()) {
                return numbered;
            }
        }
    }
}

/// Middle of a stroke.
fn middle(stroke: &Stroke) -> Point {
    stroke.curve.point_at(0.5 * stroke.curve.length())
}
