//! Ticks: what is cut and marked, ply by ply, and why a tick may be refused.

use super::Session;
use super::under_light::Refused;
use crate::finding::Severity;
use crate::garment::{Command, CutState};
use crate::pattern::PieceId;

impl Session {
    /// Ticks the place that is shown alone one further: all its plies cut, then one ply after the other marked, and back
    /// to untouched.
    pub(super) fn tick(&mut self) -> Result<(), String> {
        let place = self.floor.only.and_then(|index| Some((index, self.open.plan().lay.get(index)?)));
        let Some((index, place)) = place else {
            return Err("show one piece alone first (key .), then tick it".to_owned());
        };
        let piece = place.piece.clone();
        let copies = self.open.copies_at(index);
        let states: Vec<_> = copies.iter().map(|&copy| (copy, self.open.state_of(&piece, copy))).collect();
        let to_mark = states.iter().find(|(_, state)| *state == Some(CutState::Cut));
        let uncut = states.iter().any(|(_, state)| state.is_none());
        let next: Vec<(u32, Option<CutState>)> = match to_mark {
            _ if uncut => {
                let uncut = states.iter().filter(|(_, state)| state.is_none());
                uncut.map(|(copy, _)| (*copy, Some(CutState::Cut))).collect()
            }
            Some((copy, _)) => vec![(*copy, Some(CutState::Marked))],
            None => copies.iter().map(|&copy| (copy, None)).collect(),
        };
        let commands: Vec<Command> =
            next.into_iter().map(|(copy, state)| Command::SetProgress(piece.clone(), copy, state)).collect();
        match self.refusal(&commands) {
            Some(words) => Err(words),
            None => self.perform_as_one(&commands),
        }
    }

    /// Why these ticks are refused, if they are: a copy is cut that should not be. They can be done all the same.
    pub(super) fn refusal(&mut self, commands: &[Command]) -> Option<String> {
        let why = commands.iter().find_map(|command| match command {
            Command::SetProgress(piece, copy, Some(_)) if self.open.state_of(piece, *copy).is_none() => {
                self.speaks_against(piece)
            }
            _ => None,
        })?;
        let words = format!("{why}. Settle it first, or tick it all the same (U)");
        self.refused = Some(Refused::Tick(commands.to_vec(), why));
        Some(words)
    }

    /// Why a piece should not be cut: it is stale, or something stops the cutting of it or of all.
    pub(super) fn speaks_against(&self, piece: &PieceId) -> Option<String> {
        if self.open.evaluated().stale.contains(piece) {
            return Some(format!("“{piece}” is stale: its mate was altered and it was not"));
        }
        if let Some(moved) = self.floor.moved.as_ref().filter(|_| !self.floor.lets_move_pass) {
            return Some(format!("{moved}; aim again (I)"));
        }
        let findings = self.open.findings().into_iter();
        let mut stops = findings.filter(|finding| {
            finding.severity == Severity::Stop && finding.piece.as_ref().is_none_or(|of| of == piece)
        });
        stops.next().map(|finding| finding.what.clone())
    }
}
