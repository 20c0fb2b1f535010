//! A lay is sought beside the windows, on a thread of its own: the windows stay alive, better lays are shown as they
//! come, and nothing of the garment changes before one is taken.
//!
//! The thread is given copies of all that it needs. It ends by itself when its time is up, when it is stopped, or
//! when nobody holds on to it any more.

use super::Session;
use crate::cloth::Cloth;
use crate::garment::{
    Command, LayAnswer, LayProblem, LayProblemError, OpenGarment, along_the_cloth, at_width, reliefs,
};
use crate::geometry::{BezPath, Length};
use crate::lay::search::{Outcome, Relief, Settings, search};
use crate::lay::{LayRules, Parts, Place};
use crate::pattern::{ClothKind, Piece};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// A search for a lay ends by itself after so long.
const LONGEST_SECONDS: f64 = 60.0;
/// A question after the need of another cloth is searched for so long.
const NEED_SECONDS: f64 = 4.0;
/// Each change that may help is tried for so long.
const RELIEF_SECONDS: f64 = 2.0;

/// Asked of the search for a lay.
#[derive(Debug, Clone, PartialEq)]
pub enum LayWish {
    /// Seek a lay of the cloth that is on the table.
    Find,
    /// Seek no further.
    Stop,
    /// Lay the pieces as was found.
    Take,
    /// Let what was found go.
    Leave,
    /// How much is needed of a kind of cloth; of another usable width, where one is given.
    HowMuch(ClothKind, Option<Length>),
}

/// Why no lay can be sought.
#[derive(Debug, thiserror::Error)]
pub enum LayFinderError {
    /// No cloth.
    #[error("there is no such cloth yet; write one down at the stop Cloth")]
    NoCloth,
    /// The cloth can't be searched.
    #[error(transparent)]
    Problem(#[from] LayProblemError),
    /// The system.
    #[error("the search could not be begun: {0}")]
    Thread(#[from] std::io::Error),
}

/// What is sought now, or was last.
#[derive(Debug, Clone, Default)]
pub struct LayFinder {
    lay: Option<Arc<Search>>,
    need: Option<Arc<Search>>,
    /// How often a lay was sought: each search starts from elsewhere.
    times: u64,
}

/// How a search stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// Whether it goes on.
    pub goes_on: bool,
    /// Whether the lay is found and it is tried what would make it shorter.
    pub tries_help: bool,
    /// Seconds since it began, until it ended.
    pub seconds: f64,
    /// What is to be said of the best lay so far.
    pub answer: Option<LayAnswer>,
    /// Why there is none.
    pub failed: Option<String>,
}

/// A search on its thread; dropped, it ends.
#[derive(Debug)]
struct Search {
    asked: Asked,
    problem: LayProblem,
    begun: Instant,
    /// Ends the search itself.
    stop: Arc<AtomicBool>,
    /// Ends everything.
    gone: Arc<AtomicBool>,
    heard: Arc<Mutex<Heard>>,
    worker: JoinHandle<()>,
}

/// What a search was begun with.
#[derive(Debug, Clone)]
struct Asked {
    kind: ClothKind,
    cloth: Cloth,
    rules: LayRules,
    kept: Vec<Place>,
    pieces: Vec<(Arc<Piece>, Option<BezPath>)>,
}

/// What the thread has said so far.
#[derive(Debug, Default)]
struct Heard {
    best: Option<Outcome>,
    /// Counts the lays.
    number: u64,
    tries_help: bool,
    reliefs: Vec<Relief>,
    failed: Option<String>,
    took: Option<Duration>,
}

impl Session {
    /// Does what was asked of the search for a lay.
    ///
    /// # Errors
    /// In words; nothing changes then.
    pub(super) fn seek_lay(&mut self, wish: &LayWish) -> Result<(), String> {
        match wish {
            LayWish::Find => self.lay_finder.find(&self.open).map_err(|error| error.to_string()),
            LayWish::HowMuch(kind, width) => {
                self.lay_finder.ask_need(&self.open, *kind, width.as_ref()).map_err(|error| error.to_string())
            }
            LayWish::Stop => {
                self.lay_finder.stop();
                Ok(())
            }
            LayWish::Leave => {
                self.lay_finder.leave();
                Ok(())
            }
            LayWish::Take => {
                let places = self.lay_finder.places(&self.open);
                let places = places.ok_or("there is no lay to take; seek one first")?;
                self.perform(&Command::SetLay(places), None)?;
                self.lay_finder.leave();
                // The places are counted anew.
                self.floor.only = None;
                Ok(())
            }
        }
    }
}

impl LayFinder {
    /// Begins to seek a lay of the cloth that is on the table. What is pinned or cut stays.
    ///
    /// # Errors
    /// [`LayFinderError`]; what was found before is still there then.
    pub fn find(&mut self, open: &OpenGarment) -> Result<(), LayFinderError> {
        let asked = Asked::now(open).ok_or(LayFinderError::NoCloth)?;
        self.times += 1;
        let settings = Settings::seconds(LONGEST_SECONDS, self.times);
        let parts = open.evaluated().parts_of(asked.kind);
        self.lay = Some(Arc::new(Search::begin(asked, parts, settings, true)?));
        Ok(())
    }

