//! Whether a pattern can be used: closed simple outlines the right way round, names that stand for something,
//! numbers that cloth could have.
//!
//! Every fault of a pattern is told at once, so that a person mends a file in one go; where a piece has
//! numbers that are none, only those are told of it, as nothing else can be measured.

mod measures;
mod numbers;
mod outline;
mod seams;

pub(crate) use outline::signed_area;

use super::fault::{FaultKind, Part, PatternFault};
use super::{Cutting, Edge, EdgeRole, HowCut, Pattern, Piece, Seam, SizeId, SizedPiece};
use crate::geometry::Length;
use crate::geometry::tolerance::JOIN_MM;
use std::collections::BTreeSet;

/// Largest allowance, in mm: no hem is turned up by more than half a metre.
pub const LARGEST_ALLOWANCE_MM: f64 = 500.0;

/// How far a notch may lie past the end of its edge, in mm, for rounding in a file.
const NOTCH_SLACK_MM: f64 = JOIN_MM;

impl Pattern {
    /// Every fault that keeps the pattern from being used; none is a good answer.
    #[must_use]
    pub fn faults(&self) -> Vec<PatternFault> {
        let mut faults = Vec::new();
        self.check_lists(&mut faults);
        for sized in &self.pieces {
            self.check_sized(sized, &mut faults);
        }
        if faults.is_empty() {
            for seam in &self.seams {
                seams::check_seam(self, seam, &mut faults);
            }
            measures::check_bodies(self, &mut faults);
            measures::check_measures(self, &mut faults);
        }
        faults
    }

    fn check_lists(&self, faults: &mut Vec<PatternFault>) {
        let mut say = |part, kind| faults.push(fault(None, None, part, kind));
        if self.sizes.is_empty() {
            say(Part::Sizes, FaultKind::None("size"));
        }
        if self.pieces.is_empty() {
            say(Part::Whole, FaultKind::None("piece"));
        }
        for length in [&self.allowance, &self.hem_allowance] {
            if let Some(kind) = bad_allowance(length) {
                say(Part::Allowance, kind);
            }
        }
        if let Some(kind) = names_fault("size", self.sizes.iter().map(SizeId::as_str)) {
            say(Part::Sizes, kind);
        }
        if let Some(kind) = names_fault("seam", self.seams.iter().map(|seam| seam.id.as_str())) {
            say(seam_named(self, &kind), kind);
        }
        if let Some(kind) = names_fault("piece", self.pieces.iter().map(|piece| piece.id.as_str())) {
            let piece = duplicate_name(&kind).map(Into::into);
            faults.push(fault(piece, None, Part::Whole, kind));
        }
        let mut numbers = BTreeSet::new();
        for sized in &self.pieces {
            if let Some(first) = sized.by_size.first()
                && !numbers.insert(first.number)
            {
                let kind = FaultKind::Duplicate { what: "piece number", name: first.number.to_string() };
                faults.push(fault(Some(sized.id.clone()), None, Part::Whole, kind));
            }
        }
    }

    fn check_sized(&self, sized: &SizedPiece, faults: &mut Vec<PatternFault>) {
        for (index, size) in self.sizes.iter().enumerate() {
            let Some(piece) = sized.by_size.get(index) else {
                let kind = FaultKind::SizeMissing(size.clone());
                faults.push(fault(Some(sized.id.clone()), None, Part::Whole, kind));
                continue;
            };
            if let Some(first) = sized.by_size.first().filter(|_| index > 0)
                && let Some(what) = made_otherwise(first, piece)
            {
                let kind = FaultKind::SizesDiffer(what);
                faults.push(fault(Some(sized.id.clone()), Some(size.clone()), Part::Whole, kind));
                continue;
            }
            faults.extend(piece.faults(Some(size), index == 0));
        }
    }
}

