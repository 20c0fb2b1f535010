//! The aims of a garment: table, floor, mat.

use crate::aim::{Aim, AimError, Measured};
use crate::finding::{Finding, Severity, Subject};
use serde::{Deserialize, Serialize};

/// One aim, with the name of its surface.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NamedAim {
    /// `table`, `floor`, `mat`.
    pub name: String,
    /// What was measured.
    pub measured: Measured,
}

/// What became of the aim in use: the last good one stays lit while a mark is being moved.
#[derive(Debug, Clone, Default)]
pub struct AimAttempt {
    /// The last aim that could be solved.
    pub good: Option<Aim>,
    /// Why the present marks give none.
    pub trouble: Option<AimError>,
}

impl AimAttempt {
    /// What is missing before the aim can be cut by.
    #[must_use]
    pub fn finding(&self) -> Option<Finding> {
        if let Some(trouble) = &self.trouble {
            let what = format!("the marks as they stand give no aim: {trouble}");
            let remedy = "pick the marks again under the light";
            return Some(Finding::new(Severity::Stop, what, remedy).about(Subject::Aim));
        }
        let missing = || {
            let remedy = "lay down four marks, tape all six distances, and pick the marks under the light";
            Finding::new(Severity::Stop, "the projector is not aimed yet", remedy).about(Subject::Aim)
        };
        self.good.is_none().then(missing)
    }

    /// Solves the aim, keeping the last good one when it can't be.
    pub(super) fn attempt(&mut self, measured: &Measured) {
        match Aim::solve(measured) {
            Ok(aim) => {
                self.good = Some(aim);
                self.trouble = None;
            }
            Err(trouble) => self.trouble = Some(trouble),
        }
    }
}