    /// Begins to ask how much is needed of a kind of cloth, at another usable width where one is given.
    ///
    /// # Errors
    /// [`LayFinderError`].
    pub fn ask_need(
        &mut self,
        open: &OpenGarment,
        kind: ClothKind,
        width: Option<&Length>,
    ) -> Result<(), LayFinderError> {
        let plan = open.plan();
        let cloth = plan.cloths.get(&kind).ok_or(LayFinderError::NoCloth)?;
        let cloth = width.map_or_else(|| cloth.clone(), |width| at_width(cloth, width));
        let rules = plan.rules_on(kind);
        let asked = Asked { kind, cloth, rules, kept: Vec::new(), pieces: pieces_of(open) };
        let settings = Settings::seconds(NEED_SECONDS, 1);
        self.need = Some(Arc::new(Search::begin(asked, open.evaluated().parts_of(kind), settings, false)?));
        Ok(())
    }

    /// Ends the search; what was found stays.
    pub fn stop(&self) {
        if let Some(search) = &self.lay {
            search.stop.store(true, Ordering::Relaxed);
            // Stopped by hand, it is still worth a moment to say what would help; stopped once more, it is not.
            if search.heard().tries_help {
                search.gone.store(true, Ordering::Relaxed);
            }
        }
    }

    /// Ends the search and lets what was found go.
    pub fn leave(&mut self) {
        self.lay = None;
    }

    /// How the search for a lay stands; `None` while nothing was sought, or when what was sought is no longer what
    /// the garment asks for.
    #[must_use]
    pub fn standing(&self, open: &OpenGarment) -> Option<Standing> {
        self.current(open).map(|search| search.standing(true))
    }

    /// How the question after another cloth's need stands.
    #[must_use]
    pub fn need(&self) -> Option<Standing> {
        self.need.as_deref().map(|search| search.standing(false))
    }

    /// Whether something was sought that the garment asks for no longer.
    #[must_use]
    pub fn is_outdated(&self, open: &OpenGarment) -> bool {
        self.lay.is_some() && self.current(open).is_none()
    }

    /// The number of the lay that is shown in the stead of the garment's, while one is.
    #[must_use]
    pub fn shown(&self, open: &OpenGarment) -> Option<u64> {
        let heard = self.current(open)?.heard();
        heard.best.as_ref().map(|_| heard.number)
    }

    /// The places of the best lay so far.
    #[must_use]
    pub fn places(&self, open: &OpenGarment) -> Option<Vec<Place>> {
        let search = self.current(open)?;
        let best = search.heard().best.clone()?;
        Some(along_the_cloth(open, search.problem.places(&best)))
    }

    /// The garment as it would be with the best lay so far.
    #[must_use]
    pub fn tried_on(&self, open: &OpenGarment) -> Option<OpenGarment> {
        let mut tried = open.clone();
        tried.perform(&Command::SetLay(self.places(open)?), None).ok()?;
        Some(tried)
    }

    fn current(&self, open: &OpenGarment) -> Option<&Search> {
        self.lay.as_deref().filter(|search| search.asked.is_of(open))
    }
}

impl Asked {
    fn now(open: &OpenGarment) -> Option<Self> {
        let plan = open.plan();
        Some(Self {
            kind: plan.on_table,
            cloth: plan.cloth()?.clone(),
            rules: plan.lay_rules.clone(),
            kept: open.staying(),
            pieces: pieces_of(open),
        })
    }

