//! 1. Sizes are told apart ([`readings`]): each is looked at by itself, together with what all share.
//! 2. In each group, closed lines and open lines that meet end to end become loops ([`chain`]).
//! 3. A loop inside another of the same group, or of a group around it, is something on the piece; every other
//!    loop is the outline of a piece. A rectangle that holds the outlines of several groups, is the page, or is the
//!    border round the pieces of a sheet ([`border`]) is a frame and left out. A loop that runs evenly inside an outline is its seam line ([`allowance`]).
//! 4. An outline is cut into edges where it turns sharply, or where lines of different names meet ([`outline`]).
//! 5. What remains goes to the piece of its group, else to the smallest outline around it, and becomes a mark by
//!    its name, else by its shape ([`marks`], [`shapes`]). The rest is inner lines. Words name the piece and say how
//!    it is cut ([`label`]).
//!
//! Groups are trusted before geometry, because pieces may lie one on the other (sizes) and a person grouped them
//! for a reason; what a format tells ([`Part`]) is trusted before both. Everything is a proposal with a confidence
//! ([`Proposal`]). Lines that cross without meeting are cut there where nothing else closes them ([`cross`]); frames
//! around words and tables are no pieces ([`text_box`]).

mod allowance;
mod border;
mod chain;
mod cross;
mod frame;
mod kinds;
mod label;
mod marks;
mod name;
mod net;
mod outline;
mod places;
mod readings;
mod shapes;
mod side_by_side;
mod text_box;
mod ties;

pub(super) use outline::role_of;
pub(super) use readings::{Proposed, rank_of_letters, readings_of, taken};
pub use readings::{Reading, SizesBy};

use super::drawing::{Drawing, Group, Part, Stroke};
use crate::finding::{Finding, Severity};
use crate::geometry::{Curve, Point};
use crate::pattern::{ClothKind, Cutting, HowCut, Piece, PieceId};
use chain::{LineId, Loop};
use kinds::GroupKinds;
use label::Label;
use places::{Census, Outside, Polygon, owner_of, tell_outside};
use readings::View;
use serde::Serialize;
use shapes::{Arrow, arrows_of};
use std::collections::{BTreeMap, BTreeSet};

/// Ends of lines closer than this are taken as joined, in mm: drawing programs leave gaps of up to a tenth, and
/// no corner of a pattern is smaller.
pub const JOIN_ENDS_MM: f64 = 0.3;

/// An outline turns by more than this at a corner, in radians (20°). Curves drawn as short straight lines turn by
/// less at each; the flattest corner of a garment, a shoulder tip or a side at the hem, by more.
pub const CORNER_TURN: f64 = 0.349;

/// Closed lines whose bounding box is smaller than this across are marks, in mm.
pub const SMALLEST_PIECE_MM: f64 = 20.0;

/// Something that was understood from the drawing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Proposal {
    /// What, in a sentence.
    pub what: String,
    /// On which piece.
    pub piece: Option<PieceId>,
    /// Where on the sheet, in mm (y up).
    #[serde(skip)]
    pub at: Option<Point>,
    /// From 0, a guess, to 1, told by the file.
    pub confidence: f64,
}

/// What was found in a drawing.
#[derive(Debug, Default)]
pub(super) struct Recognised {
    pub(super) pieces: Vec<Found>,
    pub(super) findings: Vec<Finding>,
    pub(super) proposals: Vec<Proposal>,
    outside: Vec<Outside>,
}

/// A piece as one size of a drawing shows it.
#[derive(Debug, Clone)]
pub(super) struct Found {
    pub(super) piece: Piece,
    /// The size, where the drawing tells.
    pub(super) size: Option<String>,
    /// Whether the drawing gives it a name.
    pub(super) named: bool,
    /// The number that is written on it.
    pub(super) number: Option<u32>,
    /// Whether the drawing tells how often it is cut.
    pub(super) cutting_told: bool,
}

/// A loop of the drawing and where it comes from.
struct Candidate {
    group: usize,
    ring: Loop,
    polygon: Polygon,
    /// The cutting line, where the loop is the sew line inside it.
    cutting: Option<Vec<Curve>>,
    /// Whether the file tells that.
    sewn: bool,
}

/// Finds the pieces of a drawing, each in every size that a reading shows; `set` are lines whose size a person gave; ends closer than `join_mm` are joined.
/// Stops early when `go_on` says so.
pub(super) fn pieces_of(
    drawing: &Drawing,
    reading: Option<&Proposed>,
    set: &[(LineId, String)],
    join_mm: f64,
    go_on: &dyn Fn(usize, usize) -> bool,
) -> Recognised {
    let mut all = Recognised::default();
    let views = readings::views_of(drawing, reading, set);
    let count = views.len();
    // Sizes are looked at side by side, as many at once as there are processors, and told in their order.
    let at_once = std::thread::available_parallelism().map_or(1, usize::from);
    let batches = views.chunks(at_once).enumerate().map_while(|(batch, views)| {
        go_on(batch * at_once, count).then(|| side_by_side::pieces_in_each(views, join_mm))
    });
    let mut outside = Vec::new();
    for found in batches.flatten() {
        outside.push(found.outside);
        all.pieces.extend(found.pieces);
        // What all sizes share is told once.
        let mut told: BTreeSet<String> = all.findings.iter().map(key).collect();
        all.findings.extend(found.findings.into_iter().filter(|finding| told.insert(key(finding))));
        let mut known: BTreeSet<(String, Option<PieceId>)> =
            all.proposals.iter().map(|one| (one.what.clone(), one.piece.clone())).collect();
        let new = |one: &Proposal| known.insert((one.what.clone(), one.piece.clone()));
        all.proposals.extend(found.proposals.into_iter().filter(new));
    }
    all.findings.extend(tell_outside(&views, &outside));
    all
}

