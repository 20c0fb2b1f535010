//! Alterations to propose, in the order in which they are best made: the size to start from, lengths, then widths from
//! the zone that the size was chosen by outwards.
//!
//! Each is tried on the garment before it is proposed, after those before it; one that cannot be done is left out.

use super::level::Level;
use super::table::{FitZone, Printed, zones_with};
use crate::alter::{
    Alteration, AlterationId, Blend, DartsAcross, Lengthen, LengthenAt, Outcome, Place, Record, replay,
};
use crate::garment::{Command, Garment, OpenGarment};
use crate::geometry::{Length, Point};
use crate::pattern::{
    BalanceLineId, BodyDirection, EdgeRole, Landmark, Measure, NotchId, Piece, PieceId, SizeId,
};
use std::sync::Arc;

/// Something that would bring the pattern nearer to the wearer.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// What is done, in a short sentence.
    pub words: String,
    /// Why: the numbers behind it.
    pub reason: String,
    /// What accepting it does: an alteration added, or another size to start from.
    pub command: Command,
}

impl Proposal {
    /// The alteration that is proposed, if it is one.
    #[must_use]
    pub const fn record(&self) -> Option<&Record> {
        match &self.command {
            Command::AddAlteration(record) => Some(record),
            _ => None,
        }
    }

    fn of(record: Record, reason: String) -> Self {
        Self { words: record.words(), reason, command: Command::AddAlteration(record) }
    }
}

/// A length that is off by less is left as it is, in mm: ⅛ inch, as closely as a tape is read on a body.
const LENGTH_TOLERANCE_MM: f64 = 3.0;

/// A width that is off the nearest size's by less is that size's, in mm.
const WIDTH_TOLERANCE_MM: f64 = 1.0;

/// A balance line is tried with so much, in mm, to see what it does to a measure.
const TRIED_MM: f64 = 10.0;

/// Of the least spread that a shortening needs, so much is proposed: a little more, so that the seam curves gently.
const SPREAD: f64 = 1.1;

/// What would bring the pattern nearer to the wearer; nothing where it fits, or nobody was measured.
///
/// Each proposal is tried by replaying the list, some ten times in all: a view keeps the answer until
/// [`OpenGarment::revision`] changes.
#[must_use]
pub fn proposals(open: &OpenGarment) -> Vec<Proposal> {
    let mut trial = Trial {
        printed: Printed::of(&open.garment().pattern),
        garment: open.garment().clone(),
        proposals: Vec::new(),
    };
    trial.size();
    trial.lengths();
    trial.widths();
    trial.proposals
}

/// The garment with everything accepted that was proposed so far.
struct Trial {
    garment: Garment,
    printed: Printed,
    proposals: Vec<Proposal>,
}

impl Trial {
    fn zones(&self) -> Vec<FitZone> {
        zones_with(&self.garment, &self.garment.plan.alterations, &self.printed)
    }

    fn pieces(&self) -> Vec<Arc<Piece>> {
        let plan = &self.garment.plan;
        replay(&self.garment.pattern, &plan.size, &plan.alterations).pieces
    }

    /// The zone that a size is chosen by: the first measured one that goes round the body.
    fn primary(&self, zones: &[FitZone]) -> Option<usize> {
        let round = |zone: &FitZone| zone.nearest_size.is_some() && zone.pattern_mm.is_some();
        zones.iter().position(round)
    }

    fn size(&mut self) {
        let zones = self.zones();
        let Some(zone) = self.primary(&zones).and_then(|index| zones.get(index)) else {
            return;
        };
        let (Some(size), Some(body)) = (&zone.nearest_size, zone.body_mm) else {
            return;
        };
        if !is_other_size(zone, size) {
            return;
        }
        let command = Command::ChooseSize(size.clone());
        let beyond = beyond_words(zone.outside_sizes_mm);
        let reason = format!("{} {body:.0} mm is nearest to size {size}{beyond}", zone.of.words());
        if let Some(Ok(plan)) = self.garment.plan.after(&command) {
            self.garment.plan = Arc::new(plan);
            self.proposals.push(Proposal { words: format!("start from size {size}"), reason, command });
        }
    }

    fn lengths(&mut self) {
        let pattern = Arc::clone(&self.garment.pattern);
        let along = pattern
            .measures
            .iter()
            .enumerate()
            .filter(|(_, measure)| measure.of.direction() == BodyDirection::Along);
        for (index, measure) in along {
            let zones = self.zones();
            let Some((change, reason)) = zones.get(index).and_then(|zone| self.length_off(zone)) else {
                continue;
            };
            let lines = self.lines_of(measure);
            let records = lines.iter().filter_map(|line| self.lengthening(measure, line, change));
            let done = records.into_iter().find_map(|record| self.tried(record));
            if let Some(record) = done {
                self.accept(record, reason);
            }
        }
    }

