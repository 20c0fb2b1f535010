//! A garment as a file.

use super::{Aside, NamedAim, Plan, Progress, Stand, StandWork};
use crate::alter::Alteration;
use crate::body::Wearer;
use crate::cloth::Cloth;
use crate::document::{self, DocumentError, Format};
use crate::lay::{LayRules, Place};
use crate::pattern::{ClothKind, Pattern, PatternFileError, SizeId};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

const FORMAT: Format = Format { name: "chalkbeam garment", version: 1 };

/// A garment: the plan with its pattern, its aims and its progress.
#[derive(Debug, Clone)]
pub struct Garment {
    /// What it is called.
    pub name: String,
    /// Where the pattern lies, relative to the garment's file.
    pub pattern_path: PathBuf,
    /// The pattern, untouched.
    pub pattern: Arc<Pattern>,
    /// What is decided at the desk.
    pub plan: Arc<Plan>,
    /// The aims; the one in use first.
    pub aims: Vec<NamedAim>,
    /// What has been cut.
    pub progress: Vec<Progress>,
    /// The stands that are being cut in, if any.
    pub stands: Option<StandWork>,
}

/// Why a garment could not be read.
#[derive(Debug, thiserror::Error)]
pub enum GarmentError {
    /// The garment's own file.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// Its pattern's file.
    #[error("{}: the pattern that this garment is made from could not be read.\n{source}", garment.display())]
    Pattern {
        /// The garment's file.
        garment: PathBuf,
        /// What is wrong with the pattern.
        source: PatternFileError,
    },
    /// A size that the pattern has not.
    #[error("{}: the pattern has no size “{size}”; it has {known}. Put one of these under size", garment.display())]
    UnknownSize {
        /// The garment's file.
        garment: PathBuf,
        /// The size asked for.
        size: SizeId,
        /// The sizes there are.
        known: String,
    },
    /// Something that can't be meant.
    #[error("{}: {what}", garment.display())]
    Absurd {
        /// The garment's file.
        garment: PathBuf,
        /// What, and what to do.
        what: String,
    },
}

/// The garment as it is written.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Garment")]
struct GarmentFile {
    format: String,
    version: u32,
    name: String,
    pattern: PathBuf,
    size: SizeId,
    #[serde(default)]
    wearer: Wearer,
    #[serde(default)]
    alterations: Vec<Alteration>,
    #[serde(default)]
    cloths: BTreeMap<ClothKind, Cloth>,
    #[serde(default, skip_serializing_if = "ClothKind::is_main")]
    on_table: ClothKind,
    #[serde(default)]
    lay: Vec<Place>,
    #[serde(default, skip_serializing_if = "is_default")]
    lay_rules: LayRules,
    #[serde(default)]
    stand: Stand,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    aside: BTreeMap<ClothKind, Aside>,
    #[serde(default)]
    aims: Vec<NamedAim>,
    #[serde(default)]
    progress: Vec<Progress>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    stands: Option<StandWork>,
}

fn is_default(rules: &LayRules) -> bool {
    *rules == LayRules::default()
}

impl Garment {
    /// Reads a garment and the pattern that it names.
    ///
    /// # Errors
    /// [`GarmentError`], naming the file, the place and what to do.
    pub fn read(path: &Path) -> Result<Self, GarmentError> {
        let text = document::read_text(path)?;
        let file: GarmentFile = document::parse_versioned(&text, path, FORMAT)?;
        let folder = path.parent().unwrap_or_else(|| Path::new(""));
        let pattern = Pattern::read(folder.join(&file.pattern))
            .map_err(|source| GarmentError::Pattern { garment: path.to_owned(), source })?;
        Self::assemble(path, file, pattern)
    }

    /// A garment from texts in memory; `path` only names it.
    ///
    /// # Errors
    /// As [`Garment::read`].
    pub fn parse(path: &Path, text: &str, pattern: Pattern) -> Result<Self, GarmentError> {
        let file: GarmentFile = document::parse_versioned(text, path, FORMAT)?;
        Self::assemble(path, file, pattern)
    }

    fn assemble(path: &Path, file: GarmentFile, pattern: Pattern) -> Result<Self, GarmentError> {
        if pattern.size_index(&file.size).is_none() {
            let known: Vec<_> = pattern.sizes.iter().map(ToString::to_string).collect();
            return Err(GarmentError::UnknownSize {
                garment: path.to_owned(),
                size: file.size,
                known: known.join(", "),
            });
        }
        let plan = Plan {
            size: file.size,
            wearer: file.wearer,
            alterations: file.alterations,
            cloths: file.cloths,
            on_table: file.on_table,
            lay: file.lay,
            lay_rules: file.lay_rules,
            stand: file.stand,
            aside: file.aside,
        };
        let strange = file.aims.iter().find_map(NamedAim::nonsense);
        let strange = strange.or_else(|| file.stands.as_ref()?.nonsense());
        if let Some(what) = plan.nonsense().or(strange) {
            return Err(GarmentError::Absurd { garment: path.to_owned(), what });
        }
        Ok(Self {
            name: file.name,
            pattern_path: file.pattern,
            pattern: Arc::new(pattern),
            plan: Arc::new(plan),
            aims: file.aims,
            progress: file.progress,
            stands: file.stands,
        })
    }

    /// The garment as text.
    ///
    /// # Errors
    /// [`DocumentError::Unwritable`], should a value have no text.
    pub fn to_text(&self, path: &Path) -> Result<String, DocumentError> {
        let plan = self.plan.as_ref().clone();
        let file = GarmentFile {
            format: FORMAT.name.to_owned(),
            version: FORMAT.version,
            name: self.name.clone(),
            pattern: self.pattern_path.clone(),
            size: plan.size,
            wearer: plan.wearer,
            alterations: plan.alterations,
            cloths: plan.cloths,
            on_table: plan.on_table,
            lay: plan.lay,
            lay_rules: plan.lay_rules,
            stand: plan.stand,
            aside: plan.aside,
            aims: self.aims.clone(),
            progress: self.progress.clone(),
            stands: self.stands.clone(),
        };
        document::to_text(&file, path)
    }

    /// Saves the garment in one step; the copy before stays beside it. What could not be read again is not
    /// written.
    ///
    /// # Errors
    /// [`DocumentError::Unwritable`]; the file on disk is then as it was.
    pub fn write(&self, path: &Path) -> Result<(), DocumentError> {
        let text = self.to_text(path)?;
        document::parse_versioned::<GarmentFile>(&text, path, FORMAT).map_err(|error| {
            DocumentError::Unwritable {
                path: path.to_owned(),
                source: std::io::Error::other(format!("it could not be read again: {error}")),
            }
        })?;
        document::write_atomically(path, text.as_bytes(), true)
    }
}