impl Piece {
    /// Every fault of the piece by itself. What is the same in all sizes (names, roles, the cutting list) is
    /// only looked at when `whole` is set.
    #[must_use]
    pub(crate) fn faults(&self, size: Option<&SizeId>, whole: bool) -> Vec<PatternFault> {
        let mut faults = Vec::new();
        if whole {
            self.check_names(&mut faults);
        }
        let numbers = numbers::numbers_fault(self);
        if let Some((part, kind)) = numbers {
            faults.push(fault(Some(self.id.clone()), size.cloned(), part, kind));
            return faults;
        }
        let mut say = |part, kind| faults.push(fault(Some(self.id.clone()), size.cloned(), part, kind));
        for (part, kind) in [outline::outline_fault(self), outline::fold_fault(self)].into_iter().flatten() {
            say(part, kind);
        }
        for notch in &self.notches {
            if let Some(edge) = self.edge(&notch.edge) {
                let length_mm = edge.curve.length();
                if notch.distance < -NOTCH_SLACK_MM || notch.distance > length_mm + NOTCH_SLACK_MM {
                    let kind = FaultKind::NotchBeyondEdge {
                        edge: edge.id.clone(),
                        distance_mm: notch.distance,
                        length_mm,
                    };
                    say(Part::Notch(notch.id.clone()), kind);
                }
            }
        }
        if self.grainline.from.distance(self.grainline.to) <= JOIN_MM {
            say(Part::Grainline, FaultKind::NoLength);
        }
        for balance in &self.balance_lines {
            if balance.line.p0.distance(balance.line.p1) <= JOIN_MM {
                say(Part::BalanceLine(balance.id.clone()), FaultKind::NoLength);
            }
        }
        if !self.traces.is_empty() {
            say(Part::Whole, FaultKind::Altered);
        }
        faults
    }

    fn check_names(&self, faults: &mut Vec<PatternFault>) {
        let mut say = |part, kind| faults.push(fault(Some(self.id.clone()), None, part, kind));
        if self.number == 0 {
            say(Part::Whole, FaultKind::Zero("the piece's number"));
        }
        if self.cuttings.is_empty() {
            say(Part::Cuttings, FaultKind::None("cutting"));
        }
        if self.cuttings.iter().any(|cutting| cutting.count == 0) {
            say(Part::Cuttings, FaultKind::Zero("the count of a cutting"));
        }
        let on_fold = |cutting: &Cutting| matches!(cutting.how, HowCut::OnFold | HowCut::OpenedOut);
        if self.cuttings.iter().any(on_fold) && self.fold().is_none() {
            say(Part::Cuttings, FaultKind::NoFold);
        }
        if self.edges.is_empty() {
            say(Part::Whole, FaultKind::None("edge"));
        }
        let edge_names = self.edges.iter().map(|edge| edge.id.as_str());
        if let Some(kind) = names_fault("edge", edge_names) {
            let edge = duplicate_name(&kind).map_or(Part::Whole, |name| Part::Edge(name.into()));
            say(edge, kind);
        }
        if let Some(kind) = names_fault("corner", self.edges.iter().map(|edge| edge.from.as_str())) {
            say(Part::Whole, kind);
        }
        for (index, edge) in self.edges.iter().enumerate() {
            let next = &self.edges[(index + 1) % self.edges.len()];
            if edge.to != next.from {
                let kind = FaultKind::CornersDiffer {
                    to: edge.to.to_string(),
                    next: next.id.clone(),
                    next_from: next.from.to_string(),
                };
                say(Part::Edge(edge.id.clone()), kind);
            }
            if let Some(kind) = edge.allowance.as_ref().and_then(bad_allowance) {
                say(Part::Edge(edge.id.clone()), kind);
            }
            if let EdgeRole::DartMouth(dart) = &edge.role
                && self.dart(dart).is_none()
            {
                let names = self.darts.iter().map(|dart| dart.id.as_str());
                say(Part::Edge(edge.id.clone()), unknown("dart", dart.as_str(), names));
            }
        }
        self.check_marks(&mut say);
    }

    fn check_marks(&self, say: &mut impl FnMut(Part, FaultKind)) {
        if let Some(kind) = names_fault("notch", self.notches.iter().map(|notch| notch.id.as_str())) {
            let part = duplicate_name(&kind).map_or(Part::Whole, |name| Part::Notch(name.into()));
            say(part, kind);
        }
        for notch in &self.notches {
            let part = Part::Notch(notch.id.clone());
            match self.edge(&notch.edge) {
                None => {
                    let names = self.edges.iter().map(|edge| edge.id.as_str());
                    say(part, unknown("edge", notch.edge.as_str(), names));
                }
                Some(edge) if notch.corner != edge.from && notch.corner != edge.to => say(
                    part,
                    FaultKind::NotchCorner {
                        corner: notch.corner.to_string(),
                        edge: edge.id.clone(),
                        from: edge.from.to_string(),
                        to: edge.to.to_string(),
                    },
                ),
                Some(_) => {}
            }
        }
        if let Some(kind) = names_fault("dart", self.darts.iter().map(|dart| dart.id.as_str())) {
            let part = duplicate_name(&kind).map_or(Part::Whole, |name| Part::Dart(name.into()));
            say(part, kind);
        }
        for dart in &self.darts {
            let is_mouth = |edge: &&Edge| matches!(&edge.role, EdgeRole::DartMouth(id) if *id == dart.id);
            let mut mouths = self.edges.iter().filter(is_mouth);
            let part = Part::Dart(dart.id.clone());
            match (mouths.next(), mouths.next()) {
                (None, _) => say(part, FaultKind::NoMouth(dart.id.clone())),
                (_, Some(_)) => say(part, FaultKind::TwoMouths(dart.id.clone())),
                (Some(mouth), None)
                    if dart.pressed_toward != mouth.from && dart.pressed_toward != mouth.to =>
                {
                    say(
                        part,
                        FaultKind::PressedElsewhere {
                            corner: dart.pressed_toward.to_string(),
                            from: mouth.from.to_string(),
                            to: mouth.to.to_string(),
                        },
                    );
                }
                _ => {}
            }
        }
        let names = self.balance_lines.iter().map(|line| line.id.as_str());
        if let Some(kind) = names_fault("balance line", names) {
            let part = duplicate_name(&kind).map_or(Part::Whole, |name| Part::BalanceLine(name.into()));
            say(part, kind);
        }
    }
}

