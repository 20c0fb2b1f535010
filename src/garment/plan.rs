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
    /// Which of them is on the table: it is laid, lit and cut now.
    pub on_table: ClothKind,
    /// Where the copies lie on the cloth that is on the table.
    pub lay: Vec<Place>,
    /// What is set about the rules of that lay.
    pub lay_rules: LayRules,
    /// How that cloth lies on the surface.
    pub stand: Stand,
    /// The lays of the cloths that are put aside.
    pub aside: BTreeMap<ClothKind, Aside>,
}

/// The lay of a cloth that is not on the table.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Aside {
    /// Where the copies lie on it.
    pub lay: Vec<Place>,
    /// What is set about the rules of its lay.
    pub lay_rules: LayRules,
    /// How it lay on the surface.
    pub stand: Stand,
}

impl Plan {
    /// The cloth that is on the table; `None` where none of its kind is written down.
    #[must_use]
    pub fn cloth(&self) -> Option<&Cloth> {
        self.cloths.get(&self.on_table)
    }

    /// Where the copies lie on a kind of cloth, whether it is on the table or aside.
    #[must_use]
    pub fn lay_on(&self, kind: ClothKind) -> &[Place] {
        if kind == self.on_table {
            return &self.lay;
        }
        self.aside.get(&kind).map_or(&[], |aside| &aside.lay)
    }

    /// What is set about the rules of a kind's lay.
    #[must_use]
    pub fn rules_on(&self, kind: ClothKind) -> LayRules {
        if kind == self.on_table {
            return self.lay_rules.clone();
        }
        self.aside.get(&kind).map(|aside| aside.lay_rules.clone()).unwrap_or_default()
    }

    /// Puts a cloth on the table; the one that is there goes aside with its lay.
    pub(super) fn put_on_table(&mut self, kind: ClothKind) {
        if kind == self.on_table {
            return;
        }
        let comes = self.aside.remove(&kind).unwrap_or_default();
        let goes = Aside {
            lay: std::mem::replace(&mut self.lay, comes.lay),
            lay_rules: std::mem::replace(&mut self.lay_rules, comes.lay_rules),
            stand: std::mem::replace(&mut self.stand, comes.stand),
        };
        if goes != Aside::default() {
            self.aside.insert(self.on_table, goes);
        }
        self.on_table = kind;
    }

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
        if self.aside.contains_key(&self.on_table) {
            return Some(format!(
                "the {} is on the table and aside. Take one of its lays out",
                self.on_table.words()
            ));
        }
        let on_table = (&self.lay, &self.lay_rules, &self.stand);
        let aside = self.aside.values().map(|aside| (&aside.lay, &aside.lay_rules, &aside.stand));
        for (lay, rules, stand) in std::iter::once(on_table).chain(aside) {
            let mut copies = BTreeSet::new();
            for place in lay {
                let which = format!("“{}”, copy {}", place.piece, place.copy);
                if ![place.at.x, place.at.y, place.turn_degrees].into_iter().all(is_sane) {
                    return Some(complaint(&format!("the place of {which} in the lay")));
                }
                if !copies.insert((&place.piece, place.copy)) {
                    return Some(format!("{which} lies in two places. Take one of them out of the lay"));
                }
            }
            if !is_sane(rules.grain_tolerance_degrees) {
                return Some(complaint("the grain tolerance under lay_rules"));
            }
            if ![stand.at.x, stand.at.y, stand.turn_degrees].into_iter().all(is_sane) {
                return Some(complaint("the stand"));
            }
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
