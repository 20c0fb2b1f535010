//! `chalkbeam export`: the altered pieces at true size.

use super::{CliError, check_ending, open_garment, say};
use crate::document;
use crate::sheet::drawing_svg;
use clap::Args;
use std::path::PathBuf;

/// Arguments of `export`.
#[derive(Debug, Args)]
pub(super) struct Export {
    /// Garment to draw.
    garment: PathBuf,
    /// Drawing to write.
    #[arg(long, value_name = "X.svg")]
    out: PathBuf,
}

impl Export {
    pub(super) fn perform(&self) -> Result<(), CliError> {
        check_ending(&self.out, "svg")?;
        let open = open_garment(&self.garment)?;
        let svg = drawing_svg(open.evaluated(), &open.garment().name);
        document::write_atomically(&self.out, svg.as_bytes(), false)?;
        say(&format!("{}: {} pieces at true size", self.out.display(), open.evaluated().pieces.len()));
        Ok(())
    }
}
