//! What is done under the light beside cutting, begun and ended by keys: aiming again, looking whether the projector
//! moved, cutting in stands, and letting something pass that was refused.

use super::Session;
use crate::aim::{LookAgain, Reaim, STRETCH_MM};
use crate::floor::{Action, Press, Work, action_for};
use crate::garment::{Command, StandWork};
use crate::geometry::Point;

/// What was refused, and can be done all the same.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Refused {
    /// The next stand: the projector moved.
    NextStand,
    /// A tick, and why.
    Tick(Vec<Command>, String),
}

/// A mark is taken hold of within this distance in the picture, in px.
const REACH_PX: f64 = 80.0;

impl Session {
    /// A key, whichever window had it.
    pub fn press(&mut self, press: Press) {
        if let Some(action) = action_for(press) {
            self.grant(&super::Wish::Act(action));
        }
    }

    /// Does what a key means under the light; `None` when it means the same as ever.
    pub(super) fn act_under_light(&mut self, action: Action) -> Option<Result<(), String>> {
        match action {
            Action::Reaim if matches!(self.floor.work.as_deref(), Some(Work::Crosses { .. })) => {
                return Some(self.take_moved_projector());
            }
            Action::Reaim => return Some(self.begin_reaim()),
            Action::Look => return Some(self.begin_look(false)),
            Action::NextStand => return Some(self.next_stand()),
            Action::Overrule => return Some(self.overrule()),
            _ => {}
        }
        let work = self.floor.work.as_deref_mut()?;
        match action {
            Action::Nudge(direction, step) => work.nudge(direction, step),
            Action::NextMark => work.place(),
            Action::PreviousMark => work.seek_mut().step_back(),
            Action::Tick => return Some(self.take()),
            Action::Dark => self.floor.work = None,
            _ => return None,
        }
        Some(Ok(()))
    }

    fn good_aim(&self) -> Result<&crate::aim::Aim, String> {
        let aim = self.open.aim().good.as_ref();
        aim.ok_or_else(|| "there is no aim yet: begin one at the stop Aim".to_owned())
    }

    fn begin(&mut self, work: Work) {
        self.floor.dark = false;
        self.floor.only_cutting_lines = false;
        self.floor.work = Some(Box::new(work));
    }

    fn begin_reaim(&mut self) -> Result<(), String> {
        let reaim = Reaim::of(self.good_aim()?).map_err(|error| error.to_string())?;
        self.begin(Work::Reaim(reaim));
        Ok(())
    }

    fn begin_look(&mut self, then_next: bool) -> Result<(), String> {
        let look = LookAgain::at(self.good_aim()?);
        let look = look.ok_or("this aim has no marks to look at; aim with marks first")?;
        let limit_px = self.open.garment().aims.first().and_then(|aim| aim.watch_px);
        self.begin(Work::Look { look, limit_px, then_next });
        Ok(())
    }

    /// Begins to cut in stands, or goes on to the next one: the check marks are looked at first.
    fn next_stand(&mut self) -> Result<(), String> {
        let Some(stands) = self.open.stands() else {
            let copy = self.floor.only_copy(&self.open).map(|(piece, copy)| (piece.clone(), copy));
            let stands = StandWork::divide(&self.open, copy).map_err(|error| error.to_string())?;
            return self.perform(&Command::SetStands(Some(Box::new(stands))), None);
        };
        if stands.is_last() {
            return self.perform(&Command::SetStands(None), None);
        }
        if self.floor.moved.is_some() && !self.floor.lets_move_pass {
            self.refused = Some(Refused::NextStand);
            let what = "the projector moved since it was aimed. Aim again (I) before the next stand, or go on all the \
                        same (U)";
            return Err(what.to_owned());
        }
        if self.floor.lets_move_pass {
            return self.begin_crosses();
        }
        self.begin_look(true)
    }

    /// The light falls where it is believed to: it was looked at, or aimed again.
    fn was_looked_at(&mut self) {
        self.floor.was_looked_at();
        self.taken_up = false;
    }

    fn begin_crosses(&mut self) -> Result<(), String> {
        let stands = self.open.stands().ok_or("there are no stands yet: X begins them")?;
        let find = stands.seek_next(self.good_aim()?).map_err(|error| error.to_string())?;
        let first = stands.first_number(stands.at + 1);
        self.begin(Work::Crosses { find, first });
        Ok(())
    }