fn key(finding: &Finding) -> String {
    format!("{}{:?}{:?}", finding.what, finding.piece, finding.at)
}

/// Lines of each sheet that may be part of an outline, and what the file tells of them.
fn candidates_of(
    view: &View<'_>,
    kinds: &GroupKinds,
    arrows: &[Arrow],
    join_mm: f64,
    findings: &mut Vec<Finding>,
) -> (Vec<Candidate>, BTreeSet<LineId>) {
    let drawing = &*view.drawing;
    let mut by_sheet: BTreeMap<usize, Vec<(LineId, &Stroke)>> = BTreeMap::new();
    for (at, group) in drawing.groups.iter().enumerate() {
        let lines = by_sheet.entry(view.sheets[at]).or_default();
        lines.extend(group.strokes.iter().enumerate().map(|(index, stroke)| ((at, index), stroke)));
    }
    let of_arrows: BTreeSet<LineId> = arrows.iter().flat_map(|arrow| &arrow.lines).copied().collect();
    let mut signs: Vec<Point> = arrows.iter().map(|arrow| arrow.line.p0.midpoint(arrow.line.p1)).collect();
    let mut candidates = Vec::new();
    let mut used = BTreeSet::new();
    for lines in by_sheet.values() {
        let named_grain = lines.iter().filter(|((at, _), stroke)| kinds.is_grain(*at, stroke));
        signs.extend(named_grain.map(|(_, stroke)| middle(stroke)));
        let tells = |part| lines.iter().any(|(_, stroke)| stroke.part == Some(part));
        let (outline_told, sew_told) = (tells(Part::Outline), tells(Part::SewLine));
        let told = |part: Part| -> Vec<(LineId, &Stroke)> {
            lines.iter().filter(|(_, stroke)| stroke.part == Some(part)).copied().collect()
        };
        let mut sewn = false;
        let mut rings = Vec::new();
        if outline_told && sew_told {
            rings = chain::loops(&told(Part::SewLine), &signs, join_mm, findings);
            sewn = !rings.is_empty();
        }
        if rings.is_empty() {
            let usable: Vec<(LineId, &Stroke)> = lines
                .iter()
                .filter(|(line, stroke)| {
                    let untold = outline_told && !matches!(stroke.part, Some(Part::Outline | Part::Fold));
                    !untold && !of_arrows.contains(line) && kinds.may_be_outline(line.0, stroke)
                })
                .copied()
                .collect();
            rings = chain::loops(&usable, &signs, join_mm, findings);
        }
        for ring in rings {
            let polygon = Polygon::of(&ring.segments());
            if let Some(line) = test_square(drawing, &ring) {
                findings.push(tell_test_square(&polygon));
                used.insert(line);
                continue;
            }
            if polygon.extent() >= SMALLEST_PIECE_MM {
                // Where lines of several layers meet, the one of the size has the name.
                let group = ring.lines().map(|(at, _)| at).max().unwrap_or(0);
                let cutting = sewn
                    .then(|| told(Part::Outline).iter().map(|(_, stroke)| stroke.curve.clone()).collect());
                candidates.push(Candidate { group, ring, polygon, cutting, sewn });
            }
        }
    }
    (candidates, used)
}

