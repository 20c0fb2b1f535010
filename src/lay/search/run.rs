//! The search from outside: budget, threads, progress, the best of all searchers.

use super::bound;
use super::check::check;
use super::climb::{Climber, Listener, NO_GAIN_MM};
use super::crowd::Crowd;
use super::fill::{fill, order_by_size};
use super::fold_sequence::FoldSequence;
use super::layout::Layout;
use super::model::Model;
use super::outcome::{Bound, BoundKind, Outcome, Placed};
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

    /// The same, with the time divided among so many searches.
    #[must_use]
    pub fn shared_by(self, searches: usize) -> Self {
        let share = u32::try_from(searches.max(1)).unwrap_or(u32::MAX);
        Self { time: self.time.map(|time| time / share), ..self }
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
    let ends = begun.checked_add(settings.time.unwrap_or(FOREVER));
    let searchers = settings.searchers.max(1);
    let mut board = Board {
        problem,
        model: &model,
        bound: bound::best(&model, None),
        best: Mutex::new(None),
        progress,
        proved: AtomicBool::new(false),
    };
    let list = model.list_fields(MOST_FIELDS);
    let many = list.as_ref().is_none_or(|list| list.len() > FEW_FIELDS);
    let crowd = if many { crowd(&model, settings.seed) } else { Err(None) };
    if let Ok(crowd) = &crowd {
        board.found(&crowd.layout, 0, 0);
    }
    let is_good = crowd.is_ok() && board.has_lay();
    let in_time = || {
        // Without any lay yet there is nothing to end with.
        !is_good || (!stop.load(Ordering::Relaxed) && ends.is_none_or(|ends| Instant::now() < ends))
    };
    match (list, crowd) {
        (None, Ok(crowd)) if is_good => {
            let ear = |number| Ear::new(&board, number, stop, ends, settings);
            on_threads(searchers, |number| {
                let mut crowd = crowd.clone();
                crowd.reseed(seed_of(settings.seed, number));
                crowd.climb(board.bound.mm, &mut ear(number));
            });
            return board.answer();
        }
        (None, Err(Some(piece))) => return Err(super::fits::no_place(problem, &model, piece)),
        (list, _) => {
            let list = list.or_else(|| model.list_fields(usize::MAX)).ok_or(SearchError::TooMany)?;
            if !model.make_fields(list, searchers, &in_time) {
                return board.answer();
            }
        }
    }
    let fold = FoldSequence::shortest(&model);
    board.bound = bound::best(&model, fold.as_ref());
    let mut first = first_lay(&model, None).map_err(|piece| super::fits::no_place(problem, &model, piece))?;
    board.found(&first, 0, 0);
    if let Some(lay) = fold.as_ref().and_then(|fold| lay_along_fold(&model, fold))
        && lay.used(&model) < first.used(&model)
    {
        first = lay;
    }
    on_threads(searchers, |number| {
        let mut rng = Rng::with_seed(seed_of(settings.seed, number));
        let start = if number == 0 {
            first.clone()
        } else {
            first_lay(&model, Some(&mut rng)).unwrap_or_else(|_piece| first.clone())
        };
        let mut ear = Ear::new(&board, number, stop, ends, settings);
        let used = start.used(&model);
        ear.found(&start, used);
        Climber::new(&model, start, board.bound.mm, rng).climb(&mut ear);
    });
    board.answer()
}

/// Runs a piece of work for each searcher, the first one's on this thread.
fn on_threads(searchers: usize, work: impl Fn(usize) + Sync) {
    std::thread::scope(|scope| {
        for number in 1..searchers {
            let work = &work;
            scope.spawn(move || work(number));
        }
        work(0);
    });
}

fn seed_of(seed: u64, searcher: usize) -> u64 {
    seed ^ (searcher as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15)
}

/// A first lay by the quadtree. The engine was written by others for sounder outlines than may come here: if it gives
/// up on one, fields must do.
fn crowd(model: &Model, seed: u64) -> Result<Crowd<'_>, Option<usize>> {
    let lay = || Crowd::lay(model, Rng::with_seed(seed));
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(lay)).unwrap_or(Err(None))
}

/// With more fields than this a first lay by the quadtree comes sooner than they do.
const FEW_FIELDS: usize = 300;

/// With more fields than this the whole search does without them: they take some 0.1 ms and 50 kB each, and below it
/// a lay by fields soon gets denser than one without.
const MOST_FIELDS: usize = 12_000;

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
    fn has_lay(&self) -> bool {
        let best = self.best.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        matches!(&*best, Some(Standing { outcome: Ok(_), .. }))
    }

    fn answer(self) -> Result<Outcome, SearchError> {
        let best = self.best.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
        match best {
            Some(Standing { outcome: Ok(outcome), .. }) => {
                // What was known of the bound when the lay was found may have grown since.
                let counted_out = self.proved.load(Ordering::Relaxed);
                let counted = Bound { mm: outcome.used_mm, kind: BoundKind::CountedOut };
                let bound = if counted_out && counted.mm > self.bound.mm { counted } else { self.bound };
                Ok(Outcome { proved: outcome.used_mm <= bound.mm + NO_GAIN_MM, bound, ..outcome })
            }
            Some(Standing { outcome: Err(why), .. }) => Err(SearchError::Refused(why)),
            None => Err(SearchError::Nothing),
        }
    }

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

impl<'a> Ear<'a> {
    fn new(
        board: &'a Board<'a>,
        searcher: usize,
        stop: &'a AtomicBool,
        ends: Option<Instant>,
        settings: &Settings,
    ) -> Self {
        let most = settings.moves.unwrap_or(u64::MAX);
        Self { board, searcher, stop, ends, moves: 0, most, by_clock: settings.moves.is_none() }
    }
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
