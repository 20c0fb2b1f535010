//! From the file's types to the pattern.

use super::shape::{CurveTwin, point};
use super::{
    BalanceTwin, DartTwin, DrawnDart, DrawnNotch, DrawnTwin, HoleTwin, NotchTwin, PatternTwin, PieceTwin,
    TextTwin,
};
use crate::geometry::Line;
use crate::pattern::validate::{fault, unknown};
use crate::pattern::{
    BalanceLine, Dart, DrillHole, Edge, FaultKind, Grainline, InnerLine, Notch, Part, Pattern, PatternFault,
    Piece, PrintedText, SizeId, SizedPiece,
};
use std::collections::BTreeSet;
use std::sync::Arc;

impl PatternTwin {
    /// The pattern of a file. Faults that a pattern can have but a list of names cannot are found later.
    pub(in crate::pattern::file) fn to_pattern(&self) -> Result<Pattern, Box<PatternFault>> {
        if let Some(name) = repeated(self.sizes.iter().map(SizeId::as_str)) {
            let kind = FaultKind::Duplicate { what: "size", name };
            return Err(Box::new(fault(None, None, Part::Sizes, kind)));
        }
        let pieces: Result<_, _> = self.pieces.iter().map(|piece| piece.to_sized(&self.sizes)).collect();
        Ok(Pattern {
            name: self.name.clone(),
            sizes: self.sizes.clone(),
            pieces: pieces?,
            seams: self.seams.clone(),
            allowance: self.allowance.clone(),
            hem_allowance: self.hem_allowance.clone(),
            bodies: self.bodies.clone(),
            measures: self.measures.clone(),
        })
    }
}

impl PieceTwin {
    fn to_sized(&self, sizes: &[SizeId]) -> Result<SizedPiece, Box<PatternFault>> {
        let say = |size: Option<&SizeId>, kind| {
            let fault = fault(Some(self.id.clone()), size.cloned(), Part::Whole, kind);
            Err(Box::new(fault))
        };
        for (index, drawn) in self.drawn.iter().enumerate() {
            let size = Some(&drawn.size);
            if !sizes.contains(&drawn.size) {
                let kind = unknown("size", drawn.size.as_str(), sizes.iter().map(SizeId::as_str));
                return say(size, kind);
            }
            if self.drawn[..index].iter().any(|earlier| earlier.size == drawn.size) {
                let name = drawn.size.to_string();
                return say(size, FaultKind::Duplicate { what: "size", name });
            }
        }
        if let Some((part, kind)) = self.named_twice() {
            return Err(Box::new(fault(Some(self.id.clone()), None, part, kind)));
        }
        let mut by_size = Vec::new();
        for size in sizes {
            let Some(drawn) = self.drawn.iter().find(|drawn| drawn.size == *size) else {
                return say(None, FaultKind::SizeMissing(size.clone()));
            };
            by_size.push(Arc::new(self.to_piece(drawn)?));
        }
        Ok(SizedPiece { id: self.id.clone(), by_size })
    }

    /// A name that stands twice in the lists by which shapes are found.
    fn named_twice(&self) -> Option<(Part, FaultKind)> {
        let edges = self.edges.iter().map(|edge| edge.id.as_str());
        let notches = self.notches.iter().map(|notch| notch.id.as_str());
        let darts = self.darts.iter().map(|dart| dart.id.as_str());
        if let Some(name) = repeated(edges) {
            return Some((Part::Edge(name.as_str().into()), FaultKind::Duplicate { what: "edge", name }));
        }
        if let Some(name) = repeated(notches) {
            return Some((Part::Notch(name.as_str().into()), FaultKind::Duplicate { what: "notch", name }));
        }
        let name = repeated(darts)?;
        Some((Part::Dart(name.as_str().into()), FaultKind::Duplicate { what: "dart", name }))
    }

