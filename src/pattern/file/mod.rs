//! A pattern as a file: `.pattern.ron`.
//!
//! The file is RON (Rusty Object Notation), because it can be read and mended by hand, and keeps names,
//! comments of the person who mends it and numbers apart. What is the same in every size (names, corners,
//! roles, allowances, the cutting list) is written once a piece; the shapes follow for each size under
//! `drawn`. Points are `(x, y)` in millimetres, y up; a curve is a `start` and a `path` of `Line((x, y))`,
//! `Cubic((x, y), (x, y), (x, y))` and `Arc(center: (x, y), sweep_degrees: s)`, so that an arc stays an arc.
//!
//! Numbers are written with six decimals, a millionth of a millimetre, and read as they stand: a pattern
//! that was read is written back as the same text, and a written one is read back as the same pattern.
//! Outlines must run counter-clockwise (y up); a clockwise one is refused rather than turned, since edges
//! and corners are named in the order of travel.
//!
//! A file is taken whole or not at all. Each error names the file, the line and column, what is wrong and
//! what to do.

mod error;
mod layout;
mod place;
mod twin;

pub use error::{LocatedFault, PatternFileError, TextPlace};

use super::{Part, Pattern, PatternFault};
use place::Step;
use std::fs;
use std::io::{Read as _, Write as _};
use std::path::Path;
use twin::PatternTwin;

/// Word at the head of every file.
const FORMAT: &str = "chalkbeam pattern";

/// The version that is written, and the only one that is read.
const VERSION: u32 = 1;

/// Largest file that is read, in bytes: some hundred times a coat in twenty sizes.
const LARGEST_FILE: u64 = 64 * 1024 * 1024;

impl Pattern {
    /// Reads a `.pattern.ron` file.
    ///
    /// # Errors
    /// [`PatternFileError`] when the file cannot be read, is no pattern, or has faults. Nothing is half-loaded.
    pub fn read(path: impl AsRef<Path>) -> Result<Self, PatternFileError> {
        let path = path.as_ref();
        let origin = path.display().to_string();
        let unreadable = |source| PatternFileError::Unreadable { origin: origin.clone(), source };
        let file = fs::File::open(path).map_err(unreadable)?;
        let mut bytes = Vec::new();
        file.take(LARGEST_FILE + 1).read_to_end(&mut bytes).map_err(unreadable)?;
        if bytes.len() as u64 > LARGEST_FILE {
            return Err(PatternFileError::TooLarge { origin });
        }
        match std::str::from_utf8(&bytes) {
            Ok(text) => Self::parse(text, &origin),
            Err(error) => Err(PatternFileError::NotText {
                place: TextPlace::after(&bytes[..error.valid_up_to()]),
                origin,
            }),
        }
    }

    /// Reads the text of a `.pattern.ron` file; `origin` is what errors call it.
    ///
    /// # Errors
    /// [`PatternFileError`] when the text is no pattern or the pattern has faults.
    pub fn parse(text: &str, origin: &str) -> Result<Self, PatternFileError> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let origin = origin.to_owned();
        if text.len() as u64 > LARGEST_FILE {
            return Err(PatternFileError::TooLarge { origin });
        }
        if place::is_blank(text) {
            return Err(PatternFileError::Empty { origin });
        }
        twin::check_header(text, &origin)?;
        let twin: PatternTwin = twin::options()
            .from_str(text)
            .map_err(|error| PatternFileError::malformed(text, &origin, &error))?;
        let located = |fault: PatternFault| LocatedFault {
            place: place::locate(text, &steps_to(&twin, &fault)).map(|offset| TextPlace::at(text, offset)),
            fault,
        };
        let pattern = match twin.to_pattern() {
            Ok(pattern) => pattern,
            Err(fault) => {
                let faults = vec![located(*fault)];
                return Err(PatternFileError::Faulty { origin, faults });
            }
        };
        let faults: Vec<_> = pattern.faults().into_iter().map(located).collect();
        if faults.is_empty() { Ok(pattern) } else { Err(PatternFileError::Faulty { origin, faults }) }
    }

    /// The pattern as the text of a `.pattern.ron` file, always the same for the same pattern.
    ///
    /// What is written once a piece is taken from its first size; [`Pattern::faults`] tells when another
    /// differs.
    #[must_use]
    pub fn to_ron(&self) -> String {
        layout::text_of(&PatternTwin::of(self))
    }

    /// Writes a `.pattern.ron` file. The file changes as a whole or not at all: the text goes to a new file in
    /// the same folder, reaches the disk, and takes the old one's place.
    ///
    /// # Errors
    /// [`PatternFileError`] when the pattern has faults (and so could not be read back) or the folder cannot be
    /// written to.
    pub fn write(&self, path: impl AsRef<Path>) -> Result<(), PatternFileError> {
        let path = path.as_ref();
        let origin = path.display().to_string();
        let faults = self.faults();
        if !faults.is_empty() {
            let unplaced = |fault| LocatedFault { place: None, fault };
            let faults = faults.into_iter().map(unplaced).collect();
            return Err(PatternFileError::Faulty { origin, faults });
        }
        replace_file(path, self.to_ron().as_bytes())
            .map_err(|source| PatternFileError::Unwritable { origin, source })
    }
}

