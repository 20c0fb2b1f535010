//! How far the cutting has come.

use super::AsCut;
use crate::pattern::{ClothKind, PieceId};
use serde::{Deserialize, Serialize};

/// How far one copy has come, once it has been cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum CutState {
    /// Cut out.
    Cut,
    /// Cut out, and its notches, darts and holes marked.
    Marked,
}

/// What has been done to one copy of a piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Progress {
    /// Which piece.
    pub piece: PieceId,
    /// Which copy, from 1.
    pub copy: u32,
    /// From which cloth it was cut.
    #[serde(default, skip_serializing_if = "ClothKind::is_main")]
    pub cloth: ClothKind,
    /// How far it has come.
    pub state: CutState,
    /// How it looked and where it lay when it was cut; `None` in files that were written before this was kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub as_cut: Option<AsCut>,
}
