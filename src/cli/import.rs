//! `chalkbeam import`: a pattern from another program's file.

use super::{CliError, print_json, say};
use crate::document;
use crate::import;
use clap::Args;
use kurbo::Shape as _;
use serde::Serialize;
use std::path::PathBuf;

/// Arguments of `import`.
#[derive(Debug, Args)]
pub(super) struct Import {
    /// File to read (SVG).
    file: PathBuf,
    /// Pattern to write.
    #[arg(long, value_name = "X.pattern.ron")]
    out: PathBuf,
    /// Millimetres in one unit of a file that names none.
    #[arg(long, value_name = "MM")]
    millimetres_per_unit: Option<f64>,
    /// Name of the size that is drawn.
    #[arg(long)]
    size: Option<String>,
    /// Print pieces and findings as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct ImportReport {
    pieces: Vec<PieceReport>,
    findings: Vec<import::Finding>,
}

#[derive(Debug, Serialize)]
struct PieceReport {
    name: String,
    sizes: Vec<SizeReport>,
}

#[derive(Debug, Serialize)]
struct SizeReport {
    size: String,
    outline_mm: f64,
    area_mm2: f64,
    notches: usize,
}

impl Import {
    pub(super) fn perform(&self) -> Result<(), CliError> {
        let mut options = import::Options {
            millimetres_per_unit: self.millimetres_per_unit,
            ..Default::default()
        };
        if let Some(size) = &self.size {
            options.size = size.as_str().into();
        }
        let bytes = document::read_bytes(&self.file)?;
        let imported = import::svg::read(&bytes, &options).map_err(|source| CliError::Import {
            path: self.file.clone(),
            source,
        })?;
        imported.pattern.write(&self.out)?;
        if self.json {
            return print_json(&report(&imported));
        }
        for finding in &imported.findings {
            say(&format!("{} ({})", finding.what, finding.remedy));
        }
        say(&format!(
            "{}: {} pieces",
            self.out.display(),
            imported.pattern.pieces.len()
        ));
        Ok(())
    }
}

fn report(imported: &import::Imported) -> ImportReport {
    let pattern = &imported.pattern;
    let pieces = pattern.pieces.iter().map(|piece| PieceReport {
        name: piece.id.to_string(),
        sizes: pattern
            .sizes
            .iter()
            .zip(&piece.by_size)
            .map(|(size, piece)| SizeReport {
                size: size.to_string(),
                outline_mm: piece.edges.iter().map(|edge| edge.curve.length()).sum(),
                area_mm2: piece.outline().area().abs(),
                notches: piece.notches.len(),
            })
            .collect(),
    });
    ImportReport {
        pieces: pieces.collect(),
        findings: imported.findings.clone(),
    }
}
