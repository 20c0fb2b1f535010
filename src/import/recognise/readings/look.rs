//! Sizes by how their lines are drawn: by dash, or by colour.
//!
//! A look is a size when its lines, alone or with lines of one look that all share, make outlines in the places where
//! other looks make theirs. Two looks one evenly inside the other are a seam line and its cutting line.

use super::super::super::drawing::{Drawing, Look, Stroke};
use super::super::chain::{self, LineId, Loop};
use super::super::places::Polygon;
use super::super::shapes::{Arrow, arrows_of};
use super::super::{SMALLEST_PIECE_MM, allowance};
use super::{Plan, Proposed, Reading, SizesBy, confidence, legend, overlap};
use crate::geometry::Point;
use std::collections::{BTreeMap, BTreeSet};

/// More looks than this are no sizes.
const MOST_LOOKS: usize = 40;

/// More outlines than this in one look are no pieces: those of each look are held against those of the others.
const MOST_RINGS: usize = 5_000;

/// Outlines of two sizes share this part of their boxes' union.
const SAME_PLACE: f64 = 0.4;

/// The part of its outlines that a size has where another has them too.
const MOST: f64 = 0.6;

/// Lines times looks times looks beyond which a look that all share is not searched for.
const MOST_WORK: usize = 4_000_000;

type Lines<'a> = Vec<(LineId, &'a Stroke)>;

fn key(look: &Look, by: SizesBy) -> Vec<u32> {
    match by {
        SizesBy::Colour => look.colour.map(|colour| colour.map(u32::from).to_vec()).unwrap_or_default(),
        _ => look.dashes.clone(),
    }
}

fn outlines(lines: &[(LineId, &Stroke)], join_mm: f64) -> Vec<(Loop, Polygon)> {
    let rings = chain::loops(lines, &[], join_mm, &mut Vec::new());
    let with_polygon = rings.into_iter().map(|ring| {
        let polygon = Polygon::of(&ring.segments());
        (ring, polygon)
    });
    with_polygon.filter(|(_, polygon)| polygon.extent() >= SMALLEST_PIECE_MM).collect()
}