    /// How much longer the pattern should be, and why.
    fn length_off(&self, zone: &FitZone) -> Option<(f64, String)> {
        let (body, now) = (zone.body_mm?, zone.pattern_mm?);
        let own = zone.by_size.iter().find(|in_size| in_size.size == self.garment.plan.size);
        // What the pattern gives its own body is the style's; where it does not tell, the least.
        let given = own.and_then(|own| Some(own.pattern_mm - own.drafted_for_mm?));
        let ease = given.filter(|ease| ease.abs() > 0.5).unwrap_or(zone.minimum_ease_mm);
        let change = (body + ease - now).round();
        let with_ease = if ease == 0.0 { String::new() } else { format!(" and {ease:.0} mm of ease") };
        let reason =
            format!("{}: {now:.0} mm on the pattern, {body:.0} mm on the body{with_ease}", zone.of.words());
        (change.abs() >= LENGTH_TOLERANCE_MM).then_some((change, reason))
    }

    /// The balance lines of the pieces that a measure goes over, in their order.
    fn lines_of(&self, measure: &Measure) -> Vec<BalanceLineId> {
        let mut lines = Vec::new();
        let ids = measure.terms.iter().filter_map(|term| term.path.piece());
        for piece in self.pieces().iter().filter(|piece| ids.clone().any(|id| id == &piece.id)) {
            for line in &piece.balance_lines {
                if !lines.contains(&line.id) {
                    lines.push(line.id.clone());
                }
            }
        }
        lines
    }

    /// The lengthening at a line that changes a measure by so much; `None` where the line does nothing to it.
    fn lengthening(&self, measure: &Measure, line: &BalanceLineId, change: f64) -> Option<Record> {
        let before = measure.on(&self.pieces()).ok()?;
        let tried = self.with(&lengthen(line, TRIED_MM))?;
        // A measure that ends within the band takes up a little less than the line gives; whole lines count.
        let gain = ((measure.on(&tried.pieces).ok()? - before) / TRIED_MM).round();
        (gain >= 1.0).then(|| lengthen(line, (change / gain).round()))
    }

    fn widths(&mut self) {
        let zones = self.zones();
        let Some(primary) = self.primary(&zones) else {
            return;
        };
        let pattern = Arc::clone(&self.garment.pattern);
        let Some(landmark) = pattern.measures.get(primary).map(Level::all_of) else {
            return;
        };
        // Outwards from the zone that the size was chosen by: downwards, then upwards.
        for down in [true, false] {
            let mut settled = landmark.clone();
            for index in self.outwards(primary, down) {
                let Some(levels) = pattern.measures.get(index).map(Level::all_of) else {
                    continue;
                };
                if let Some((record, reason)) = self.blend(index, &levels, &settled)
                    && let Some(record) = self.tried(record)
                {
                    self.accept(record, reason);
                }
                settled = levels;
            }
        }
    }

    /// Measured zones round the body below (or above) a zone, the nearest first.
    fn outwards(&self, primary: usize, down: bool) -> Vec<usize> {
        let pieces = self.pieces();
        let measures = &self.garment.pattern.measures;
        let Some(levels) = measures.get(primary).map(Level::all_of) else {
            return Vec::new();
        };
        let zones = self.zones();
        let measured = |index: &usize| zones.get(*index).is_some_and(|zone| zone.nearest_size.is_some());
        let mut apart: Vec<(usize, f64)> = (0..measures.len())
            .filter(|index| *index != primary)
            .filter(measured)
            .filter_map(|index| {
                let theirs = Level::all_of(measures.get(index)?);
                let below = levels.iter().find_map(|mine| {
                    let their = theirs.iter().find(|their| their.piece == mine.piece)?;
                    Some(mine.height(&pieces)? - their.height(&pieces)?)
                })?;
                let ahead = if down { below } else { -below };
                (ahead > 0.0).then_some((index, ahead))
            })
            .collect();
        apart.sort_by(|a, b| a.1.total_cmp(&b.1));
        apart.into_iter().map(|(index, _)| index).collect()
    }