    /// Takes what was found: the aim, the word on whether it moved, the stand.
    fn take(&mut self) -> Result<(), String> {
        let Some(mut work) = self.floor.work.as_deref().cloned() else { return Ok(()) };
        // A light that was moved is meant to be where it is.
        if work.seek().is_touched() {
            work.place();
            self.floor.work = Some(Box::new(work.clone()));
        }
        match work {
            Work::Reaim(reaim) => {
                let aim = reaim.aim().map_err(|error| error.to_string())?;
                let mut measured = reaim.measured();
                if aim.is_provisional() {
                    measured.lens = aim.lens();
                }
                self.perform(&Command::TakeAim(Box::new(measured)), None)?;
                self.was_looked_at();
            }
            Work::Look { look, limit_px, then_next } => {
                let watch = look.watch(limit_px).map_err(|error| error.to_string())?;
                self.floor.work = None;
                self.floor.lets_move_pass = false;
                if watch.has_moved() {
                    self.floor.moved = Some(watch.to_string());
                    self.refused = then_next.then_some(Refused::NextStand);
                    let or = if then_next { ", or go on all the same (U)" } else { "" };
                    return Err(format!("{watch}: aim again (I){or}"));
                }
                self.was_looked_at();
                if then_next {
                    return self.begin_crosses();
                }
            }
            Work::Crosses { find, .. } => {
                let found = find.registration(STRETCH_MM).map_err(|error| error.to_string())?;
                let stands = self.open.stands().ok_or("the stands were left meanwhile")?.next(&found);
                self.perform(&Command::SetStands(Some(Box::new(stands))), None)?;
                self.floor.work = None;
            }
        }
        Ok(())
    }

    /// The projector was moved and the cloth stayed: the crosses that were found are the marks of a further aim.
    fn take_moved_projector(&mut self) -> Result<(), String> {
        let Some(Work::Crosses { find, first }) = self.floor.work.as_deref() else { return Ok(()) };
        let mut find = find.clone();
        if find.seek().is_touched() {
            find.place();
            self.floor.work = Some(Box::new(Work::Crosses { find: find.clone(), first: *first }));
        }
        let stands = self.open.stands().ok_or("the stands were left meanwhile")?;
        let measured =
            find.measured_from_there(&self.open.stand().motion()).map_err(|error| error.to_string())?;
        let next = stands.next_from_there();
        let name = format!("stand {}", next.at + 1);
        let kept = Command::KeepAim { name, measured: Box::new(measured) };
        self.perform_as_one(&[kept, Command::SetStands(Some(Box::new(next)))])?;
        self.was_looked_at();
        Ok(())
    }

    /// Does all the same what was refused last, and says so on the cloth.
    fn overrule(&mut self) -> Result<(), String> {
        match self.refused.take() {
            None => Err("nothing was refused".to_owned()),
            Some(Refused::NextStand) => {
                self.floor.lets_move_pass = true;
                self.begin_crosses()
            }
            Some(Refused::Tick(commands, why)) => {
                self.perform_as_one(&commands)?;
                self.floor.let_pass = Some(format!("ticked all the same: {why}"));
                Ok(())
            }
        }
    }

    /// The pointer takes hold of the nearest mark's light, at a place of the picture in px. Whether there is one.
    pub fn take_hold(&mut self, at: Point) -> bool {
        let Some(work) = self.floor.work.as_deref_mut() else { return false };
        let seek = work.seek_mut();
        let gap = |&mark: &usize| seek.picks().get(mark).map_or(f64::INFINITY, |pick| pick.distance(at));
        let nearest = (0..seek.picks().len()).min_by(|a, b| gap(a).total_cmp(&gap(b)));
        let Some(nearest) = nearest.filter(|mark| gap(mark) <= REACH_PX) else { return false };
        seek.choose(nearest).is_ok()
    }

    /// The pointer drags the light that it holds.
    pub fn drag_light(&mut self, to: Point) {
        if let Some(work) = self.floor.work.as_deref_mut() {
            work.seek_mut().put(to);
        }
    }

    /// The pointer lets go: the light lies on its cross.
    pub fn let_go(&mut self) {
        if let Some(work) = self.floor.work.as_deref_mut().filter(|work| work.seek().is_touched()) {
            work.place();
        }
    }
}