/// Finds the pieces of one size.
fn pieces_in(view: &View<'_>, join_mm: f64) -> Recognised {
    let mut findings = Vec::new();
    let mut proposals = Vec::new();
    let drawing = &*view.drawing;
    let size = view.size.as_deref();
    let kinds = GroupKinds::of(drawing);
    let unnamed: Vec<(LineId, &Stroke)> = kinds.unnamed(drawing);
    let arrows = arrows_of(&unnamed);
    let (candidates, mut used) = candidates_of(view, &kinds, &arrows, join_mm, &mut findings);
    let outlines = frame::outermost(drawing, &view.sheets, candidates, &arrows, &mut used, &mut findings);
    for outline in &outlines {
        used.extend(outline.ring.lines());
    }
    let census = Census::of(drawing, &view.sheets, &outlines);
    let (owners, outside) = owner_of(drawing, &kinds, &outlines, &census, &used);
    let mut names = Names::default();
    let mut pieces = Vec::new();
    let mut boxes = Vec::new();
    let mut bare = 0_usize;
    for (index, (outline, owned)) in outlines.iter().zip(&owners).enumerate() {
        let number = u32::try_from(index + 1).unwrap_or(u32::MAX);
        let label = Label::of(owned.words.iter().map(|(group, at)| &drawing.groups[*group].words[*at]));
        let held = text_box::Held { drawing, kinds: &kinds, owned, arrows: &arrows, label: &label };
        if text_box::is_text_box(outline, &held) {
            boxes.push(outline);
            continue;
        }
        // A name of blanks, or of nothing beside the size, names nothing.
        let says = |name: &String| !name.trim().is_empty();
        let called = name::piece_name(drawing, outline, &census, size).filter(says);
        let by_words = called.is_none() && label.name.as_ref().is_some_and(says);
        let called = called.or_else(|| label.name.clone().filter(says));
        let named = called.is_some();
        let name = names.unique(called.unwrap_or_else(|| format!("piece {number}")));
        let told = drawing.groups[outline.group].cutting.clone();
        let cuttings = told.map_or_else(|| label.cuttings.clone(), |told| vec![told]);
        let cutting_told = !cuttings.is_empty();
        let one = Cutting { cloth: ClothKind::Cloth, count: 1, how: HowCut::Single };
        let mut piece = Piece {
            id: name.as_str().into(),
            number,
            cuttings: if cutting_told { cuttings } else { vec![one] },
            edges: outline::edges_of(drawing, outline.group, &outline.ring, &name),
            notches: Vec::new(),
            darts: Vec::new(),
            grainline: marks::upright_grain(outline.polygon.bounds),
            balance_lines: Vec::new(),
            drill_holes: Vec::new(),
            inner_lines: Vec::new(),
            texts: Vec::new(),
            traces: Vec::new(),
        };
        let mut say = |what: String, confidence: f64| {
            let at = Some(outline.polygon.bounds.center());
            proposals.push(Proposal { what, piece: Some(piece.id.clone()), at, confidence });
        };
        let sure = match outline.ring.parts().len() {
            _ if outline.ring.is_crossed() => 0.6,
            1 => 0.95,
            _ => 0.85,
        };
        say(format!("A piece with {} edges", piece.edges.len()), sure);
        if by_words {
            say(format!("It is called “{name}” by the words on it"), 0.8);
        }
        if outline.cutting.is_some() {
            let sure = if outline.sewn { 0.98 } else { 0.8 };
            say("The inner line is the seam line, the outer one the cutting line".to_owned(), sure);
        }
        let on = marks::On { drawing, kinds: &kinds, owned, outline, arrows: &arrows, label: &label };
        marks::put_on(&mut piece, &on, &mut findings, &mut proposals);
        if let Some(cutting) = &outline.cutting {
            allowance::measure(&mut piece, cutting, &mut findings);
        }
        settle_fold(&mut piece, cutting_told, &mut findings);
        match piece.faults(None, true).first() {
            None => {
                let size = size.map(ToOwned::to_owned);
                let found = Found { piece, size, named, number: label.number, cutting_told };
                bare += usize::from(text_box::is_bare(&found, &held) && (by_words || !named));
                pieces.push(found);
            }
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
    text_box::tell(drawing, &boxes, pieces.len(), bare, &mut findings);
    Recognised { pieces, findings, proposals, outside }
}

/// A piece with a fold is cut on it, unless the drawing says that it is cut otherwise.
fn settle_fold(piece: &mut Piece, told: bool, findings: &mut Vec<Finding>) {
    let Some(at) = piece.fold().map(|edge| edge.curve.point_at(0.5 * edge.curve.length())) else {
        let mut lost = false;
        let folded = |cutting: &&mut Cutting| matches!(cutting.how, HowCut::OnFold | HowCut::OpenedOut);
        for cutting in piece.cuttings.iter_mut().filter(folded) {
            cutting.how = HowCut::Single;
            lost = true;
        }
        if lost {
            let finding = Finding::new(
                Severity::Stop,
                "The words say that the piece is cut on the fold, but which edge lies on it was not found",
                "Say which edge lies on the fold",
            );
            findings.push(finding.on(&piece.id));
        }
        return;
    };
    let several = |cutting: &Cutting| cutting.how == HowCut::Single && told && cutting.count > 1;
    let otherwise = |cutting: &Cutting| cutting.how == HowCut::MirroredPair;
    if piece.cuttings.iter().any(|cutting| several(cutting) || otherwise(cutting)) {
        let finding = Finding::new(
            Severity::Warning,
            "The piece has a fold, and the drawing says that it is cut more than once; what the drawing says was kept where it says how",
            "Check whether it is cut on the fold or as a left and a right",
        );
        findings.push(finding.on(&piece.id).at(at));
    }
    for cutting in piece.cuttings.iter_mut().filter(|cutting| cutting.how == HowCut::Single) {
        cutting.how = HowCut::OnFold;
    }
}

/// The stroke of a loop that is called a test square.
fn test_square(drawing: &Drawing, ring: &Loop) -> Option<LineId> {
    let lines: Vec<LineId> = ring.lines().collect();
    let [only] = lines[..] else { return None };
    let content: &Group = &drawing.groups[only.0];
    let tags = content.strokes[only.1].tags.to_lowercase().replace(['-', '_'], " ");
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
