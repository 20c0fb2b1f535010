//! Saving so that a crash, a full disk or a pulled plug costs nothing.

use super::DocumentError;
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// Where the copy stands that was good before the last save: the file's name with `.last-good` after it.
#[must_use]
pub fn last_good_path(path: &Path) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(".last-good");
    path.with_file_name(name)
}

/// Writes a file in one step: into a new file in the same folder, flushed to the disk, then renamed over the
/// old one, which stays beside it as [`last_good_path`] if `keep_last_good`.
///
/// # Errors
/// [`DocumentError::Unwritable`]; the file on disk is then as it was.
pub fn write_atomically(path: &Path, bytes: &[u8], keep_last_good: bool) -> Result<(), DocumentError> {
    let unwritable = |source| DocumentError::Unwritable { path: path.to_owned(), source };
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let mut fresh = tempfile::NamedTempFile::new_in(folder).map_err(unwritable)?;
    fresh.write_all(bytes).map_err(unwritable)?;
    fresh.as_file().sync_all().map_err(unwritable)?;
    // A temporary file is private to its owner; a document is as shareable as the one it replaces.
    let permissions = std::fs::metadata(path).ok().map_or_else(shareable, |old| Some(old.permissions()));
    if let Some(permissions) = permissions {
        fresh.as_file().set_permissions(permissions).map_err(unwritable)?;
    }
    if keep_last_good && path.exists() {
        keep_copy(path, folder).map_err(unwritable)?;
    }
    fresh.persist(path).map_err(|error| unwritable(error.error))?;
    // The rename itself reaches the disk with the folder. Not every file system lets a folder be flushed;
    // the file's content is safe either way.
    if let Ok(folder) = std::fs::File::open(folder) {
        drop(folder.sync_all());
    }
    Ok(())
}

#[cfg(unix)]
fn shareable() -> Option<std::fs::Permissions> {
    use std::os::unix::fs::PermissionsExt as _;
    Some(std::fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn shareable() -> Option<std::fs::Permissions> {
    None
}

/// Gives the present file a second name, by way of a third so that the last good copy is never missing.
fn keep_copy(path: &Path, folder: &Path) -> std::io::Result<()> {
    let spare = tempfile::Builder::new().prefix(".keep-").tempfile_in(folder)?;
    std::fs::copy(path, spare.path())?;
    spare.as_file().sync_all()?;
    spare.persist(last_good_path(path)).map(drop).map_err(|error| error.error)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_file_before_stays_as_the_last_good_copy() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.garment.ron");
        write_atomically(&path, b"one", true).unwrap();
        assert!(!last_good_path(&path).exists());
        write_atomically(&path, b"two", true).unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"two");
        assert_eq!(std::fs::read(last_good_path(&path)).unwrap(), b"one");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2);
    }

    #[test]
    fn a_folder_that_is_not_there_is_an_error_and_makes_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("missing").join("a.garment.ron");
        assert!(matches!(write_atomically(&path, b"one", true), Err(DocumentError::Unwritable { .. })));
    }
}