/// The reading by dash or by colour, if there is one. What may be a seam line in its cutting line is sizes only when
/// somebody chose so.
pub(super) fn reading(
    drawing: &Drawing,
    lines: &[(LineId, &Stroke)],
    by: SizesBy,
    join_mm: f64,
    chosen: bool,
) -> Option<Proposed> {
    let mut looks: BTreeMap<Vec<u32>, Lines<'_>> = BTreeMap::new();
    for &(line, stroke) in lines {
        looks.entry(key(&stroke.look, by)).or_default().push((line, stroke));
    }
    if !(2..=MOST_LOOKS).contains(&looks.len()) {
        return None;
    }
    let looks: Vec<(Vec<u32>, Lines<'_>)> = looks.into_iter().collect();
    let mut found: Vec<Vec<(Loop, Polygon)>> =
        looks.iter().map(|(_, lines)| outlines(lines, join_mm)).collect();
    if found.iter().any(|rings| rings.len() > MOST_RINGS) {
        return None;
    }
    let mut sizes = in_the_same_places(&found);
    if sizes.len() < 2 && looks.len() * looks.len() * lines.len() <= MOST_WORK {
        let with_shared = (0..looks.len()).map(|shared| {
            let both = (0..looks.len()).map(|at| {
                if at == shared {
                    return Vec::new();
                }
                let mut lines = looks[at].1.clone();
                lines.extend(&looks[shared].1);
                let own: BTreeSet<LineId> = looks[at].1.iter().map(|(line, _)| *line).collect();
                let mut rings = outlines(&lines, join_mm);
                rings.retain(|(ring, _)| ring.lines().any(|line| own.contains(&line)));
                rings
            });
            both.collect::<Vec<_>>()
        });
        let best = with_shared.max_by_key(|found| in_the_same_places(found).len())?;
        sizes = in_the_same_places(&best);
        found = best;
    }
    if sizes.len() < 2 {
        return None;
    }
    // What lies in no size's look belongs to all.
    let shared = || (0..looks.len()).filter(|at| !sizes.contains(at)).flat_map(|at| &looks[at].1);
    for &at in sizes.iter().filter(|_| looks.len() > sizes.len()) {
        let own: BTreeSet<LineId> = looks[at].1.iter().map(|(line, _)| *line).collect();
        let mut all = looks[at].1.clone();
        all.extend(shared());
        found[at] = outlines(&all, join_mm);
        found[at].retain(|(ring, _)| ring.lines().any(|line| own.contains(&line)));
    }
    let area = |at: &usize| found[*at].iter().map(|(_, polygon)| polygon.area()).sum::<f64>();
    sizes.sort_by(|a, b| area(a).total_cmp(&area(b)));
    if !chosen
        && let [inner, outer] = sizes[..]
        && seam_inside(&found[inner], &found[outer])
    {
        return None;
    }
    let nearest = |place: Point| {
        let of_size = |(rank, at): (usize, &usize)| {
            let offs = looks[*at].1.iter().filter_map(|(_, stroke)| allowance::near(&stroke.curve, place));
            offs.min_by(f64::total_cmp).map(|off| (rank, off))
        };
        sizes.iter().enumerate().filter_map(of_size).min_by(|a, b| a.1.total_cmp(&b.1))
    };
    let names = legend::names(drawing, sizes.len(), nearest);
    let names = names.or_else(|| legend::listed(drawing, sizes.len()));
    let named = names.is_some();
    let names = names.unwrap_or_else(|| (1..=sizes.len()).map(|rank| format!("size {rank}")).collect());
    let most = sizes.iter().map(|at| found[*at].len()).max().unwrap_or(1);
    let least = sizes.iter().map(|at| found[*at].len()).min().unwrap_or(0);
    #[expect(clippy::cast_precision_loss, reason = "counts of pieces are small")]
    let full = least as f64 / most as f64;
    let mut of_lines: BTreeMap<LineId, BTreeSet<usize>> = sizes
        .iter()
        .enumerate()
        .flat_map(|(rank, at)| looks[*at].1.iter().map(move |(line, _)| (*line, BTreeSet::from([rank]))))
        .collect();
    of_lines.extend(grains_of_several(lines, &looks, &sizes, &found));
    let reason = format!(
        "lines of {} {} make outlines in the same places{}",
        sizes.len(),
        if by == SizesBy::Colour { "colours" } else { "rhythms of dashes" },
        if named { ", and words name the sizes" } else { "; nothing names them" }
    );
    let reading =
        Reading { by, confidence: confidence(sizes.len(), full, most, named), sizes: names, reason };
    Some(Proposed { plan: Plan::Lines(of_lines), reading })
}

/// The sizes (by rank) of the lines of grainlines: the one in whose look they are drawn, and every other that has none
/// of its own in its outline around the same place.
fn grains_of_several(
    lines: &[(LineId, &Stroke)],
    looks: &[(Vec<u32>, Lines<'_>)],
    sizes: &[usize],
    found: &[Vec<(Loop, Polygon)>],
) -> BTreeMap<LineId, BTreeSet<usize>> {
    let arrows = arrows_of(lines);
    if arrows.is_empty() {
        return BTreeMap::new();
    }
    let look_of: BTreeMap<LineId, usize> =
        sizes.iter().flat_map(|at| looks[*at].1.iter().map(|(line, _)| (*line, *at))).collect();
    let outlines: BTreeSet<LineId> =
        sizes.iter().flat_map(|at| &found[*at]).flat_map(|(ring, _)| ring.lines()).collect();
    let with_look =
        arrows.into_iter().filter(|arrow| !arrow.lines.iter().any(|line| outlines.contains(line)));
    let with_look = with_look.filter_map(|arrow| Some((*look_of.get(arrow.lines.first()?)?, arrow)));
    let arrows: Vec<(usize, Arrow)> = with_look.collect();
    let middle = |arrow: &Arrow| arrow.line.p0.midpoint(arrow.line.p1);
    let has_own = |at: usize, place: Point| {
        let mut around = found[at].iter().filter(|(_, polygon)| polygon.contains(place));
        around.any(|(_, polygon)| {
            arrows.iter().any(|(look, arrow)| *look == at && polygon.contains(middle(arrow)))
        })
    };
    let of_arrow = |(own, arrow): &(usize, Arrow)| -> BTreeSet<usize> {
        let has = |at: usize| at == *own || !has_own(at, middle(arrow));
        sizes.iter().enumerate().filter(|(_, at)| has(**at)).map(|(rank, _)| rank).collect()
    };
    arrows
        .iter()
        .flat_map(|one| {
            let ranks = of_arrow(one);
            one.1.lines.iter().map(move |line| (*line, ranks.clone()))
        })
        .collect()
}

/// The looks whose outlines lie where those of the look with most of them lie.
fn in_the_same_places(found: &[Vec<(Loop, Polygon)>]) -> Vec<usize> {
    let Some(reference) = (0..found.len()).max_by_key(|at| found[*at].len()) else {
        return Vec::new();
    };
    let there = |polygon: &Polygon| {
        found[reference].iter().any(|(_, other)| overlap(polygon.bounds, other.bounds) >= SAME_PLACE)
    };
    let is_size = |at: &usize| {
        let own = &found[*at];
        let count = own.iter().filter(|(_, polygon)| there(polygon)).count();
        #[expect(clippy::cast_precision_loss, reason = "counts of pieces are small")]
        let share = count as f64 / own.len().max(1) as f64;
        count > 0 && share >= MOST
    };
    let sizes: Vec<usize> = (0..found.len()).filter(is_size).collect();
    if sizes.len() < 2 { Vec::new() } else { sizes }
}

/// Whether the outlines of one look run evenly inside those of the other.
fn seam_inside(inner: &[(Loop, Polygon)], outer: &[(Loop, Polygon)]) -> bool {
    let even = |(_, polygon): &&(Loop, Polygon)| {
        outer.iter().any(|(_, around)| allowance::runs_evenly_inside(polygon, around))
    };
    2 * inner.iter().filter(even).count() > inner.len()
}
