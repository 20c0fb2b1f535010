//! A finding, and the command that would mend it.

use super::Command;
use crate::finding::Finding;
use serde::{Serialize, Serializer};
use std::ops::Deref;

/// What a check has to say about a garment, with the command that would mend it where one is known.
///
/// As JSON it is the finding with one more field, `mend`: the words of the command, or null.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Found {
    /// What is the matter.
    #[serde(flatten)]
    pub finding: Finding,
    /// What would mend it.
    #[serde(serialize_with = "words_of")]
    pub mend: Option<Mend>,
}

/// A command that mends a finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Mend {
    /// What it does, for the button: “hem shorter by 80 mm, front, back”.
    pub words: String,
    /// The command.
    pub command: Command,
}

impl Found {
    /// The finding with a command that mends it.
    #[must_use]
    pub fn mended_by(finding: Finding, mend: Option<Mend>) -> Self {
        Self { finding, mend }
    }
}

impl From<Finding> for Found {
    fn from(finding: Finding) -> Self {
        Self { finding, mend: None }
    }
}

impl Deref for Found {
    type Target = Finding;
    fn deref(&self) -> &Finding {
        &self.finding
    }
}

fn words_of<S: Serializer>(mend: &Option<Mend>, serializer: S) -> Result<S::Ok, S::Error> {
    mend.as_ref().map(|mend| &mend.words).serialize(serializer)
}
