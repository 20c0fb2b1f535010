//! The types of the file, apart from those of the domain, so that either can change without the other.

use super::error::TextPlace;
use super::place::{Step, locate};
use super::{FORMAT, PatternFileError, VERSION};
use crate::geometry::{Length, Line, Point, Segment};
use crate::pattern::validate::{fault, unknown};
use crate::pattern::{
    BalanceLine, BalanceLineId, CornerId, Cutting, Dart, DartId, DrillHole, Edge, EdgeId, EdgeRole,
    FaultKind, Grainline, InnerLine, Measure, Notch, NotchId, NotchKind, Part, Pattern, PatternFault, Piece,
    PieceId, PrintedText, Seam, SizeBody, SizeId, SizedPiece,
};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

mod shape;
use shape::{CurveTwin, StretchTwin, XY, point, xy};

/// RON as this format uses it: an allowance may be written without `Some(…)`.
pub(super) fn options() -> ron::Options {
    ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
}

/// What every version of the format begins with.
#[derive(Deserialize)]
struct Header {
    format: String,
    version: i64,
}

/// Refuses another format or version before its unknown fields are stumbled over.
pub(super) fn check_header(text: &str, origin: &str) -> Result<(), PatternFileError> {
    // A header that cannot be read is told by the reading of the whole, which sees more.
    let Ok(header) = options().from_str::<Header>(text) else {
        return Ok(());
    };
    let place = |field| TextPlace::at(text, locate(text, &[Step::Field(field)]).unwrap_or(0));
    let origin = origin.to_owned();
    if header.format != FORMAT {
        return Err(PatternFileError::NotAPattern {
            origin,
            place: place("format"),
            found: header.format,
        });
    }
    if header.version != i64::from(VERSION) {
        return Err(PatternFileError::UnknownVersion {
            origin,
            place: place("version"),
            found: header.version,
        });
    }
    Ok(())
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PatternTwin {
    pub(super) format: String,
    pub(super) version: u32,
    pub(super) name: String,
    pub(super) sizes: Vec<SizeId>,
    pub(super) allowance: Length,
    pub(super) hem_allowance: Length,
    pub(super) pieces: Vec<PieceTwin>,
    #[serde(default)]
    pub(super) seams: Vec<Seam>,
    #[serde(default)]
    pub(super) bodies: Vec<SizeBody>,
    #[serde(default)]
    pub(super) measures: Vec<Measure>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PieceTwin {
    pub(super) id: PieceId,
    pub(super) number: u32,
    pub(super) cuttings: Vec<Cutting>,
    pub(super) edges: Vec<EdgeTwin>,
    #[serde(default)]
    pub(super) notches: Vec<NotchTwin>,
    #[serde(default)]
    pub(super) darts: Vec<DartTwin>,
    pub(super) drawn: Vec<DrawnTwin>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct EdgeTwin {
    id: EdgeId,
    from: CornerId,
    to: CornerId,
    role: EdgeRole,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    allowance: Option<Length>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct NotchTwin {
    id: NotchId,
    edge: EdgeId,
    from: CornerId,
    kind: NotchKind,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct DartTwin {
    id: DartId,
    pressed_toward: CornerId,
}

/// The shapes of a piece in one size.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct DrawnTwin {
    pub(super) size: SizeId,
    pub(super) edges: Vec<DrawnEdge>,
    #[serde(default)]
    pub(super) notches: Vec<DrawnNotch>,
    #[serde(default)]
    pub(super) darts: Vec<DrawnDart>,
    pub(super) grainline: GrainTwin,
    #[serde(default)]
    pub(super) balance_lines: Vec<BalanceTwin>,
    #[serde(default)]
    pub(super) drill_holes: Vec<HoleTwin>,
    #[serde(default)]
    pub(super) inner_lines: Vec<InnerTwin>,
    #[serde(default)]
    pub(super) texts: Vec<TextTwin>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct DrawnEdge {
    edge: EdgeId,
    start: XY,
    path: Vec<StretchTwin>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct DrawnNotch {
    notch: NotchId,
    distance: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct DrawnDart {
    dart: DartId,
    apex: XY,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct GrainTwin {
    from: XY,
    up: XY,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BalanceTwin {
    id: BalanceLineId,
    from: XY,
    to: XY,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct HoleTwin {
    name: String,
    at: XY,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct InnerTwin {
    name: String,
    start: XY,
    path: Vec<StretchTwin>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TextTwin {
    words: String,
    at: XY,
    height: f64,
}

impl PatternTwin {
    /// The file of a pattern.
    pub(super) fn of(pattern: &Pattern) -> Self {
        Self {
            format: FORMAT.to_owned(),
            version: VERSION,
            name: pattern.name.clone(),
            sizes: pattern.sizes.clone(),
            allowance: pattern.allowance.clone(),
            hem_allowance: pattern.hem_allowance.clone(),
            pieces: pattern
                .pieces
                .iter()
                .map(|sized| PieceTwin::of(sized, &pattern.sizes))
                .collect(),
            seams: pattern.seams.clone(),
            bodies: pattern.bodies.clone(),
            measures: pattern.measures.clone(),
        }
    }

    /// The pattern of a file. Faults that a pattern can have but a list of names cannot are found later.
    pub(super) fn to_pattern(&self) -> Result<Pattern, Box<PatternFault>> {
        if let Some(name) = repeated(self.sizes.iter().map(SizeId::as_str)) {
            let kind = FaultKind::Duplicate { what: "size", name };
            return Err(Box::new(fault(None, None, Part::Sizes, kind)));
        }
        let pieces: Result<_, _> = self
            .pieces
            .iter()
            .map(|piece| piece.to_sized(&self.sizes))
            .collect();
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
        let dart = |dart: &Dart| DartTwin {
            id: dart.id.clone(),
            pressed_toward: dart.pressed_toward.clone(),
        };
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
            if self.drawn[..index]
                .iter()
                .any(|earlier| earlier.size == drawn.size)
            {
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
        Ok(SizedPiece {
            id: self.id.clone(),
            by_size,
        })
    }

    /// A name that stands twice in the lists by which shapes are found.
    fn named_twice(&self) -> Option<(Part, FaultKind)> {
        let edges = self.edges.iter().map(|edge| edge.id.as_str());
        let notches = self.notches.iter().map(|notch| notch.id.as_str());
        let darts = self.darts.iter().map(|dart| dart.id.as_str());
        if let Some(name) = repeated(edges) {
            return Some((
                Part::Edge(name.as_str().into()),
                FaultKind::Duplicate { what: "edge", name },
            ));
        }
        if let Some(name) = repeated(notches) {
            return Some((
                Part::Notch(name.as_str().into()),
                FaultKind::Duplicate { what: "notch", name },
            ));
        }
        let name = repeated(darts)?;
        Some((
            Part::Dart(name.as_str().into()),
            FaultKind::Duplicate { what: "dart", name },
        ))
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
            let curve = CurveTwin {
                start: shape.start,
                path: &shape.path,
            };
            let curve = curve
                .to_curve()
                .map_err(|kind| say(Part::Edge(edge.id.clone()), kind))?;
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
            let curve = CurveTwin {
                start: line.start,
                path: &line.path,
            };
            inner_lines.push(InnerLine {
                name: line.name.clone(),
                curve: curve
                    .to_curve()
                    .map_err(|kind| say(Part::InnerLine(line.name.clone()), kind))?,
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
        let hole = |hole: &HoleTwin| DrillHole {
            name: hole.name.clone(),
            at: point(hole.at),
        };
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
            grainline: Grainline {
                from: point(drawn.grainline.from),
                to: point(drawn.grainline.up),
            },
            balance_lines: drawn.balance_lines.iter().map(balance).collect(),
            drill_holes: drawn.drill_holes.iter().map(hole).collect(),
            inner_lines,
            texts: drawn.texts.iter().map(text).collect(),
            traces: Vec::new(),
        })
    }

    /// The way to a part that is the same in every size.
    pub(super) fn place_of(&self, part: &Part) -> Vec<Step> {
        match part {
            Part::Cuttings => vec![Step::Field("cuttings")],
            Part::Edge(id) => row_of("edges", &self.edges, |row| row.id == *id),
            Part::Notch(id) => row_of("notches", &self.notches, |row| row.id == *id),
            Part::Dart(id) => row_of("darts", &self.darts, |row| row.id == *id),
            _ => Vec::new(),
        }
    }
}

impl DrawnTwin {
    fn of(size: &SizeId, piece: &Piece) -> Self {
        let edge = |edge: &Edge| DrawnEdge {
            edge: edge.id.clone(),
            start: xy(edge.curve.start()),
            path: shape::stretches(&edge.curve),
        };
        let notch = |notch: &Notch| DrawnNotch {
            notch: notch.id.clone(),
            distance: shape::rounded(notch.distance),
        };
        let dart = |dart: &Dart| DrawnDart {
            dart: dart.id.clone(),
            apex: xy(dart.apex),
        };
        let balance = |balance: &BalanceLine| BalanceTwin {
            id: balance.id.clone(),
            from: xy(balance.line.p0),
            to: xy(balance.line.p1),
        };
        let hole = |hole: &DrillHole| HoleTwin {
            name: hole.name.clone(),
            at: xy(hole.at),
        };
        let inner = |line: &InnerLine| InnerTwin {
            name: line.name.clone(),
            start: xy(line.curve.start()),
            path: shape::stretches(&line.curve),
        };
        let text = |text: &PrintedText| TextTwin {
            words: text.words.clone(),
            at: xy(text.at),
            height: shape::rounded(text.height_mm),
        };
        Self {
            size: size.clone(),
            edges: piece.edges.iter().map(edge).collect(),
            notches: piece.notches.iter().map(notch).collect(),
            darts: piece.darts.iter().map(dart).collect(),
            grainline: GrainTwin {
                from: xy(piece.grainline.from),
                up: xy(piece.grainline.to),
            },
            balance_lines: piece.balance_lines.iter().map(balance).collect(),
            drill_holes: piece.drill_holes.iter().map(hole).collect(),
            inner_lines: piece.inner_lines.iter().map(inner).collect(),
            texts: piece.texts.iter().map(text).collect(),
        }
    }

    /// The way to a part in this size.
    pub(super) fn place_of(&self, part: &Part) -> Vec<Step> {
        match part {
            Part::Edge(id) => row_of("edges", &self.edges, |row| row.edge == *id),
            Part::Notch(id) => row_of("notches", &self.notches, |row| row.notch == *id),
            Part::Dart(id) => row_of("darts", &self.darts, |row| row.dart == *id),
            Part::Grainline => vec![Step::Field("grainline")],
            Part::BalanceLine(id) => row_of("balance_lines", &self.balance_lines, |row| row.id == *id),
            Part::DrillHole(name) => row_of("drill_holes", &self.drill_holes, |row| row.name == *name),
            Part::InnerLine(name) => row_of("inner_lines", &self.inner_lines, |row| row.name == *name),
            Part::Text(words) => row_of("texts", &self.texts, |row| row.words == *words),
            _ => Vec::new(),
        }
    }
}

/// The first name that was there before.
fn repeated<'a>(names: impl Iterator<Item = &'a str>) -> Option<String> {
    let mut seen = std::collections::BTreeSet::new();
    let mut names = names;
    names.find(|name| !seen.insert(*name)).map(ToOwned::to_owned)
}

/// The way to a row of a list; of two alike the second is the one too many.
fn row_of<T>(field: &'static str, rows: &[T], is_it: impl Fn(&T) -> bool) -> Vec<Step> {
    let mut steps = vec![Step::Field(field)];
    steps.extend(rows.iter().rposition(is_it).map(Step::Item));
    steps
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
            FaultKind::Duplicate {
                what,
                name: name.to_owned(),
            }
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
