//! The search from outside: budget, threads, progress, the best of all searchers.

use super::bound;
use super::check::check;
use super::climb::{Climber, Listener, NO_GAIN_MM};
use super::fill::{fill, order_by_size};
use super::fold_sequence::FoldSequence;
use super::layout::Layout;
use super::model::Model;
use super::outcome::{Bound, Outcome, Placed};
use super::problem::{Problem, SearchError};
use super::separate::Watch;
use fastrand::Rng;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// How long to search, and from where.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// The same seed and number of moves give the same lay again.
    pub seed: u64,
    /// Time at most.
    pub time: Option<Duration>,
    /// Moves of one piece at most, for each searcher.
    pub moves: Option<u64>,
    /// Searchers side by side, each on a thread of its own.
    pub searchers: usize,
}

impl Default for Settings {
    fn default() -> Self {
        Self { seed: 1, time: None, moves: Some(20_000), searchers: 1 }
    }
}

impl Settings {
    /// For so long, with a searcher on each of at most four cores.
    #[must_use]
    pub fn seconds(seconds: f64, seed: u64) -> Self {
        let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        Self {
            seed,
            time: Duration::try_from_secs_f64(seconds.max(0.0)).ok(),
            moves: None,
            searchers: cores.min(4),
        }
    }
}

/// Searches for a short lay. Every lay that the checker confirms and that is shorter than all before goes to
/// `progress`, and the last one is returned. `stop` ends the search at the next move.
///
/// # Errors
/// [`SearchError`] when the problem is none, or when no lay keeps its rules.
pub fn search(
    problem: &Problem,
    settings: &Settings,
    stop: &AtomicBool,
    progress: &(dyn Fn(&Outcome) + Sync),
) -> Result<Outcome, SearchError> {
    let begun = Instant::now();
    let model = Model::new(problem)?;
    super::fits::check_fit(problem, &model)?;
    let fold = FoldSequence::shortest(&model);
    let bound = bound::best(&model, fold.as_ref());
    let board = Board {
        problem,
        model: &model,
        bound,
        best: Mutex::new(None),
        progress,
        proved: AtomicBool::new(false),
    };
    let mut first = first_lay(&model, None).map_err(|piece| super::fits::no_place(problem, &model, piece))?;
    board.found(&first, 0, 0);
    if let Some(lay) = fold.as_ref().and_then(|fold| lay_along_fold(&model, fold))
        && lay.used(&model) < first.used(&model)
    {
        first = lay;
    }
    let ends = begun.checked_add(settings.time.unwrap_or(FOREVER));
    let searchers = settings.searchers.max(1);
    let work = |number: usize| {
        let mut rng = Rng::with_seed(settings.seed ^ (number as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15));
        let start = if number == 0 {
            first.clone()
        } else {
            first_lay(&model, Some(&mut rng)).unwrap_or_else(|_piece| first.clone())
        };
        let mut ear = Ear {
            board: &board,
            searcher: number,
            stop,
            ends,
            moves: 0,
            most: settings.moves.unwrap_or(u64::MAX),
            by_clock: settings.moves.is_none(),
        };
        let used = start.used(&model);
        ear.found(&start, used);
        Climber::new(&model, start, bound.mm, rng).climb(&mut ear);
    };
    std::thread::scope(|scope| {
        for number in 1..searchers {
            let work = &work;
            scope.spawn(move || work(number));
        }
        work(0);
    });
    let best = board.best.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
    match best {
        Some(Standing { outcome: Ok(outcome), .. }) => Ok(outcome),
        Some(Standing { outcome: Err(why), .. }) => Err(SearchError::Refused(why)),
        None => Err(SearchError::Nothing),
    }
}

/// No end by the clock.
const FOREVER: Duration = Duration::from_secs(60 * 60 * 24 * 365);

fn first_lay(model: &Model, rng: Option<&mut Rng>) -> Result<Layout, usize> {
    let order = order_by_size(model, rng);
    let all = |piece: usize| (0..model.kinds[model.pieces[piece]].shapes.len()).collect();
    fill(model, Layout::new(model), &order, all)
}