    /// The blend that brings a zone to its nearest size, from the zone before it.
    fn blend(&self, index: usize, levels: &[Level], settled: &[Level]) -> Option<(Record, String)> {
        let zones = self.zones();
        let zone = zones.get(index)?;
        let (size, body, ease) = (zone.nearest_size.as_ref()?, zone.body_mm?, zone.ease_mm?);
        if !is_other_size(zone, size) {
            return None;
        }
        let (piece, until, from) = levels.iter().find_map(|level| self.stretch(level, settled))?;
        let reason = format!(
            "{} {body:.0} mm is nearest to size {size}{}; the pattern is {ease:.0} mm larger here, as in size {}",
            zone.of.words(),
            beyond_words(zone.outside_sizes_mm),
            zone.present_size.as_ref()?
        );
        let record = Record::Blend(Blend {
            to: size.clone(),
            piece,
            from,
            until: Place::Notch { notch: until },
            through: None,
        });
        Some((record, reason))
    }

    /// On the seam that a zone's level notches: from the landmark at or next after the settled zone, up to the notch.
    fn stretch(&self, level: &Level, settled: &[Level]) -> Option<(PieceId, NotchId, Place)> {
        let Landmark::Notch(until) = &level.landmark else {
            return None;
        };
        let pieces = self.pieces();
        let piece = pieces.iter().find(|piece| piece.id == level.piece)?;
        let edge = piece.edge(&piece.notches.iter().find(|notch| &notch.id == until)?.edge)?;
        if edge.role != EdgeRole::Seam {
            return None;
        }
        let settled = settled.iter().find(|settled| settled.piece == level.piece)?;
        let up = piece.grainline.direction();
        let height = |at: Point| at.to_vec2().dot(up);
        let (begin, end) = (settled.height(&pieces)?, level.height(&pieces)?);
        let share = |at: Point| (height(at) - begin) / (end - begin);
        let notches = piece.notches.iter().filter(|notch| notch.edge == edge.id && &notch.id != until);
        let notches = notches.filter_map(|notch| {
            let place = Place::Notch { notch: notch.id.clone() };
            Some((share(piece.notch_point(notch)?), place))
        });
        let corners = [&edge.from, &edge.to].into_iter().filter_map(|corner| {
            let place = Place::Corner { corner: corner.clone() };
            Some((share(piece.corner(corner)?), place))
        });
        // A notch a hair above its own level is still at it.
        const AT_LEVEL: f64 = -0.01;
        let between = notches.chain(corners).filter(|(share, _)| (AT_LEVEL..0.9).contains(share));
        let (_, from) = between.min_by(|a, b| a.0.total_cmp(&b.0))?;
        Some((piece.id.clone(), until.clone(), from))
    }

    /// The garment with one more alteration; `None` where it cannot be done or changes nothing.
    fn with(&self, record: &Record) -> Option<crate::alter::Replay> {
        let plan = &self.garment.plan;
        let mut list = plan.alterations.clone();
        list.push(Alteration { id: AlterationId(u32::MAX), on: true, record: record.clone() });
        let tried = replay(&self.garment.pattern, &plan.size, &list);
        matches!(tried.steps.last()?.outcome, Outcome::Applied(_)).then_some(tried)
    }

    /// The record, if it can be done.
    fn tried(&self, record: Record) -> Option<Record> {
        self.with(&record).map(|_| record)
    }

    fn accept(&mut self, record: Record, reason: String) {
        let command = Command::AddAlteration(record.clone());
        if let Some(Ok(plan)) = self.garment.plan.after(&command) {
            self.garment.plan = Arc::new(plan);
            self.proposals.push(Proposal::of(record, reason));
        }
    }
}

/// Whether a zone of the altered pattern is of another size than this.
fn is_other_size(zone: &FitZone, size: &SizeId) -> bool {
    let wanted = zone.by_size.iter().find(|in_size| &in_size.size == size);
    let (Some(wanted), Some(now)) = (wanted, zone.pattern_mm) else {
        return false;
    };
    zone.present_size.as_ref() != Some(size) && (wanted.pattern_mm - now).abs() > WIDTH_TOLERANCE_MM
}

fn lengthen(line: &BalanceLineId, by_mm: f64) -> Record {
    // Shortening needs a spread of more than three quarters of its amount; the usual one is enough for most.
    const USUAL_SPREAD_MM: f64 = 50.0;
    let needed = -0.75 * by_mm * SPREAD;
    Record::Lengthen(Lengthen {
        at: LengthenAt::BalanceLine {
            line: line.clone(),
            half_band: (needed > USUAL_SPREAD_MM).then(|| Length::from_mm(needed.ceil())),
            darts: DartsAcross::default(),
        },
        longer_by: Length::from_mm(by_mm),
    })
}

fn beyond_words(outside_mm: f64) -> String {
    if outside_mm > 0.0 {
        format!(", and {outside_mm:.0} mm beyond it")
    } else if outside_mm < 0.0 {
        format!(", and {:.0} mm under it", -outside_mm)
    } else {
        String::new()
    }
}