pub(super) fn fault(
    piece: Option<super::PieceId>,
    size: Option<SizeId>,
    part: Part,
    kind: FaultKind,
) -> PatternFault {
    PatternFault { piece, size, part, kind }
}

/// The first name of a list that is empty or there twice.
fn names_fault<'a>(what: &'static str, names: impl Iterator<Item = &'a str>) -> Option<FaultKind> {
    let mut seen = BTreeSet::new();
    for name in names {
        if name.trim().is_empty() {
            return Some(FaultKind::NoName(what));
        }
        if !seen.insert(name) {
            return Some(FaultKind::Duplicate { what, name: name.to_owned() });
        }
    }
    None
}

fn duplicate_name(kind: &FaultKind) -> Option<&str> {
    match kind {
        FaultKind::Duplicate { name, .. } => Some(name),
        _ => None,
    }
}

fn seam_named(pattern: &Pattern, kind: &FaultKind) -> Part {
    let named = |seam: &&Seam| duplicate_name(kind) == Some(seam.id.as_str());
    let seam = pattern.seams.iter().find(named);
    seam.map_or(Part::Whole, |seam| Part::Seam(seam.id.clone()))
}

/// A name that stands for nothing, with the closest one that does.
pub(super) fn unknown<'a>(what: &'static str, name: &str, known: impl Iterator<Item = &'a str>) -> FaultKind {
    FaultKind::Unknown { what, name: name.to_owned(), like: closest(name, known) }
}

/// The name most like a misspelt one, if any is alike at all.
pub(super) fn closest<'a>(name: &str, known: impl Iterator<Item = &'a str>) -> Option<String> {
    /// Names less alike than this are no misspelling of each other (Jaro–Winkler, 1 is equal).
    const ALIKE: f64 = 0.75;
    known
        .map(|candidate| (strsim::jaro_winkler(name, candidate), candidate))
        .filter(|(likeness, _)| *likeness >= ALIKE)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, candidate)| candidate.to_owned())
}

fn bad_allowance(length: &Length) -> Option<FaultKind> {
    let within = (0.0..=LARGEST_ALLOWANCE_MM).contains(&length.mm());
    (!within).then(|| FaultKind::BadAllowance(length.clone()))
}

/// What differs between two sizes of a piece beside shapes.
fn made_otherwise(first: &Piece, other: &Piece) -> Option<&'static str> {
    let edges = |piece: &Piece| -> Vec<_> {
        let named = |edge: &Edge| {
            let (id, from, to) = (edge.id.clone(), edge.from.clone(), edge.to.clone());
            (id, from, to, edge.role.clone(), edge.allowance.clone())
        };
        piece.edges.iter().map(named).collect()
    };
    let notches = |piece: &Piece| -> Vec<_> {
        let named =
            |notch: &super::Notch| (notch.id.clone(), notch.edge.clone(), notch.corner.clone(), notch.kind);
        piece.notches.iter().map(named).collect()
    };
    let darts = |piece: &Piece| -> Vec<_> {
        let named = |dart: &super::Dart| (dart.id.clone(), dart.pressed_toward.clone());
        piece.darts.iter().map(named).collect()
    };
    let lines =
        |piece: &Piece| -> Vec<_> { piece.balance_lines.iter().map(|line| line.id.clone()).collect() };
    [
        ((&first.id, first.number) != (&other.id, other.number), "name and number"),
        (first.cuttings != other.cuttings, "cuttings"),
        (edges(first) != edges(other), "edges"),
        (notches(first) != notches(other), "notches"),
        (darts(first) != darts(other), "darts"),
        (lines(first) != lines(other), "balance lines"),
    ]
    .into_iter()
    .find_map(|(differs, what)| differs.then_some(what))
}