/// The pieces on the fold in their shortest order, then all others.
fn lay_along_fold(model: &Model, fold: &FoldSequence) -> Option<Layout> {
    let mut order: Vec<usize> = fold.order.iter().map(|(piece, _)| *piece).collect();
    order.extend(order_by_size(model, None).into_iter().filter(|piece| !model.is_on_fold(*piece)));
    let shapes_of = |piece: usize| {
        let in_sequence = fold.order.iter().find(|(known, _)| *known == piece);
        match in_sequence {
            Some((_, shape)) => vec![*shape],
            None => (0..model.kinds[model.pieces[piece]].shapes.len()).collect(),
        }
    };
    fill(model, Layout::new(model), &order, shapes_of).ok()
}

/// What all searchers have found together.
struct Board<'a> {
    problem: &'a Problem,
    model: &'a Model,
    bound: Bound,
    best: Mutex<Option<Standing>>,
    progress: &'a (dyn Fn(&Outcome) + Sync),
    /// A searcher counted out every place.
    proved: AtomicBool,
}

/// The best so far, with who found it: among equals the first searcher's, whatever the threads' timing.
struct Standing {
    used: f64,
    searcher: usize,
    outcome: Result<Outcome, String>,
}

impl Board<'_> {
    fn found(&self, layout: &Layout, searcher: usize, moves: u64) {
        let used = layout.used(self.model);
        let mut best = self.best.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let better = match &*best {
            Some(Standing { used: known, searcher: by, outcome: Ok(_) }) => {
                used < *known || (used <= *known && searcher < *by)
            }
            _ => true,
        };
        if !better {
            return;
        }
        let places = self.places(layout);
        let broken = check(self.problem, &places);
        let outcome = match broken.first() {
            Some(rule) => Err(rule.to_string()),
            None => Ok(self.outcome(used, places, moves)),
        };
        match (&outcome, &*best) {
            (Ok(outcome), _) => (self.progress)(outcome),
            // A lay that breaks a rule never takes the place of one that breaks none.
            (Err(_), Some(Standing { outcome: Ok(_), .. })) => return,
            (Err(_), _) => {}
        }
        *best = Some(Standing { used, searcher, outcome });
    }

    fn places(&self, layout: &Layout) -> Vec<Placed> {
        let mut places = Vec::with_capacity(self.model.wanted);
        let mut piece = 0;
        for (index, item) in self.problem.items.iter().enumerate() {
            for copy in 0..item.copies {
                let shape = layout.shape(self.model, piece);
                let pose = match &item.pinned {
                    Some(pinned) => pinned.pose,
                    None => item.poses[layout.shapes[piece]],
                };
                places.push(Placed { item: index, copy, pose, at: layout.at[piece] + shape.origin });
                piece += 1;
            }
        }
        places
    }

    fn outcome(&self, used: f64, places: Vec<Placed>, moves: u64) -> Outcome {
        let pieces = &self.model.pieces[..self.model.wanted];
        let area: f64 = pieces.iter().map(|kind| self.model.kinds[*kind].area).sum();
        Outcome {
            used_mm: used,
            density: area / (self.model.width * used),
            bound: self.bound,
            proved: used <= self.bound.mm + NO_GAIN_MM,
            places,
            moves,
        }
    }
}

/// One searcher's line to the board and the clock.
struct Ear<'a> {
    board: &'a Board<'a>,
    searcher: usize,
    stop: &'a AtomicBool,
    ends: Option<Instant>,
    moves: u64,
    most: u64,
    /// With a number of moves, nothing that depends on the timing of threads may end a searcher.
    by_clock: bool,
}

impl Watch for Ear<'_> {
    fn go_on(&mut self) -> bool {
        if self.moves >= self.most
            || self.stop.load(Ordering::Relaxed)
            || (self.by_clock && self.board.proved.load(Ordering::Relaxed))
            || self.ends.is_some_and(|ends| Instant::now() >= ends)
        {
            return false;
        }
        self.moves += 1;
        true
    }
}

impl Listener for Ear<'_> {
    fn found(&mut self, layout: &Layout, _used: f64) {
        self.board.found(layout, self.searcher, self.moves);
    }

    fn proved(&mut self) {
        self.board.proved.store(true, Ordering::Relaxed);
    }

    fn moves(&self) -> u64 {
        self.moves
    }
}
