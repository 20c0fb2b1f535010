//! `chalkbeam check`: every piece's edges, each alteration's report, the findings.

use super::{CliError, open_garment, print, print_json};
use crate::alter::{Amount, Outcome, Report};
use crate::finding::Severity;
use crate::garment::{Found, OpenGarment, PieceState, piece_state};
use clap::Args;
use serde::Serialize;
use std::path::PathBuf;

/// Arguments of `check`.
#[derive(Debug, Args)]
pub(super) struct Check {
    /// Garment to check.
    garment: PathBuf,
    /// Print JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct CheckReport {
    pieces: Vec<PieceReport>,
    alterations: Vec<AlterationReport>,
    findings: Vec<Found>,
}

#[derive(Debug, Serialize)]
struct PieceReport {
    name: String,
    size: String,
    state: Option<PieceState>,
    edges: Vec<EdgeReport>,
}

#[derive(Debug, Serialize)]
struct EdgeReport {
    name: String,
    length_mm: f64,
}

#[derive(Debug, Serialize)]
struct AlterationReport {
    id: u32,
    what: String,
    outcome: &'static str,
    why: Option<String>,
    edges: Vec<EdgeChangeReport>,
    figures: Vec<FigureReport>,
    notes: Vec<String>,
}

#[derive(Debug, Serialize)]
struct EdgeChangeReport {
    piece: String,
    edge: String,
    before_mm: f64,
    after_mm: f64,
}

#[derive(Debug, Serialize)]
struct FigureReport {
    name: String,
    piece: Option<String>,
    before: Option<f64>,
    after: f64,
    unit: &'static str,
}

impl Check {
    pub(super) fn perform(&self) -> Result<(), CliError> {
        let open = open_garment(&self.garment)?;
        let report = report(&open);
        if self.json { print_json(&report) } else { print(&words(&report)) }
    }
}

fn report(open: &OpenGarment) -> CheckReport {
    let (plan, evaluated) = (open.plan(), open.evaluated());
    let pieces = evaluated.pieces.iter().map(|piece| PieceReport {
        name: piece.altered.id.to_string(),
        size: plan.size.to_string(),
        state: piece_state(open, &piece.altered.id),
        edges: piece
            .altered
            .edges
            .iter()
            .map(|edge| EdgeReport { name: edge.id.to_string(), length_mm: edge.curve.length() })
            .collect(),
    });
    let alterations = plan.alterations.iter().zip(&evaluated.replay.steps).map(|(alteration, step)| {
        let (outcome, why) = match &step.outcome {
            Outcome::Applied(_) => ("applied", None),
            Outcome::NoEffect(why) => ("no effect", Some(why.clone())),
            Outcome::Failed(error) => ("failed", Some(error.to_string())),
            Outcome::Off => ("off", None),
        };
        let empty = Report::default();
        let report = match &step.outcome {
            Outcome::Applied(report) => report,
            _ => &empty,
        };
        AlterationReport {
            id: alteration.id.0,
            what: alteration.record.words(),
            outcome,
            why,
            edges: report.edges.iter().map(edge_change).collect(),
            figures: report.figures.iter().map(figure).collect(),
            notes: report.notes.clone(),
        }
    });
    CheckReport { pieces: pieces.collect(), alterations: alterations.collect(), findings: open.findings() }
}

fn edge_change(change: &crate::alter::EdgeChange) -> EdgeChangeReport {
    EdgeChangeReport {
        piece: change.piece.to_string(),
        edge: change.edge.to_string(),
        before_mm: change.before_mm,
        after_mm: change.after_mm,
    }
}

fn figure(figure: &crate::alter::Figure) -> FigureReport {
    FigureReport {
        name: figure.name.to_owned(),
        piece: figure.piece.as_ref().map(ToString::to_string),
        before: figure.before.map(Amount::number),
        after: figure.after.number(),
        unit: match figure.after {
            Amount::Mm(_) => "mm",
            Amount::Degrees(_) => "°",
        },
    }
}

fn words(report: &CheckReport) -> String {
    let mut words = String::new();
    let mut line = |text: String| words.push_str(&(text + "\n"));
    for piece in &report.pieces {
        let state = piece.state.map_or_else(String::new, |state| format!(", {state}"));
        line(format!("{} (size {}{state})", piece.name, piece.size));
        for edge in &piece.edges {
            line(format!("  {:24} {:>9.2} mm", edge.name, edge.length_mm));
        }
    }
    for alteration in &report.alterations {
        line(format!("{}. {}: {}", alteration.id, alteration.what, alteration.outcome));
        if let Some(why) = &alteration.why {
            line(format!("   {why}"));
        }
        for change in &alteration.edges {
            let EdgeChangeReport { piece, edge, before_mm, after_mm } = change;
            line(format!(
                "   {piece}, {edge}: {before_mm:.2} → {after_mm:.2} mm ({:+.2})",
                after_mm - before_mm
            ));
        }
        for figure in &alteration.figures {
            let before = figure.before.map_or_else(String::new, |before| format!("{before:.2} → "));
            let of = figure.piece.as_ref().map_or_else(String::new, |piece| format!("{piece}, "));
            line(format!("   {of}{}: {before}{:.2} {}", figure.name, figure.after, figure.unit));
        }
        for note in &alteration.notes {
            line(format!("   {note}"));
        }
    }
    for finding in &report.findings {
        let grade = match finding.severity {
            Severity::Stop => "STOP",
            Severity::Warning => "WARNING",
            Severity::Note => "NOTE",
        };
        line(format!("{grade}: {}; {}", finding.what, finding.remedy));
        if let Some(mend) = &finding.mend {
            line(format!("   mended by: {}", mend.words));
        }
    }
    if report.findings.is_empty() {
        line("nothing to complain of".to_owned());
    }
    words
}
