//! Whether the measures of a pattern can be taken in every size, and its bodies are bodies.

use super::super::fault::{FaultKind, Part, PatternFault};
use super::super::measure::{Measure, MeasurePath, SizeBody, Term};
use super::super::{Landmark, Pattern, Piece, SizeId};
use super::{fault, names_fault, unknown};
use std::collections::BTreeSet;

/// Faults of all measures.
pub(super) fn check_measures(pattern: &Pattern, faults: &mut Vec<PatternFault>) {
    let names = pattern.measures.iter().map(|measure| measure.id.as_str());
    if let Some(kind) = names_fault("measure", names) {
        let part = super::duplicate_name(&kind).map_or(Part::Whole, |name| Part::Measure(name.into()));
        faults.push(fault(None, None, part, kind));
    }
    for measure in &pattern.measures {
        let part = Part::Measure(measure.id.clone());
        if let Some(kind) = names_of(pattern, measure) {
            faults.push(fault(None, None, part, kind));
            continue;
        }
        let in_sizes = pattern.sizes.iter().find_map(|size| {
            let error = measure.on(&pattern.pieces_in(size)?).err()?;
            Some((size, error))
        });
        if let Some((size, error)) = in_sizes {
            faults.push(fault(None, Some(size.clone()), part, error.into()));
        }
    }
}

/// Faults of the bodies that the sizes are drafted for.
pub(super) fn check_bodies(pattern: &Pattern, faults: &mut Vec<PatternFault>) {
    let mut seen = BTreeSet::new();
    for SizeBody { size, measurements } in &pattern.bodies {
        let mut say = |kind| faults.push(fault(None, None, Part::Body(size.clone()), kind));
        if !pattern.sizes.contains(size) {
            say(unknown("size", size.as_str(), pattern.sizes.iter().map(SizeId::as_str)));
        }
        if !seen.insert(size) {
            let name = size.to_string();
            say(FaultKind::Duplicate { what: "size", name });
        }
        if let Some((of, length)) = measurements.iter().find(|(_, length)| length.mm() <= 0.0) {
            say(FaultKind::NoBody { of: of.words(), length: length.clone() });
        }
    }
}

/// A name in a measure that stands for nothing, with the closest one that does.
fn names_of(pattern: &Pattern, measure: &Measure) -> Option<FaultKind> {
    if measure.terms.is_empty() {
        return Some(FaultKind::None("term"));
    }
    measure.terms.iter().find_map(|Term { path, times }| {
        if *times == 0 {
            return Some(FaultKind::Zero("the number of times of a term"));
        }
        let id = path.piece()?;
        let Some(sized) = pattern.pieces.iter().find(|sized| &sized.id == id) else {
            let known = pattern.pieces.iter().map(|sized| sized.id.as_str());
            return Some(unknown("piece", id.as_str(), known));
        };
        let piece = sized.by_size.first()?;
        let edges = || piece.edges.iter().map(|edge| edge.id.as_str());
        if let MeasurePath::Along { run, .. } = path
            && let Some(edge) = run.edges.iter().find(|id| piece.edge(id).is_none())
        {
            return Some(unknown("edge", edge.as_str(), edges()));
        }
        path.landmarks().into_iter().find_map(|landmark| landmark_fault(piece, landmark))
    })
}

fn landmark_fault(piece: &Piece, landmark: &Landmark) -> Option<FaultKind> {
    let corners = || piece.edges.iter().map(|edge| edge.from.as_str());
    match landmark {
        Landmark::Corner(id) => piece.corner(id).is_none().then(|| unknown("corner", id.as_str(), corners())),
        Landmark::Notch(id) => {
            let mut names = piece.notches.iter().map(|notch| notch.id.as_str());
            let is_there = names.clone().any(|name| name == id.as_str());
            (!is_there).then(|| unknown("notch", id.as_str(), names.by_ref()))
        }
        Landmark::Apex(id) => {
            let names = piece.darts.iter().map(|dart| dart.id.as_str());
            piece.dart(id).is_none().then(|| unknown("dart", id.as_str(), names))
        }
        Landmark::BalanceLine(id) => {
            let names = piece.balance_lines.iter().map(|line| line.id.as_str());
            let is_there = names.clone().any(|name| name == id.as_str());
            (!is_there).then(|| unknown("balance line", id.as_str(), names))
        }
        Landmark::FromCorner { corner, edge, .. } => match piece.edge(edge) {
            None => {
                let names = piece.edges.iter().map(|edge| edge.id.as_str());
                Some(unknown("edge", edge.as_str(), names))
            }
            Some(known) if corner != &known.from && corner != &known.to => {
                Some(unknown("corner", corner.as_str(), [known.from.as_str(), known.to.as_str()].into_iter()))
            }
            Some(_) => None,
        },
    }
}