fn replace_file(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    // Where a link leads to the file, the file is replaced and the link stays.
    let path = &fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let mut fresh = tempfile::Builder::new();
    // A pattern is no secret: with the permissions of the file that it replaces, or those of any new file.
    if let Ok(old) = fs::metadata(path) {
        fresh.permissions(old.permissions());
    } else {
        #[cfg(unix)]
        fresh.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666)); // less the umask
    }
    let mut fresh = fresh.tempfile_in(folder)?;
    fresh.write_all(bytes)?;
    fresh.as_file().sync_all()?;
    fresh.persist(path).map_err(|failed| failed.error)?;
    // The new name is on the disk once the folder is. Not every system lets a folder be opened for that.
    if let Ok(folder) = fs::File::open(folder) {
        folder.sync_all().or_else(|error| {
            let unsupported =
                matches!(error.kind(), std::io::ErrorKind::Unsupported | std::io::ErrorKind::InvalidInput);
            if unsupported { Ok(()) } else { Err(error) }
        })?;
    }
    Ok(())
}

/// The way through the file to the thing that a fault is about.
fn steps_to(twin: &PatternTwin, fault: &PatternFault) -> Vec<Step> {
    let mut steps = Vec::new();
    match &fault.part {
        Part::Sizes => return vec![Step::Field("sizes")],
        Part::Allowance => return vec![Step::Field("allowance")],
        Part::Seam(id) => {
            steps.push(Step::Field("seams"));
            // Of two with the same name, the second is the one too many.
            steps.extend(twin.seams.iter().rposition(|seam| seam.id == *id).map(Step::Item));
            return steps;
        }
        Part::Measure(id) => {
            steps.push(Step::Field("measures"));
            let named = twin.measures.iter().rposition(|measure| measure.id == *id);
            steps.extend(named.map(Step::Item));
            return steps;
        }
        Part::Body(size) => {
            steps.push(Step::Field("bodies"));
            let named = twin.bodies.iter().rposition(|body| body.size == *size);
            steps.extend(named.map(Step::Item));
            return steps;
        }
        _ => {}
    }
    let Some(index) =
        fault.piece.as_ref().and_then(|id| twin.pieces.iter().rposition(|piece| piece.id == *id))
    else {
        return vec![Step::Field("pieces")];
    };
    steps.extend([Step::Field("pieces"), Step::Item(index)]);
    let piece = &twin.pieces[index];
    let drawn =
        fault.size.as_ref().and_then(|size| piece.drawn.iter().rposition(|drawn| drawn.size == *size));
    let within = match drawn {
        Some(drawn) => {
            steps.extend([Step::Field("drawn"), Step::Item(drawn)]);
            piece.drawn[drawn].place_of(&fault.part)
        }
        None => piece.place_of(&fault.part),
    };
    steps.extend(within);
    steps
}
