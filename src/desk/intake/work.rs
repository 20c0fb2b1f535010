//! Reading on a thread of its own.

use crate::document;
use crate::finding::Finding;
use crate::import::corrections::{Source, path_beside};
use crate::import::tiles::{Seam, Tiles};
use crate::import::{
    Correction, Corrections, Drawing, File, ImportError, Imported, Options, Progress, Step, drawings_of,
    pattern_of,
};
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// What a reading ends with.
#[derive(Debug, Clone)]
pub(super) struct Outcome {
    /// The drawings as they are in their files, as far as they could be read.
    pub(super) sheets: Option<Vec<Drawing>>,
    pub(super) sources: Vec<Source>,
    /// Corrections that lay beside the drawing, when they were to be taken up.
    pub(super) corrections: Option<Vec<Correction>>,
    pub(super) imported: Result<Arc<Imported>, String>,
    /// What was said of the drawings themselves, whether or not pieces were found.
    pub(super) said: Vec<Finding>,
    /// Whether a drawing tells no scale, and nobody has told one: it is only shown.
    pub(super) wants_scale: bool,
    /// Of each drawing, where its pages meet.
    pub(super) seams: Vec<Vec<Seam>>,
}

#[derive(Debug, Default)]
struct Shared {
    stop: AtomicBool,
    doing: Mutex<String>,
    outcome: Mutex<Option<Outcome>>,
}

/// A reading that is going on. It ends by itself when nobody holds it any more.
#[derive(Debug, Clone)]
pub(super) struct Work(Arc<Shared>);

/// The thread's side: it notices that nobody waits any more.
struct Watched(std::sync::Weak<Shared>);

impl Progress for Watched {
    fn go_on(&self, step: Step<'_>) -> bool {
        let Some(shared) = self.0.upgrade() else { return false };
        let words = match step.of {
            0 | 1 => step.what.to_owned(),
            of => format!("{}, {} of {of}", step.what, step.done + 1),
        };
        *shared.doing.lock().unwrap_or_else(PoisonError::into_inner) = words;
        !shared.stop.load(Ordering::Relaxed)
    }
}

impl Work {
    /// Begins to read; `fresh` takes up corrections that lie beside the first file. `known` is what was read before.
    pub(super) fn begin(paths: Vec<PathBuf>, options: Options, fresh: bool, known: Known) -> Self {
        let shared = Arc::new(Shared::default());
        let weak = Arc::downgrade(&shared);
        let watched = Watched(Arc::downgrade(&shared));
        let begun = std::thread::Builder::new().name("reading".to_owned()).spawn(move || {
            let outcome = read(&paths, options, fresh, &known, &watched);
            if let Some(shared) = weak.upgrade() {
                *shared.outcome.lock().unwrap_or_else(PoisonError::into_inner) = Some(outcome);
            }
        });
        if let Err(error) = begun {
            let imported =
                Err(format!("no thread could be started for the reading ({error}); close other programs"));
            let outcome = Outcome { imported, ..Outcome::nothing() };
            *shared.outcome.lock().unwrap_or_else(PoisonError::into_inner) = Some(outcome);
        }
        Self(shared)
    }

    pub(super) fn outcome(&self) -> Option<Outcome> {
        self.0.outcome.lock().unwrap_or_else(PoisonError::into_inner).take()
    }

    pub(super) fn words(&self) -> String {
        self.0.doing.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    pub(super) fn stop(&self) {
        self.0.stop.store(true, Ordering::Relaxed);
    }
}

/// What was read before: the drawings, and of which files.
#[derive(Debug, Clone, Default)]
pub(super) struct Known {
    pub(super) sheets: Arc<Vec<Drawing>>,
    pub(super) sources: Vec<Source>,
}

impl Known {
    /// The pages of the files that have not changed since.
    fn pages(&self, sources: &[Source]) -> Vec<Option<Tiles>> {
        let same = |index: usize, source: &Source| self.sources.get(index) == Some(source);
        let pages = |index: usize| self.sheets.get(index).and_then(|sheet| sheet.laid.found()).cloned();
        let each = sources.iter().enumerate();
        each.map(|(index, source)| if same(index, source) { pages(index) } else { None }).collect()
    }
}

impl Outcome {
    const fn nothing() -> Self {
        Self {
            sheets: None,
            sources: Vec::new(),
            corrections: None,
            imported: Err(String::new()),
            said: Vec::new(),
            wants_scale: false,
            seams: Vec::new(),
        }
    }
}

fn read(paths: &[PathBuf], mut options: Options, fresh: bool, known: &Known, watched: &Watched) -> Outcome {
    let mut outcome = Outcome::nothing();
    let mut named = Vec::new();
    for path in paths {
        let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        match document::read_bytes(path) {
            Ok(bytes) => named.push((name, bytes)),
            Err(error) => {
                outcome.imported = Err(error.to_string());
                return outcome;
            }
        }
    }
    let files: Vec<File<'_>> = named.iter().map(|(name, bytes)| File { name, bytes }).collect();
    outcome.sources = files.iter().map(|file| Source::of(file.name, file.bytes)).collect();
    let beside = paths.first().map(|path| path_beside(path)).filter(|path| fresh && path.is_file());
    let mut refused = None;
    if let Some(path) = beside {
        match Corrections::read(&path).map_err(|error| error.to_string()).and_then(|corrections| {
            corrections.check(&files).map_err(|error| error.to_string()).map(|()| corrections.list)
        }) {
            Ok(list) => {
                options.corrections.clone_from(&list);
                outcome.corrections = Some(list);
            }
            Err(words) => refused = Some(words),
        }
    }
    options.known_pages = known.pages(&outcome.sources);
    let mut findings = Vec::new();
    let mut read = drawings_of(&files, &options, watched, &mut findings);
    if let Some(error) = read.as_ref().err().filter(|error| error.wants_scale()) {
        // It is shown all the same, so that she can point to what she measured.
        refused = Some(refused.unwrap_or_else(|| error.to_string()));
        outcome.wants_scale = true;
        options.without_scale = true;
        findings.clear();
        read = drawings_of(&files, &options, watched, &mut findings);
    }
    let drawings = match read {
        Ok(drawings) => drawings,
        Err(error) => {
            outcome.imported = Err(error.to_string());
            return outcome;
        }
    };
    outcome.said.clone_from(&findings);
    let seams = |drawing: &Drawing| drawing.laid.tiles().map(Tiles::seams).unwrap_or_default();
    outcome.seams = drawings.iter().map(|(_, drawing)| seams(drawing)).collect();
    outcome.sheets = Some(drawings.iter().map(|(_, drawing)| drawing.clone()).collect());
    outcome.imported = match refused {
        // Nothing is understood behind her back: she decides what becomes of the old corrections.
        Some(words) => Err(words),
        None => pattern_of(drawings, &options, watched, findings)
            .map(Arc::new)
            .map_err(|error: ImportError| error.to_string()),
    };
    outcome
}