    fn to_piece(&self, drawn: &DrawnTwin) -> Result<Piece, Box<PatternFault>> {
        let say = |part, kind| Box::new(fault(Some(self.id.clone()), Some(drawn.size.clone()), part, kind));
        let edge_names: Vec<_> = self.edges.iter().map(|edge| edge.id.as_str()).collect();
        let drawn_edges = by_name("edge", &edge_names, &drawn.edges, |row| row.edge.as_str())
            .map_err(|(name, kind)| say(Part::Edge(name.into()), kind))?;
        let notch_names: Vec<_> = self.notches.iter().map(|notch| notch.id.as_str()).collect();
        let drawn_notches = by_name("notch", &notch_names, &drawn.notches, |row| row.notch.as_str())
            .map_err(|(name, kind)| say(Part::Notch(name.into()), kind))?;
        let dart_names: Vec<_> = self.darts.iter().map(|dart| dart.id.as_str()).collect();
        let drawn_darts = by_name("dart", &dart_names, &drawn.darts, |row| row.dart.as_str())
            .map_err(|(name, kind)| say(Part::Dart(name.into()), kind))?;
        let mut edges = Vec::new();
        for (edge, shape) in self.edges.iter().zip(drawn_edges) {
            let curve = CurveTwin { start: shape.start, path: &shape.path };
            let curve = curve.to_curve().map_err(|kind| say(Part::Edge(edge.id.clone()), kind))?;
            edges.push(Edge {
                id: edge.id.clone(),
                from: edge.from.clone(),
                to: edge.to.clone(),
                role: edge.role.clone(),
                allowance: edge.allowance.clone(),
                curve,
            });
        }
        let mut inner_lines = Vec::new();
        for line in &drawn.inner_lines {
            let curve = CurveTwin { start: line.start, path: &line.path };
            inner_lines.push(InnerLine {
                name: line.name.clone(),
                curve: curve.to_curve().map_err(|kind| say(Part::InnerLine(line.name.clone()), kind))?,
            });
        }
        let notch = |(notch, shape): (&NotchTwin, &DrawnNotch)| Notch {
            id: notch.id.clone(),
            edge: notch.edge.clone(),
            corner: notch.from.clone(),
            distance: shape.distance,
            kind: notch.kind,
        };
        let dart = |(dart, shape): (&DartTwin, &DrawnDart)| Dart {
            id: dart.id.clone(),
            apex: point(shape.apex),
            pressed_toward: dart.pressed_toward.clone(),
        };
        let balance = |line: &BalanceTwin| BalanceLine {
            id: line.id.clone(),
            line: Line::new(point(line.from), point(line.to)),
        };
        let hole = |hole: &HoleTwin| DrillHole { name: hole.name.clone(), at: point(hole.at) };
        let text = |text: &TextTwin| PrintedText {
            words: text.words.clone(),
            at: point(text.at),
            height_mm: text.height,
        };
        Ok(Piece {
            id: self.id.clone(),
            number: self.number,
            cuttings: self.cuttings.clone(),
            edges,
            notches: self.notches.iter().zip(drawn_notches).map(notch).collect(),
            darts: self.darts.iter().zip(drawn_darts).map(dart).collect(),
            grainline: Grainline { from: point(drawn.grainline.from), to: point(drawn.grainline.up) },
            balance_lines: drawn.balance_lines.iter().map(balance).collect(),
            drill_holes: drawn.drill_holes.iter().map(hole).collect(),
            inner_lines,
            texts: drawn.texts.iter().map(text).collect(),
            traces: Vec::new(),
        })
    }
}

/// The first name that was there before.
fn repeated<'a>(names: impl Iterator<Item = &'a str>) -> Option<String> {
    let mut seen = BTreeSet::new();
    let mut names = names;
    names.find(|name| !seen.insert(*name)).map(ToOwned::to_owned)
}

/// Rows of one size in the order of the piece's names: each name once, and no other.
fn by_name<'a, T>(
    what: &'static str,
    names: &[&str],
    rows: &'a [T],
    name_of: impl Fn(&T) -> &str,
) -> Result<Vec<&'a T>, (String, FaultKind)> {
    for (index, row) in rows.iter().enumerate() {
        let name = name_of(row);
        let kind = if !names.contains(&name) {
            unknown(what, name, names.iter().copied())
        } else if rows[..index].iter().any(|earlier| name_of(earlier) == name) {
            FaultKind::Duplicate { what, name: name.to_owned() }
        } else {
            continue;
        };
        return Err((name.to_owned(), kind));
    }
    names
        .iter()
        .map(|name| {
            rows.iter().find(|row| name_of(row) == *name).ok_or_else(|| {
                let name = (*name).to_owned();
                (name.clone(), FaultKind::ShapeMissing { what, name })
            })
        })
        .collect()
}
