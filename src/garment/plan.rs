//! What is decided at the desk.

use crate::aim::Motion;
use crate::alter::Alteration;
use crate::body::Wearer;
use crate::cloth::Cloth;
use crate::geometry::tolerance::LARGEST_COORDINATE_MM;
use crate::geometry::{Affine, Point, pair};
use crate::lay::{LayRules, Place};
use crate::pattern::{ClothKind, SizeId};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

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

impl Plan {
    /// What of the plan can't be meant, and what to do: a place that no cloth has, a cloth of no width, a number
    /// given twice. Such a plan is neither read from a file nor made by a command, so that every plan can be
    /// saved and opened again.
    pub(super) fn nonsense(&self) -> Option<String> {
        let complaint = |what: &str| {
            format!(
                "{what} is not a number that a table or a cloth can have (at most 100 m, and no NaN). Correct it"
            )
        };
        for (of, length) in &self.wearer.measurements {
            if length.mm() <= 0.0 {
                return Some(format!(
                    "the wearer's {} of {length} is none that a body has. Correct it",
                    of.words()
                ));
            }
        }
        let mut ids = BTreeSet::new();
        if let Some(twice) = self.alterations.iter().find(|known| !ids.insert(known.id)) {
            return Some(format!("two alterations have the number {}. Give one of them another", twice.id));
        }
        let mut copies = BTreeSet::new();
        for place in &self.lay {
            let which = format!("“{}”, copy {}", place.piece, place.copy);
            if ![place.at.x, place.at.y, place.turn_degrees].into_iter().all(is_sane) {
                return Some(complaint(&format!("the place of {which} in the lay")));
            }
            if !copies.insert((&place.piece, place.copy)) {
                return Some(format!("{which} lies in two places. Take one of them out of the lay"));
            }
        }
        if !is_sane(self.lay_rules.grain_tolerance_degrees) {
            return Some(complaint("the grain tolerance under lay_rules"));
        }
        let stand = &self.stand;
        if ![stand.at.x, stand.at.y, stand.turn_degrees].into_iter().all(is_sane) {
            return Some(complaint("the stand"));
        }
        for (kind, cloth) in &self.cloths {
            for (what, length) in [("width", &cloth.width), ("length", &cloth.length)] {
                // Written so that NaN fails.
                if !(length.mm() > 0.0 && is_sane(length.mm())) {
                    return Some(format!(
                        "the {what} of the {kind:?} “{}” must be more than nothing and at most 100 m. Correct it",
                        cloth.name
                    ));
                }
            }
            if let Some(what) = cloth.strange_number() {
                return Some(complaint(&format!("{what} of “{}”", cloth.name)));
            }
        }
        None
    }
}

pub(super) fn is_sane(value: f64) -> bool {
    value.is_finite() && value.abs() <= LARGEST_COORDINATE_MM
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
    /// The stand of a motion from the cloth to the surface.
    #[must_use]
    pub fn of_motion(surface_from_cloth: &Motion) -> Self {
        Self { at: surface_from_cloth.shift.to_point(), turn_degrees: surface_from_cloth.turn.to_degrees() }
    }

    /// The same as a motion.
    #[must_use]
    pub fn motion(&self) -> Motion {
        Motion { turn: self.turn_degrees.to_radians(), shift: self.at.to_vec2() }
    }

    /// The motion from the cloth to the surface.
    #[must_use]
    pub fn surface_from_cloth(&self) -> Affine {
        Affine::translate(self.at.to_vec2()) * Affine::rotate(self.turn_degrees.to_radians())
    }
}
