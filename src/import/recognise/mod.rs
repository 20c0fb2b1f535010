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
//! for a reason. Limits: an outline of lines that cross without meeting is not found; sizes come one at a time.

mod chain;
mod marks;
mod outline;
mod places;

use super::drawing::{Drawing, Group, Stroke};
use super::finding::{Finding, FindingCode, Severity};
use crate::geometry::{Point, Rect, Segment};
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

/// A frame lies this close to the page's edge at most, in mm.
const FRAME_MM: f64 = 1.0;

/// What was found in a drawing.
pub(super) struct Recognised {
    pub(super) pieces: Vec<Piece>,
    pub(super) findings: Vec<Finding>,
}

/// A loop of the drawing and where it comes from.
struct Candidate {
    group: usize,
    ring: Loop,
    polygon: Polygon,
}

/// Finds the pieces of a drawing; ends closer than `join_mm` are joined.
pub(super) fn pieces_of(drawing: &Drawing, join_mm: f64) -> Recognised {
    let mut findings = Vec::new();
    let kinds = GroupKinds::of(drawing);
    let mut candidates = Vec::new();
    // Strokes that are accounted for.
    let mut used: BTreeSet<(usize, usize)> = BTreeSet::new();
    for (group, content) in drawing.groups.iter().enumerate() {
        let usable = |stroke: &Stroke| kinds.may_be_outline(group, stroke);
        for ring in chain::loops(&content.strokes, usable, join_mm, &mut findings) {
            let polygon = Polygon::of(&ring.segments());
            if let Some(stroke) = test_square(content, &ring) {
                findings.push(tell_test_square(&polygon));
                used.insert((group, stroke));
            } else if polygon.extent() >= SMALLEST_PIECE_MM {
                candidates.push(Candidate { group, ring, polygon });
            }
        }
    }
    let outlines = outermost(drawing, candidates, &mut findings);
    let mut pieces = Vec::new();
    let mut names = Names::default();
    for outline in &outlines {
        used.extend(outline.ring.strokes().map(|stroke| (outline.group, stroke)));
    }
    let census = Census::of(drawing, &outlines);
    let owners = owner_of(drawing, &outlines, &census, &used, &mut findings);
    for (index, (outline, owned)) in outlines.iter().zip(&owners).enumerate() {
        let number = u32::try_from(index + 1).unwrap_or(u32::MAX);
        let name = names.unique(piece_name(drawing, outline, &census, number));
        let edges = outline::edges_of(drawing, outline.group, &outline.ring, &name);
        let mut piece = Piece {
            id: name.as_str().into(),
            number,
            cuttings: vec![Cutting {
                cloth: ClothKind::Cloth,
                count: 1,
                how: HowCut::Single,
            }],
            edges,
            notches: Vec::new(),
            darts: Vec::new(),
            grainline: marks::upright_grain(outline.polygon.bounds),
            balance_lines: Vec::new(),
            drill_holes: Vec::new(),
            inner_lines: Vec::new(),
            texts: Vec::new(),
            traces: Vec::new(),
        };
        marks::put_on(&mut piece, drawing, &kinds, owned, &mut findings);
        let faults = piece.faults(None, true);
        match faults.first() {
            None => pieces.push(piece),
            Some(fault) => findings.push(
                Finding::new(
                    FindingCode::BadOutline,
                    Severity::Stops,
                    format!("The piece was left out: {}", fault.kind),
                    "Mend the drawing where it was made, and import it again",
                )
                .of_piece(name)
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
        FindingCode::Scale,
        Severity::Note,
        format!("The test square measures {width:.2} mm across and {height:.2} mm up"),
        "Compare with what the drawing says that it should measure",
    )
    .at(polygon.bounds.center())
    .amounting_to(width)
}

/// The loops that are outlines of pieces, in the order of the drawing.
fn outermost(drawing: &Drawing, candidates: Vec<Candidate>, findings: &mut Vec<Finding>) -> Vec<Candidate> {
    let frames = frames(drawing, &candidates);
    for &frame in &frames {
        findings.push(
            Finding::new(
                FindingCode::Frame,
                Severity::Note,
                "A rectangle around pieces was taken for a frame and left out",
                "Nothing to do, unless it is a piece: then put it into a group of its own",
            )
            .at(candidates[frame].polygon.bounds.center()),
        );
    }
    let inner: Vec<bool> = (0..candidates.len())
        .map(|index| {
            let this = &candidates[index];
            candidates.iter().enumerate().any(|(other, around)| {
                other != index
                    && !frames.contains(&other)
                    && around.polygon.area() > this.polygon.area()
                    && around.polygon.holds(&this.polygon)
                    && encloses(drawing, around.group, this.group)
            })
        })
        .collect();
    candidates
        .into_iter()
        .enumerate()
        .filter(|(index, _)| !inner[*index] && !frames.contains(index))
        .map(|(_, candidate)| candidate)
        .collect()
}

/// Whether a group is another or stands around it.
fn encloses(drawing: &Drawing, outer: usize, inner: usize) -> bool {
    let mut group = Some(inner);
    while let Some(index) = group {
        if index == outer {
            return true;
        }
        // Parents stand before their children.
        group = drawing.groups[index].parent.filter(|_| index > outer);
    }
    false
}

/// Rectangles that hold loops of several groups, or are the page.
fn frames(drawing: &Drawing, candidates: &[Candidate]) -> BTreeSet<usize> {
    let is_page = |bounds: Rect| {
        drawing.page.is_some_and(|page| {
            let sides = [
                page.x0 - bounds.x0,
                page.y0 - bounds.y0,
                page.x1 - bounds.x1,
                page.y1 - bounds.y1,
            ];
            sides.iter().all(|off| off.abs() <= FRAME_MM)
        })
    };
    let is_frame = |index: usize| {
        let frame = &candidates[index];
        if !is_rectangle(&frame.ring.segments()) || candidates.len() < 2 {
            return false;
        }
        let held: BTreeSet<usize> = candidates
            .iter()
            .enumerate()
            .filter(|(other, held)| *other != index && frame.polygon.holds(&held.polygon))
            .map(|(_, held)| held.group)
            .collect();
        held.iter().filter(|group| **group != frame.group).count() >= 2
            || (is_page(frame.polygon.bounds) && !held.is_empty())
    };
    (0..candidates.len()).filter(|index| is_frame(*index)).collect()
}

/// Four straight sides along the axes.
fn is_rectangle(segments: &[Segment]) -> bool {
    let straight = |segment: &Segment| match segment {
        Segment::Line(line) => {
            let along = line.p1 - line.p0;
            along.x.abs().min(along.y.abs()) <= FRAME_MM * 0.1
        }
        _ => false,
    };
    segments.len() == 4 && segments.iter().all(straight)
}

/// Names of groups that say what a line is and not which piece.
const OUTLINE_WORDS: [&str; 7] = [
    "outline",
    "seam line",
    "seamline",
    "seam",
    "cutting line",
    "contour",
    "stitching line",
];

fn piece_name(drawing: &Drawing, outline: &Candidate, census: &Census, number: u32) -> String {
    let mut group = Some(outline.group);
    while let Some(at) = group.filter(|at| *at != 0 && census.count[*at] == 1) {
        if let Some(name) = &drawing.groups[at].name
            && !OUTLINE_WORDS.contains(&name.to_lowercase().as_str())
        {
            return name.clone();
        }
        group = drawing.groups[at].parent;
    }
    let strokes: Vec<usize> = outline.ring.strokes().collect();
    let own = match strokes[..] {
        [only] => drawing.groups[outline.group].strokes[only].name.clone(),
        _ => None,
    };
    own.unwrap_or_else(|| format!("piece {number}"))
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
