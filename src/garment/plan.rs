//! What is decided at the desk.

use crate::alter::Alteration;
use crate::body::Wearer;
use crate::cloth::Cloth;
use crate::geometry::{Affine, Point, pair};
use crate::lay::{LayRules, Place};
use crate::pattern::{ClothKind, SizeId};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What is decided at the desk; every change of it can be undone.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The size that everything starts from.
    pub size: SizeId,
    /// Who will wear it.
    pub wearer: Wearer,
    /// The alterations, in the order in which they are replayed.
    pub alterations: Vec<Alteration>,
    /// The lengths of cloth, one a kind.
    pub cloths: BTreeMap<ClothKind, Cloth>,
    /// Where the copies lie on the main cloth.
    pub lay: Vec<Place>,
    /// What is set about the rules of the lay.
    pub lay_rules: LayRules,
    /// How the cloth lies on the surface.
    pub stand: Stand,
}

/// One position of the cloth under the light.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stand {
    /// Where the cloth's origin lies on the surface, in mm.
    #[serde(default, with = "pair")]
    pub at: Point,
    /// Direction of the cloth's length on the surface, in degrees, counter-clockwise.
    #[serde(default)]
    pub turn_degrees: f64,
}

impl Stand {
    /// The motion from the cloth to the surface.
    #[must_use]
    pub fn surface_from_cloth(&self) -> Affine {
        Affine::translate(self.at.to_vec2()) * Affine::rotate(self.turn_degrees.to_radians())
    }
}
