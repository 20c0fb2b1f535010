//! What she prefers at this desk, kept between sessions: it belongs to the person and not to the garment.

use crate::document::{self, DocumentError};
use crate::geometry::Units;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// What she prefers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Preferences {
    /// Whether the desk is shown for a bright room.
    pub bright_room: bool,
    /// In which units lengths are said.
    pub units: Units,
}

impl Preferences {
    /// Where they are kept for this person: in the folder that the system has for settings (XDG Base Directory
    /// Specification 0.8; `APPDATA` on Windows). `None` where it names none.
    #[must_use]
    pub fn path() -> Option<PathBuf> {
        let folder = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|path| path.is_absolute());
        let settings = folder("XDG_CONFIG_HOME")
            .or_else(|| folder("APPDATA"))
            .or_else(|| folder("HOME").map(|home| home.join(".config")))?;
        Some(settings.join("chalkbeam").join("desk.ron"))
    }

    /// Reads them; what is missing or can't be read is as at the first start.
    #[must_use]
    pub fn read(path: &Path) -> Self {
        let text = document::read_text(path);
        text.and_then(|text| document::parse(&text, path)).unwrap_or_default()
    }

    /// Keeps them, making the folder if need be.
    ///
    /// # Errors
    /// [`DocumentError`] when they could not be written.
    pub fn keep(&self, path: &Path) -> Result<(), DocumentError> {
        if let Some(folder) = path.parent() {
            let unwritable = |source| DocumentError::Unwritable { path: folder.to_owned(), source };
            std::fs::create_dir_all(folder).map_err(unwritable)?;
        }
        document::write_atomically(path, document::to_text(self, path)?.as_bytes(), false)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_kept_is_read_and_what_is_broken_is_as_at_the_first_start() {
        let folder = std::env::temp_dir().join(format!("chalkbeam-preferences-{}", std::process::id()));
        let path = folder.join("in").join("desk.ron");
        let preferred = Preferences { bright_room: true, units: Units::Inches };
        assert_eq!(Preferences::read(&path), Preferences::default());
        preferred.keep(&path).unwrap();
        assert_eq!(Preferences::read(&path), preferred);
        std::fs::write(&path, "(units: Inches)").unwrap();
        assert_eq!(Preferences::read(&path).units, Units::Inches);
        std::fs::write(&path, "(units: Ells").unwrap();
        assert_eq!(Preferences::read(&path), Preferences::default());
        std::fs::remove_dir_all(&folder).unwrap();
    }
}