    fn is_of(&self, open: &OpenGarment) -> bool {
        let (plan, pieces) = (open.plan(), &open.evaluated().pieces);
        let same_piece = |(piece, outline): &(Arc<Piece>, Option<BezPath>), index: usize| {
            pieces.get(index).is_some_and(|now| {
                (Arc::ptr_eq(piece, &now.altered) || *piece == now.altered) && *outline == now.cutting_path
            })
        };
        plan.on_table == self.kind
            && plan.cloth() == Some(&self.cloth)
            && plan.lay_rules == self.rules
            && open.staying() == self.kept
            && self.pieces.len() == pieces.len()
            && self.pieces.iter().enumerate().all(|(index, piece)| same_piece(piece, index))
    }
}

fn pieces_of(open: &OpenGarment) -> Vec<(Arc<Piece>, Option<BezPath>)> {
    let pieces = open.evaluated().pieces.iter();
    pieces.map(|piece| (Arc::clone(&piece.altered), piece.cutting_path.clone())).collect()
}

impl Search {
    fn begin(
        asked: Asked,
        parts: Arc<Parts>,
        settings: Settings,
        with_help: bool,
    ) -> Result<Self, LayFinderError> {
        let problem = LayProblem::of(&asked.cloth, &parts, &asked.rules, &asked.kept)?;
        let [stop, gone] = [(); 2].map(|()| Arc::new(AtomicBool::new(false)));
        let heard = Arc::new(Mutex::new(Heard::default()));
        let begun = Instant::now();
        let worker = {
            let (asked, problem) = (asked.clone(), problem.clone());
            let (stop, gone, heard) = (Arc::clone(&stop), Arc::clone(&gone), Arc::clone(&heard));
            std::thread::Builder::new().name("lay".to_owned()).spawn(move || {
                let progress = |outcome: &Outcome| {
                    let mut heard = lock(&heard);
                    heard.best = Some(outcome.clone());
                    heard.number += 1;
                };
                match search(&problem.problem, &settings, &stop, &progress) {
                    Err(error) => lock(&heard).failed = Some(error.to_string()),
                    Ok(outcome) => {
                        lock(&heard).best = Some(outcome.clone());
                        if with_help && outcome.short_by(&problem.problem).is_some() {
                            lock(&heard).tries_help = true;
                            let settings = Settings::seconds(RELIEF_SECONDS, settings.seed);
                            let cloth = (&asked.cloth, &*parts, &asked.rules, asked.kept.as_slice());
                            let found = reliefs(cloth, &problem.problem, &outcome, &settings, &gone);
                            lock(&heard).reliefs = found.unwrap_or_default();
                        }
                    }
                }
                let mut heard = lock(&heard);
                heard.tries_help = false;
                heard.took = Some(begun.elapsed());
            })?
        };
        Ok(Self { asked, problem, begun, stop, gone, heard, worker })
    }

    fn heard(&self) -> MutexGuard<'_, Heard> {
        lock(&self.heard)
    }

    fn standing(&self, of_cloth: bool) -> Standing {
        let goes_on = !self.worker.is_finished();
        let heard = self.heard();
        let answer = heard.best.as_ref().map(|best| {
            let answer = LayAnswer::of(&self.asked.cloth, &self.problem.problem, best, &heard.reliefs);
            // Of another cloth no length is at hand.
            if of_cloth { answer } else { LayAnswer { at_hand_mm: None, short_mm: None, ..answer } }
        });
        let died = !goes_on && heard.took.is_none();
        let failed = heard.failed.clone();
        Standing {
            goes_on,
            tries_help: heard.tries_help,
            seconds: heard.took.unwrap_or_else(|| self.begun.elapsed()).as_secs_f64(),
            answer,
            failed: failed.or_else(|| died.then(|| "the search broke off; begin it again".to_owned())),
        }
    }
}

impl Drop for Search {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        self.gone.store(true, Ordering::Relaxed);
    }
}

fn lock(heard: &Mutex<Heard>) -> MutexGuard<'_, Heard> {
    heard.lock().unwrap_or_else(PoisonError::into_inner)
}
