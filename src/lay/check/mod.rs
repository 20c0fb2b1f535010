//! The rules of the lay, each looked at apart; one file for rules that look at the same thing.
//!
//! A rule that is broken gives a [`Breach`]: which rule, which copies, and a finding with its numbers. A person may
//! let a rule pass with a written reason ([`super::LetPass`]); the finding then stays in sight as a note.

mod fold;
mod orientation;
mod print;
mod room;

use super::laid::Table;
use super::{Laid, LetPass, Place, Rule, matching};
use crate::finding::{Finding, Severity};
use crate::pattern::{PieceId, SeamId};

/// A rule that is broken.
#[derive(Debug, Clone, PartialEq)]
pub struct Breach {
    /// Which rule.
    pub rule: Rule,
    /// The pieces that it concerns, with their copies; none when it is the cloth.
    pub copies: Vec<(PieceId, u32)>,
    /// The seam that it concerns.
    pub seam: Option<SeamId>,
    /// What is the matter and what to do. A place on it is in the first piece's coordinates.
    pub finding: Finding,
    /// Where to lay a copy so that this rule is kept; others may then not be.
    pub mended: Option<MendedPlace>,
}

/// A place that keeps a rule.
#[derive(Debug, Clone, PartialEq)]
pub struct MendedPlace {
    /// What is done, for a button: “move “back” by 3.0 mm across the cloth”.
    pub words: String,
    /// The place.
    pub place: Place,
}

impl Breach {
    pub(super) fn new(rule: Rule, finding: Finding) -> Self {
        Self { rule, copies: Vec::new(), seam: None, finding, mended: None }
    }

    pub(super) fn mended(self, words: impl Into<String>, place: Place) -> Self {
        let words = words.into();
        Self { mended: Some(MendedPlace { words, place }), ..self }
    }

    pub(super) fn of(mut self, piece: &PieceId, copy: u32) -> Self {
        if self.copies.is_empty() {
            self.finding = self.finding.on(piece);
        }
        self.copies.push((piece.clone(), copy));
        self
    }

    pub(super) fn at_seam(self, seam: &SeamId) -> Self {
        Self { seam: Some(seam.clone()), ..self }
    }

    fn is_let_pass(&self, by: &LetPass) -> bool {
        let piece = by.piece.as_ref().is_none_or(|piece| self.copies.iter().any(|(known, _)| known == piece));
        let seam = by.seam.as_ref().is_none_or(|seam| self.seam.as_ref() == Some(seam));
        by.rule == self.rule && piece && seam && by.has_reason()
    }
}

/// Every rule that the lay breaks, gravest first; what is let pass stays as a note.
#[must_use]
pub fn breaches(laid: &Laid<'_>) -> Vec<Breach> {
    looked_at(laid, None)
}

/// Every finding of the lay's rules, gravest first.
#[must_use]
pub fn check(laid: &Laid<'_>) -> Vec<Finding> {
    breaches(laid).into_iter().map(|breach| breach.finding).collect()
}

/// The findings that concern one place, counted from 0: cheap enough to follow a hand that drags it.
#[must_use]
pub fn check_place(laid: &Laid<'_>, index: usize) -> Vec<Finding> {
    looked_at(laid, Some(index)).into_iter().map(|breach| breach.finding).collect()
}

/// Number of the place that is looked at alone, or all.
pub(super) type Only = Option<usize>;

fn looked_at(laid: &Laid<'_>, only: Only) -> Vec<Breach> {
    let table = laid.table();
    let mut found = Vec::new();
    room::check(&table, only, &mut found);
    orientation::check(&table, only, &mut found);
    fold::check(&table, only, &mut found);
    // Cloth that can't be cut folded is laid anew; what its print does till then says nothing.
    if laid.cloth.why_not_folded().is_none() {
        print::check(&table, only, &mut found);
        matching::check(&table, only, &mut found);
    }
    if only.is_none() {
        unknown_places(&table, &mut found);
        without_reason(&table, &mut found);
    }
    for breach in &mut found {
        if let Some(by) = laid.rules.let_pass.iter().find(|by| breach.is_let_pass(by)) {
            breach.finding.severity = Severity::Note;
            breach.finding.what = format!("{} (let pass: {})", breach.finding.what, by.reason.trim());
        }
    }
    found.sort_by_key(|breach| std::cmp::Reverse(breach.finding.severity));
    found
}

/// Places that name a piece which is not cut from this cloth, and places that are nowhere.
fn unknown_places(table: &Table<'_>, found: &mut Vec<Breach>) {
    for place in table.laid.places {
        if table.laid.parts.part(&place.piece).is_none() {
            let what = format!("the lay has a place for “{}”, which is not cut from this cloth", place.piece);
            let finding = Finding::new(Severity::Warning, what, "take the place out of the lay");
            found.push(Breach::new(Rule::Copies, finding).of(&place.piece, place.copy));
        } else if !place.is_somewhere() {
            let what = format!(
                "the place of “{}”, copy {}, is not on any cloth: ({:.0}, {:.0}) mm, turned by {:.0}°",
                place.piece, place.copy, place.at.x, place.at.y, place.turn_degrees
            );
            let finding = Finding::new(Severity::Stop, what, "take it off the cloth and lay it anew");
            found.push(Breach::new(Rule::Inside, finding).of(&place.piece, place.copy));
        }
    }
}

fn without_reason(table: &Table<'_>, found: &mut Vec<Breach>) {
    for by in &table.laid.rules.let_pass {
        if !by.has_reason() {
            let what = format!("the rule “{}” is to be let pass, but no reason is written", by.rule);
            let finding = Finding::new(Severity::Warning, what, "write down why, or keep the rule");
            found.push(Breach::new(by.rule, finding));
        }
    }
}
