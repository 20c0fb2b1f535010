//! The cutting walked through in order before the first cut: which copy comes when, through how many plies, what is
//! cut and what must wait, and why.

use super::{CutState, OpenGarment};
use crate::finding::Severity;
use crate::lay::{BarOrder, Failing, Match, Place, matches};
use crate::pattern::{ClothKind, HowCut, Piece, PieceId};
use kurbo::Shape as _;

/// One place of the lay in the order of cutting.
#[derive(Debug, Clone, PartialEq)]
pub struct RehearsalStep {
    /// Its number in the lay, from 0.
    pub place: usize,
    /// Which it is: “2 of 7: back 1”.
    pub title: String,
    /// How it lies, what is cut and marked, and what it is matched to; sentences.
    pub words: Vec<String>,
    /// Why it must not be cut yet.
    pub waits: Option<String>,
}

/// Every place of the lay, in the lay's order.
#[must_use]
pub fn rehearsal(open: &OpenGarment) -> Vec<RehearsalStep> {
    let plan = open.plan();
    let laid = open.evaluated().laid(plan);
    let copies = laid.map(|laid| laid.copies_cut()).unwrap_or_default();
    let matched = laid.map(|laid| matches(&laid)).unwrap_or_default();
    let count = plan.lay.len();
    let steps = plan.lay.iter().enumerate().filter_map(|(index, place)| {
        let piece = open.evaluated().piece(&place.piece)?;
        let of_place = copies.get(index).cloned().unwrap_or_else(|| vec![place.copy]);
        let mut words = vec![lies(place, plan.on_table, &piece.altered, &of_place)];
        words.push(cut_words(&piece.altered, piece.margins().len()));
        let earlier = |id: &PieceId, copy: u32| {
            plan.lay[..index]
                .iter()
                .zip(&copies)
                .any(|(known, cut)| &known.piece == id && cut.contains(&copy))
        };
        words.extend(matched.iter().filter_map(|found| matched_words(found, place, &of_place, &earlier)));
        match open.state_of(&place.piece, place.copy) {
            Some(CutState::Cut) => words.push("It is cut already, and not marked.".to_owned()),
            Some(CutState::Marked) => words.push("It is cut and marked already.".to_owned()),
            None => {}
        }
        let title = format!("{} of {count}: {} {}", index + 1, place.piece, numbers(&of_place));
        Some(RehearsalStep { place: index, title, words, waits: open.why_not_cut(&place.piece) })
    });
    steps.collect()
}

/// Places in the order in which a blade meets them along the cloth, from the cut end.
#[must_use]
pub fn along_the_cloth(open: &OpenGarment, mut places: Vec<Place>) -> Vec<Place> {
    let begins = |place: &Place| {
        let piece = open.evaluated().piece(&place.piece);
        let bounds = piece.map(|piece| {
            let path = piece.cutting_path.clone().unwrap_or_else(|| piece.altered.outline());
            (place.cloth_from_piece(&piece.altered) * path).bounding_box()
        });
        bounds.map_or((place.at.x, place.at.y), |bounds| (bounds.x0, bounds.y0))
    };
    places.sort_by(|a, b| {
        let (a, b) = (begins(a), begins(b));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    places
}

impl OpenGarment {
    /// Why a piece must not be cut yet: it is stale, or something that stops the cutting is the matter with it.
    #[must_use]
    pub fn why_not_cut(&self, piece: &PieceId) -> Option<String> {
        if self.evaluated().stale.contains(piece) {
            return Some(format!("“{piece}” is stale: its mate was altered and it was not"));
        }
        let mut findings = self.evaluated().findings.iter();
        let stops =
            |severity: Severity, of: Option<&PieceId>| severity == Severity::Stop && of == Some(piece);
        findings.find(|found| stops(found.severity, found.piece.as_ref())).map(|found| found.what.clone())
    }
}

fn numbers(copies: &[u32]) -> String {
    let numbers: Vec<String> = copies.iter().map(ToString::to_string).collect();
    numbers.join(" and ")
}

/// “As drawn, its top towards the far end; single ply.”
fn lies(place: &Place, cloth: ClothKind, piece: &Piece, copies: &[u32]) -> String {
    let how = piece.cuttings.iter().find(|cutting| cutting.cloth == cloth);
    let way = match how.map(|cutting| cutting.how) {
        Some(HowCut::OnFold) => "On the fold",
        Some(HowCut::OpenedOut) => "Opened out",
        _ if place.mirrored => "Turned over",
        _ => "As drawn",
    };
    let up = place.up_on_cloth();
    let top = if up.x.abs() < up.y.abs() {
        "its top across the cloth"
    } else if up.x > 0.0 {
        "its top away from the cut end"
    } else {
        "its top towards the cut end"
    };
    let plies = match copies.len() {
        0 | 1 => "one ply".to_owned(),
        _ => format!("two plies: copies {} at once", numbers(copies)),
    };
    format!("{way}, {top}; {plies}.")
}

/// “Cut 12 edges; then mark 4 notches, 1 dart.”
fn cut_words(piece: &Piece, margins: usize) -> String {
    let count = |number: usize, one: &str, more: &str| match number {
        0 => None,
        1 => Some(format!("1 {one}")),
        number => Some(format!("{number} {more}")),
    };
    let marks: Vec<String> = [
        count(piece.notches.len(), "notch", "notches"),
        count(piece.darts.len(), "dart", "darts"),
        count(piece.drill_holes.len(), "drill hole", "drill holes"),
        count(piece.inner_lines.len(), "line", "lines"),
    ]
    .into_iter()
    .flatten()
    .collect();
    let fold = if piece.fold().is_some() { ", but not along the fold" } else { "" };
    let margin = if margins > 0 { "; leave the margin zone untrimmed" } else { "" };
    let mark = if marks.is_empty() { String::new() } else { format!("; then mark {}", marks.join(", ")) };
    format!("Cut along the cutting line{fold}{margin}{mark}.")
}

/// How the print agrees with a mate that is cut before.
fn matched_words(
    found: &Match,
    place: &Place,
    copies: &[u32],
    earlier: &dyn Fn(&PieceId, u32) -> bool,
) -> Option<String> {
    let own = |piece: &PieceId, copy: u32| piece == &place.piece && copies.contains(&copy);
    let (first, second) = (&found.first, &found.second);
    let mate = if own(&first.piece, first.copy) && earlier(&second.piece, second.copy) {
        second
    } else if own(&second.piece, second.copy) && earlier(&first.piece, first.copy) {
        first
    } else {
        return None;
    };
    if found.failing.iter().any(|failing| matches!(failing, Failing::TopsMeet { .. })) {
        return None;
    }
    let across = found.across_mm.filter(|_| !matches!(found.order, BarOrder::Breaks(_)));
    let off = [found.along_mm, across].into_iter().flatten().map(f64::abs).fold(0.0, f64::max);
    let how = if found.agrees() { "matches" } else { "does not match" };
    Some(format!("At {} it {how} {} {}: off by {off:.1} mm.", found.at, mate.piece, mate.copy))
}
