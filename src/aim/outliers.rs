//! Marks that do not fit the others: named, never dropped.
//!
//! Each mark in doubt is left out once; if the sum of squares falls by more than chance allows (an F-test of two
//! numbers, as for the lens, with one chance in a thousand shared among the marks), the mark is off by what the others
//! then say. The worst is set aside and the rest are looked at again, up to a third of the marks; all that were set
//! aside until the last significant fall are named, since of two bad marks neither stands out before one is gone.
//! Five marks or fewer can't tell which of them is wrong: without any one of them the rest fit exactly or nearly.

use super::lens::{f_limit, f_of_two};
use super::refine::{Guess, Survey};
use crate::geometry::Point;
use glam::DVec3;
use std::fmt;

/// Marks that must be left to say that another is off.
const OTHERS_LEAST: usize = 5;
/// Chance that any of the marks is named without a reason.
const CHANCE: f64 = 0.001;
/// Marks with the largest residuals that are tried: each costs an adjustment.
const TRIED: usize = 8;

/// A mark that is off by more than chance allows. It still counts in the aim.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlier {
    /// The mark, numbered from 0.
    pub mark: usize,
    /// How far its pick is from where the others put the mark, in mm on the surface.
    pub off_mm: f64,
    /// How many others there are that agree.
    pub others: usize,
    /// How far the worst of the others is off, in mm.
    pub others_mm: f64,
}

impl fmt::Display for Outlier {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { mark, off_mm, others, others_mm } = self;
        write!(
            f,
            "mark {} is {off_mm:.1} mm off; the other {others} agree within {others_mm:.1} mm. Pick it again, and \
             measure its place again if that does not help",
            mark + 1
        )
    }
}

/// The survey with some marks' picks not counting.
pub(super) fn leaving_out(survey: &Survey, outliers: &[Outlier]) -> Survey {
    let mut left = survey.clone();
    left.counted.resize(survey.picks.len(), true);
    for outlier in outliers {
        left.counted[outlier.mark] = false;
    }
    left
}

/// Marks that fit the others worse than chance lets them, the worst first; `guess` must be the survey's solution.
pub(super) fn find_outliers(survey: &Survey, guess: &Guess) -> Vec<Outlier> {
    let mut left = leaving_out(survey, &[]);
    let picked: Vec<usize> = (0..left.picks.len()).filter(|&mark| left.counted[mark]).collect();
    let mut set_aside = Vec::new();
    let mut named = Vec::new();
    let mut best = guess.clone();
    let mut at = guess.clone();
    while left.count_picked() > OTHERS_LEAST && set_aside.len() < picked.len() / 3 {
        let Some(worst) = worst_of(&left, &at, &picked) else {
            break;
        };
        left.counted[worst.mark] = false;
        set_aside.push(worst.mark);
        at = worst.without;
        if worst.is_off {
            named.clone_from(&set_aside);
            best.clone_from(&at);
        }
    }
    let off_mm = |mark: usize| {
        let lands = landing(survey, &best, survey.picks[mark]);
        lands.map_or(0.0, |place| place.distance(best.places[mark]))
    };
    let agreeing = picked.iter().copied().filter(|mark| !named.contains(mark));
    let others_mm = agreeing.map(off_mm).fold(0.0, f64::max);
    let others = picked.len() - named.len();
    let outlier = |&mark: &usize| Outlier { mark, off_mm: off_mm(mark), others, others_mm };
    named.iter().map(outlier).collect()
}

/// The mark without which the others fit best.
struct Worst {
    mark: usize,
    /// Whether they do so by more than chance.
    is_off: bool,
    without: Guess,
}

fn worst_of(left: &Survey, at: &Guess, picked: &[usize]) -> Option<Worst> {
    let linear = left.linearise(at)?;
    let with_all = left.misfit(&linear);
    let mut tried: Vec<usize> = picked.iter().copied().filter(|&mark| left.counted[mark]).collect();
    let off = |mark: usize| linear.residuals.rows(2 * mark, 2).norm_squared();
    tried.sort_by(|&a, &b| off(b).total_cmp(&off(a)));
    tried.truncate(TRIED);
    let count = f64::from(u32::try_from(left.count_picked()).unwrap_or(u32::MAX));
    let mut worst: Option<(f64, Worst)> = None;
    for mark in tried {
        let mut others = left.clone();
        others.counted[mark] = false;
        let Some((without, linear)) = others.refined(at.clone()) else {
            continue;
        };
        let (misfit, spare) = (others.misfit(&linear), others.spare(&linear));
        let (f, pooled) = f_of_two(with_all, misfit, spare);
        let is_off = spare > 0.0 && f > f_limit(pooled, CHANCE / count);
        if worst.as_ref().is_none_or(|(least, _)| misfit < *least) {
            let found = Worst { mark, is_off, without };
            worst = Some((misfit, found));
        }
    }
    worst.map(|(_, worst)| worst)
}

/// Where a pick lands on the surface by a guess.
fn landing(survey: &Survey, guess: &Guess, pick: Point) -> Option<Point> {
    let ideal = guess.lens.map_or(pick, |lens| lens.undistort(pick));
    let lifted = survey.matrix(guess).inverse() * DVec3::new(ideal.x, ideal.y, 1.0);
    let place = Point::new(lifted.x / lifted.z, lifted.y / lifted.z);
    place.is_finite().then_some(place)
}
