//! From a pattern to the file's types.

use super::shape::{rounded, stretches, xy};
use super::{
    BalanceTwin, DartTwin, DrawnDart, DrawnEdge, DrawnNotch, DrawnTwin, EdgeTwin, GrainTwin, HoleTwin,
    InnerTwin, NotchTwin, PatternTwin, PieceTwin, TextTwin,
};
use crate::pattern::file::{FORMAT, VERSION};
use crate::pattern::{
    BalanceLine, Dart, DrillHole, Edge, InnerLine, Notch, Pattern, Piece, PrintedText, SizeId, SizedPiece,
};

impl PatternTwin {
    /// The file of a pattern.
    pub(in crate::pattern::file) fn of(pattern: &Pattern) -> Self {
        Self {
            format: FORMAT.to_owned(),
            version: VERSION,
            name: pattern.name.clone(),
            sizes: pattern.sizes.clone(),
            allowance: pattern.allowance.clone(),
            hem_allowance: pattern.hem_allowance.clone(),
            pieces: pattern.pieces.iter().map(|sized| PieceTwin::of(sized, &pattern.sizes)).collect(),
            seams: pattern.seams.clone(),
            bodies: pattern.bodies.clone(),
            measures: pattern.measures.clone(),
        }
    }
}

impl PieceTwin {
    fn of(sized: &SizedPiece, sizes: &[SizeId]) -> Self {
        let drawn = sizes.iter().zip(&sized.by_size);
        let drawn = drawn.map(|(size, piece)| DrawnTwin::of(size, piece)).collect();
        let Some(first) = sized.by_size.first() else {
            return Self {
                id: sized.id.clone(),
                number: 0,
                cuttings: Vec::new(),
                edges: Vec::new(),
                notches: Vec::new(),
                darts: Vec::new(),
                drawn,
            };
        };
        let edge = |edge: &Edge| EdgeTwin {
            id: edge.id.clone(),
            from: edge.from.clone(),
            to: edge.to.clone(),
            role: edge.role.clone(),
            allowance: edge.allowance.clone(),
        };
        let notch = |notch: &Notch| NotchTwin {
            id: notch.id.clone(),
            edge: notch.edge.clone(),
            from: notch.corner.clone(),
            kind: notch.kind,
        };
        let dart =
            |dart: &Dart| DartTwin { id: dart.id.clone(), pressed_toward: dart.pressed_toward.clone() };
        Self {
            id: sized.id.clone(),
            number: first.number,
            cuttings: first.cuttings.clone(),
            edges: first.edges.iter().map(edge).collect(),
            notches: first.notches.iter().map(notch).collect(),
            darts: first.darts.iter().map(dart).collect(),
            drawn,
        }
    }
}

impl DrawnTwin {
    fn of(size: &SizeId, piece: &Piece) -> Self {
        let edge = |edge: &Edge| DrawnEdge {
            edge: edge.id.clone(),
            start: xy(edge.curve.start()),
            path: stretches(&edge.curve),
        };
        let notch = |notch: &Notch| DrawnNotch { notch: notch.id.clone(), distance: rounded(notch.distance) };
        let dart = |dart: &Dart| DrawnDart { dart: dart.id.clone(), apex: xy(dart.apex) };
        let balance = |balance: &BalanceLine| BalanceTwin {
            id: balance.id.clone(),
            from: xy(balance.line.p0),
            to: xy(balance.line.p1),
        };
        let hole = |hole: &DrillHole| HoleTwin { name: hole.name.clone(), at: xy(hole.at) };
        let inner = |line: &InnerLine| InnerTwin {
            name: line.name.clone(),
            start: xy(line.curve.start()),
            path: stretches(&line.curve),
        };
        let text = |text: &PrintedText| TextTwin {
            words: text.words.clone(),
            at: xy(text.at),
            height: rounded(text.height_mm),
        };
        Self {
            size: size.clone(),
            edges: piece.edges.iter().map(edge).collect(),
            notches: piece.notches.iter().map(notch).collect(),
            darts: piece.darts.iter().map(dart).collect(),
            grainline: GrainTwin { from: xy(piece.grainline.from), up: xy(piece.grainline.to) },
            balance_lines: piece.balance_lines.iter().map(balance).collect(),
            drill_holes: piece.drill_holes.iter().map(hole).collect(),
            inner_lines: piece.inner_lines.iter().map(inner).collect(),
            texts: piece.texts.iter().map(text).collect(),
        }
    }
}
