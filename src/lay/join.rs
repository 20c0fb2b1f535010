//! A seam between two parts, sampled once: where the print is to agree, and what happens along it.

use super::part::Part;
use super::run::{HemEnd, Side, match_distances};
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Point, Vec2};
use crate::pattern::{BalanceLineId, Seam, SeamId};

/// A seam between two parts, in the coordinates of each.
#[derive(Debug, Clone)]
pub(super) struct Join {
    /// Which seam.
    pub(super) seam: SeamId,
    /// The parts on its two sides.
    pub(super) parts: [usize; 2],
    /// Whether both sides are the same edges, of two copies.
    pub(super) own: bool,
    /// Whether each part lies to the left of the way of sewing, as drawn.
    pub(super) inside_left: [bool; 2],
    /// Where the print is to agree, on each seam line.
    pub(super) at: [Point; 2],
    /// The way of sewing there.
    pub(super) way: [Vec2; 2],
    /// The same levels on the centre lines.
    pub(super) level: [Option<Point>; 2],
    /// Pairs of points that are sewn together, on the stretch up to the next darts.
    pub(super) stretch: Vec<[Point; 2]>,
    /// The same, beyond darts.
    pub(super) beyond_darts: Vec<[Point; 2]>,
    /// Place in the order in which seams are matched; small first.
    pub(super) priority: u8,
}

/// Samples of a seam to each side of the place where it is matched.
const SAMPLES: u32 = 12;

/// Step along the seam in which its direction is taken, in mm.
const DIRECTION_STEP_MM: f64 = 1.0;

/// Where a dart is closed the seam line jumps from leg to leg; samples keep this far from it, in mm: further than
/// ends are brought together.
const BESIDE_MM: f64 = 2.0 * JOIN_MM;

/// The seams between parts that show print on both sides, those to be matched first in front.
pub(super) fn joins(parts: &[Part], seams: &[Seam]) -> Vec<Join> {
    let mut joins: Vec<Join> = seams.iter().filter_map(|seam| join(parts, seam)).collect();
    joins.sort_by_key(|join| join.priority);
    joins
}

fn join(parts: &[Part], seam: &Seam) -> Option<Join> {
    let index = |side: usize| {
        let run = &seam.sides[side];
        let found = parts.iter().position(|part| part.piece.id == run.piece);
        found.filter(|&index| !parts[index].is_facing())
    };
    let on = [index(0)?, index(1)?];
    let of = |side: usize| Side::of(&parts[on[side]].piece, &seam.sides[side]);
    let sides = [of(0)?, of(1)?];
    let lengths = [0, 1].map(|side| sides[side].walked.length());
    let levels: Vec<BalanceLineId> =
        parts[on[0]].piece.balance_lines.iter().map(|line| line.id.clone()).collect();
    let matched = match_distances([&sides[0], &sides[1]], &levels);
    let pair_at = |off: f64| {
        [0, 1].map(|side| {
            let point = sides[side].walked.point_at(matched[side] + off);
            point.unwrap_or_default()
        })
    };
    let at = pair_at(0.0);
    let way = [0, 1].map(|side| {
        let from = (matched[side] - DIRECTION_STEP_MM).max(0.0);
        let to = (matched[side] + DIRECTION_STEP_MM).min(lengths[side]);
        let ends = [from, to].map(|at| sides[side].walked.point_at(at).unwrap_or_default());
        ends[1] - ends[0]
    });
    // How far both sides go on, and where the next dart of either is closed.
    let back = matched[0].min(matched[1]);
    let on_by = (lengths[0] - matched[0]).min(lengths[1] - matched[1]);
    let darts = |side: usize| sides[side].darts.iter().map(move |dart| dart - matched[side]);
    let both = || darts(0).chain(darts(1));
    let next = both().filter(|&off| off >= 0.0).fold(on_by, f64::min);
    let before = both().filter(|&off| off < 0.0).map(|off| -off).fold(back, f64::min);
    let samples = |from: f64, to: f64| {
        let share = move |step: u32| f64::from(step) / f64::from(SAMPLES);
        (0..=SAMPLES).map(move |step| from + share(step) * (to - from))
    };
    let (lower, upper) = (-before + BESIDE_MM, next - BESIDE_MM);
    let stretch = samples(lower.min(0.0), 0.0).chain(samples(0.0, upper.max(0.0)));
    let stretch = stretch.map(pair_at).collect();
    let mut beyond_darts = Vec::new();
    if before < back {
        beyond_darts.extend(samples(-back, -before - BESIDE_MM).map(pair_at));
    }
    if next < on_by {
        beyond_darts.extend(samples(next + BESIDE_MM, on_by).map(pair_at));
    }
    let own = seam.sides[0] == seam.sides[1];
    Some(Join {
        seam: seam.id.clone(),
        parts: on,
        own,
        inside_left: [sides[0].inside_left, sides[1].inside_left],
        at,
        way,
        level: [0, 1].map(|side| parts[on[side]].centre_at_level(at[side])),
        stretch,
        beyond_darts,
        priority: priority(seam, own, sides[0].hem, on.map(|index| parts[index].piece.id.as_str())),
    })
}

/// Which seams are matched first: centre back (a piece sewn to its own mirror image), sides from the hem up, pocket,
/// sleeve to front, sleeve to the rest, the rest (common practice). Centre front comes before all of them (see
/// `matching`). A hem makes a side by itself; the others are told by what the seam or its pieces are called.
fn priority(seam: &Seam, own: bool, hem: Option<HemEnd>, pieces: [&str; 2]) -> u8 {
    let called = [seam.id.as_str(), pieces[0], pieces[1]].map(str::to_lowercase);
    let seam_named = |words: &[&str]| words.iter().any(|word| called[0].contains(word));
    let named = |words: &[&str]| called.iter().any(|name| words.iter().any(|word| name.contains(word)));
    if own || seam_named(&["centre back", "center back"]) {
        1
    } else if named(&["pocket"]) {
        3
    } else if hem.is_some() || seam_named(&["side"]) {
        2
    } else if named(&["sleeve", "armhole"]) {
        if named(&["front"]) { 4 } else { 5 }
    } else {
        6
    }
}
