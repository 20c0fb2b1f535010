//! `chalkbeam import`: a pattern from another program's file.

use super::{CliError, print_json, say};
use crate::document;
use crate::finding::Finding;
use crate::geometry::{Length, Point};
use crate::import;
use crate::import::dxf::LayerUse;
use crate::pattern::SizeId;
use clap::Args;
use kurbo::Shape as _;
use serde::Serialize;
use std::cell::Cell;
use std::path::PathBuf;
use std::time::{Duration, Instant};

/// Arguments of `import`.
#[derive(Debug, Args)]
pub(super) struct Import {
    /// Files to read, told by their content: PDF, SVG, DXF, or a scan (PNG, JPEG, TIFF); several are sizes or parts of
    /// one pattern.
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Pattern to write.
    #[arg(long, value_name = "X.pattern.ron")]
    out: PathBuf,
    /// Millimetres in one unit of a file that names none.
    #[arg(long, value_name = "MM")]
    millimetres_per_unit: Option<f64>,
    /// Dots per inch of a scan whose picture does not tell, or tells wrongly.
    #[arg(long, value_name = "DPI")]
    dpi: Option<f64>,
    /// A ruler in a scan: two places in pixels and how far they are apart, as in `120,300 1320,300 = 100 mm`.
    #[arg(long, value_name = "PLACES")]
    ruler: Option<import::scan::Ruler>,
    /// Name of the size of what tells none.
    #[arg(long)]
    size: Option<String>,
    /// What a layer of a DXF file holds, as in `20=notch`.
    #[arg(long, value_name = "LAYER=USE", value_parser = layer_use)]
    layer: Vec<(String, LayerUse)>,
    /// What is written at the printed test square, such as "10 cm"; without it the square is looked for.
    #[arg(long, value_name = "LENGTH")]
    square: Option<Length>,
    /// A place inside that square, in mm from the lower left corner of the drawing.
    #[arg(long, value_name = "X,Y", requires = "square", value_parser = import::place_of)]
    square_at: Option<Point>,
    /// By what sizes are told apart: layer, dash, colour, text, nesting or nothing; by the surest when left out.
    #[arg(long, value_name = "HOW")]
    sizes_by: Option<import::SizesBy>,
    /// Corrections to apply; those that lie beside the first file are found by themselves.
    #[arg(long, value_name = "FILE")]
    corrections: Option<PathBuf>,
    /// Print pieces and findings as JSON.
    #[arg(long)]
    json: bool,
}

fn layer_use(text: &str) -> Result<(String, LayerUse), String> {
    let (layer, holds) =
        text.split_once('=').ok_or_else(|| "say it as LAYER=USE, for example 20=notch".to_owned())?;
    Ok((layer.to_owned(), holds.parse()?))
}

/// How long work goes on in silence, and between two words about it.
const PATIENCE: Duration = Duration::from_millis(500);

/// Says on standard error how far long work is.
struct Aloud {
    said_at: Cell<Instant>,
}

impl Default for Aloud {
    fn default() -> Self {
        Self { said_at: Cell::new(Instant::now()) }
    }
}

impl import::Progress for Aloud {
    fn go_on(&self, step: import::Step<'_>) -> bool {
        if self.said_at.get().elapsed() >= PATIENCE {
            self.said_at.set(Instant::now());
            match step.of {
                0 | 1 => say(&format!("{} …", step.what)),
                of => say(&format!("{}: {} of {of} …", step.what, step.done)),
            }
        }
        true
    }
}

#[derive(Debug, Serialize)]
struct ImportReport {
    pieces: Vec<PieceReport>,
    findings: Vec<Finding>,
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

/// Arguments of the command by which the program reads a PDF file apart from itself.
#[derive(Debug, Args)]
pub(super) struct ReadPdf {}

impl ReadPdf {
    pub(super) fn perform(&self) -> Result<(), CliError> {
        let read = import::pdf::child::serve(std::io::stdin().lock(), std::io::stdout().lock());
        read.map_err(|error| CliError::Said(format!("the pages cannot be handed over: {error}")))
    }
}

/// This program, to be called again.
fn this_program() -> Result<PathBuf, CliError> {
    std::env::current_exe().map_err(|error| {
        CliError::Said(format!("the program does not know where it is ({error}); install it again"))
    })
}

impl Import {
    pub(super) fn perform(&self) -> Result<(), CliError> {
        let mut options = import::Options {
            millimetres_per_unit: self.millimetres_per_unit,
            size: self.size.as_deref().map(SizeId::from),
            test_square: self.square.clone().map(|side| import::PointedSquare { side, at: self.square_at }),
            pdf_reader: Some(this_program()?),
            sizes_by: self.sizes_by,
            dpi: self.dpi,
            ruler: self.ruler.clone(),
            ..Default::default()
        };
        for (layer, holds) in &self.layer {
            options.layers.set(layer, *holds);
        }
        let mut read = Vec::new();
        for path in &self.files {
            let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
            read.push((name, document::read_bytes(path)?));
        }
        let files: Vec<import::File<'_>> =
            read.iter().map(|(name, bytes)| import::File { name, bytes }).collect();
        options.corrections = self.corrections_for(&files)?;
        let imported =
            import::read_files(&files, &options, &Aloud::default()).map_err(|source| {
                match &self.files[..] {
                    [path] => CliError::Import { path: path.clone(), source },
                    _ => CliError::ImportFiles(source),
                }
            })?;
        imported.pattern.write(&self.out)?;
        if self.json {
            return print_json(&report(&imported));
        }
        for finding in &imported.findings {
            say(&format!("{} ({})", finding.what, finding.remedy));
        }
        say(&format!(
            "{}: pieces {}, sizes {}",
            self.out.display(),
            imported.pattern.pieces.len(),
            imported.pattern.sizes.len()
        ));
        Ok(())
    }
}

impl Import {
    /// The corrections that were named, or that lie beside the first file.
    fn corrections_for(&self, files: &[import::File<'_>]) -> Result<Vec<import::Correction>, CliError> {
        let beside = self.files.first().map(|file| import::corrections::path_beside(file));
        let found = self.corrections.clone().or(beside.filter(|path| path.is_file()));
        let Some(path) = found else { return Ok(Vec::new()) };
        let corrections = import::Corrections::read(&path)?;
        corrections.check(files).map_err(|source| CliError::Import { path: path.clone(), source })?;
        if !self.json {
            say(&format!("{}: corrections {}", path.display(), corrections.list.len()));
        }
        Ok(corrections.list)
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
    ImportReport { pieces: pieces.collect(), findings: imported.findings.clone() }
}
