//! The same commands for a terminal.
//!
//! Every command ends with 0, or with 2 and one clear message: the file, the place, what to do. Results go to
//! standard output, words for a person to standard error.

mod aim;
mod check;
mod export;
mod fit;
mod import;
mod lay;
mod plan;
mod still;
mod summary;

use crate::document::DocumentError;
use crate::garment::{Garment, GarmentError, OpenGarment};
use clap::{Parser, Subcommand};
use std::ffi::OsString;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Projects altered sewing-pattern pieces onto cloth at true size.
#[derive(Debug, Parser)]
#[command(name = "chalkbeam", version, about, after_help = CAUTIONS, args_conflicts_with_subcommands = true)]
struct Arguments {
    /// Garment to open; the garden coat of the demo when left out.
    garment: Option<PathBuf>,
    #[command(subcommand)]
    command: Option<Task>,
}

const CAUTIONS: &str = "\
Without a display, `chalkbeam` writes the picture of the floor window and a summary instead.

Never look into the lens, and make the picture dark before you reach near it. A projector overhead
belongs on structure, with a second safety cable, put up by somebody competent. Close the cutter's
guard whenever you are not cutting. The makers' manuals and local codes come before anything said here.";

#[derive(Debug, Subcommand)]
enum Task {
    /// Write the exact projector frame of a garment as a PNG.
    Still(still::Still),
    /// Solve an aim from what was measured: homography, residuals, pixel pitch.
    Aim(aim::AimTask),
    /// What a projector will light from where it may hang: picture, pixels, lux, accuracy.
    Plan(plan::Plan),
    /// Make a pattern of other programs' drawings (PDF, SVG, DXF) or of scanned paper.
    Import(import::Import),
    /// Read a PDF file from standard input and hand its pages over (the program calls itself).
    #[command(name = crate::import::pdf::child::COMMAND, hide = true)]
    ReadPdf(import::ReadPdf),
    /// Every piece's edges with lengths, each alteration's report, and the findings.
    Check(check::Check),
    /// Compare the pattern with the wearer: ease, nearest sizes, proposed alterations.
    Fit(fit::Fit),
    /// Write the altered pieces at true size as an SVG.
    Export(export::Export),
    /// Search for a short lay of the pieces on the cloth, or of outlines from a file.
    Lay(lay::Lay),
}

/// What ended a command, in words for the person.
#[derive(Debug, thiserror::Error)]
pub enum CliError {
    /// A garment or its pattern.
    #[error(transparent)]
    Garment(#[from] GarmentError),
    /// Another document, or a file that could not be written.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// A pattern that could not be written.
    #[error(transparent)]
    Pattern(#[from] crate::pattern::PatternFileError),
    /// An aim.
    #[error("{}: {source}", path.display())]
    Aim {
        /// The file that it was measured in.
        path: PathBuf,
        /// Why there is none.
        source: crate::aim::AimError,
    },
    /// A file of another program.
    #[error("{}: {source}", path.display())]
    Import {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        source: crate::import::ImportError,
    },
    /// Several files of other programs; the error names the one.
    #[error(transparent)]
    ImportFiles(crate::import::ImportError),
    /// The graphics driver.
    #[error(transparent)]
    Light(#[from] crate::light::LightError),
    /// A window.
    #[error(transparent)]
    Window(#[from] crate::desk::WindowError),
    /// Anything said in a sentence.
    #[error("{0}")]
    Said(String),
}

/// Runs the program on its arguments.
#[must_use]
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            let wanted_help = !error.use_stderr();
            // A closed terminal is no reason to fail over help.
            drop(error.print());
            return if wanted_help { ExitCode::SUCCESS } else { ExitCode::from(2) };
        }
    };
    match perform(&arguments) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            say(&format!("chalkbeam: {error}"));
            ExitCode::from(2)
        }
    }
}

fn perform(arguments: &Arguments) -> Result<(), CliError> {
    match &arguments.command {
        Some(Task::Still(task)) => task.perform(),
        Some(Task::Aim(task)) => task.perform(),
        Some(Task::Plan(task)) => task.perform(),
        Some(Task::Import(task)) => task.perform(),
        Some(Task::ReadPdf(task)) => task.perform(),
        Some(Task::Check(task)) => task.perform(),
        Some(Task::Fit(task)) => task.perform(),
        Some(Task::Export(task)) => task.perform(),
        Some(Task::Lay(task)) => task.perform(),
        None => {
            let open = match &arguments.garment {
                Some(path) => open_garment(path)?,
                None => crate::demo::garden_coat()?,
            };
            if crate::desk::has_display() {
                Ok(crate::desk::run(open)?)
            } else {
                summary::without_display(&open)
            }
        }
    }
}

/// Refuses a result's name that does not end as the result does, so that no command writes over a garment or a
/// pattern by a slip.
fn check_ending(out: &Path, ending: &str) -> Result<(), CliError> {
    if out.extension().is_some_and(|found| found.eq_ignore_ascii_case(ending)) {
        return Ok(());
    }
    let out = out.display();
    Err(CliError::Said(format!(
        "{out}: what is written is a .{ending} file; give --out a name that ends so, such as {out}.{ending}"
    )))
}

fn open_garment(path: &Path) -> Result<OpenGarment, GarmentError> {
    Ok(OpenGarment::new(Garment::read(path)?, Some(path.to_owned())))
}

/// Writes a result; a reader that has gone (a closed pipe) ends the command quietly.
fn print(text: &str) -> Result<(), CliError> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(CliError::Said(format!("could not write the result: {error}")))
        }
        _ => Ok(()),
    }
}

fn print_json<T: serde::Serialize>(value: &T) -> Result<(), CliError> {
    let text = serde_json::to_string_pretty(value)
        .map_err(|error| CliError::Said(format!("the result cannot be written as JSON: {error}")))?;
    print(&(text + "\n"))
}

/// Says something to the person; a terminal that has gone is no reason to fail.
fn say(text: &str) {
    drop(writeln!(std::io::stderr().lock(), "{text}"));
}
