//! The types of the file, apart from those of the domain, so that either can change without the other.

use super::error::TextPlace;
use super::place::{Step, locate};
use super::{FORMAT, PatternFileError, VERSION};
use crate::geometry::Length;
use crate::pattern::{
    BalanceLineId, CornerId, Cutting, DartId, EdgeId, EdgeRole, Measure, NotchId, NotchKind, Part, PieceId,
    Seam, SizeBody, SizeId,
};
use serde::{Deserialize, Serialize};

mod reading;
mod shape;
mod writing;

use shape::{StretchTwin, XY};

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
        return Err(PatternFileError::NotAPattern { origin, place: place("format"), found: header.format });
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

impl PieceTwin {
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

/// The way to a row of a list; of two alike the second is the one too many.
fn row_of<T>(field: &'static str, rows: &[T], is_it: impl Fn(&T) -> bool) -> Vec<Step> {
    let mut steps = vec![Step::Field(field)];
    steps.extend(rows.iter().rposition(is_it).map(Step::Item));
    steps
}
