//! Sizes as outlines that lie one in the other, from the innermost outwards; by the words beside them, where there
//! are any.

use super::super::super::drawing::{Drawing, Stroke};
use super::super::chain::{self, LineId, Loop};
use super::super::places::Polygon;
use super::super::{SMALLEST_PIECE_MM, allowance};
use super::{Plan, Proposed, Reading, SizesBy, confidence, legend, overlap};
use crate::geometry::Point;
use std::collections::{BTreeMap, BTreeSet};

/// An outline has at least this part of the area of the next larger size.
const NEXT_SIZE: f64 = 0.6;

/// Boxes of an outline and the next larger size share this part of their union.
const SAME_PLACE: f64 = 0.5;

/// More sizes than this no pattern has.
const MOST_SIZES: usize = 40;

/// More outlines than this are not compared with each other.
const MOST_RINGS: usize = 20_000;

struct Ring {
    lines: BTreeSet<LineId>,
    polygon: Polygon,
}

/// The readings by text and by nesting.
pub(super) fn readings(
    drawing: &Drawing,
    lines: &[(LineId, &Stroke)],
    join_mm: f64,
    chosen: bool,
) -> Vec<Proposed> {
    let stacks = stacks_of(lines, join_mm);
    let Some(count) = usual_height(&stacks) else {
        return Vec::new();
    };
    let full: Vec<&Vec<Ring>> = stacks.iter().filter(|stack| stack.len() == count).collect();
    if !chosen && count == 2 && full.iter().all(|stack| evenly_inside(stack)) {
        return Vec::new();
    }
    let mut of_lines: BTreeMap<LineId, BTreeSet<usize>> = BTreeMap::new();
    for stack in stacks.iter().filter(|stack| stack.len() > 1) {
        for rank in 0..count {
            // A piece with fewer outlines than sizes keeps its outermost for the rest.
            let ring = &stack[rank.min(stack.len() - 1)];
            for line in &ring.lines {
                of_lines.entry(*line).or_default().insert(rank);
            }
        }
        // Outlines beyond the usual count belong to no size.
        for ring in stack.iter().skip(count) {
            ring.lines.iter().for_each(|line| {
                of_lines.entry(*line).or_default();
            });
        }
    }
    let stacked = stacks.iter().filter(|stack| stack.len() > 1).count();
    #[expect(clippy::cast_precision_loss, reason = "counts of pieces are small")]
    let share = full.len() as f64 / stacked.max(1) as f64;
    let how = format!("{} of {stacked} pieces show {count} outlines, each inside the next", full.len());
    let nearest = |place: Point| {
        let of_stack = |stack: &&Vec<Ring>| {
            let offs = stack.iter().enumerate().map(|(rank, ring)| (rank, ring.polygon.distance(place)));
            offs.min_by(|a, b| a.1.total_cmp(&b.1))
        };
        full.iter().filter_map(of_stack).min_by(|a, b| a.1.total_cmp(&b.1))
    };
    let numbered = || (1..=count).map(|rank| format!("size {rank}")).collect();
    let mut found = Vec::new();
    let sure = confidence(count, share, stacked, true);
    let named =
        legend::names(drawing, count, nearest).map(|names| (names, sure, "words beside them name the sizes"));
    let listed =
        || legend::listed(drawing, count).map(|names| (names, sure - 0.12, "words list as many sizes"));
    if let Some((sizes, confidence, why)) = named.or_else(listed) {
        let reading = Reading { by: SizesBy::Text, sizes, confidence, reason: format!("{how}; {why}") };
        found.push(Proposed { reading, plan: Plan::Lines(of_lines.clone()) });
    }
    let reading = Reading {
        by: SizesBy::Nesting,
        sizes: numbered(),
        confidence: confidence(count, share, stacked, false) - 0.1,
        reason: format!("{how}; nothing names them"),
    };
    found.push(Proposed { reading, plan: Plan::Lines(of_lines) });
    found
}

/// Outlines that lie one in the other, each stack from the innermost outwards.
fn stacks_of(lines: &[(LineId, &Stroke)], join_mm: f64) -> Vec<Vec<Ring>> {
    let ring = |ring: &Loop| Ring { lines: chain::distinct(ring), polygon: Polygon::of(&ring.segments()) };
    let grown = chain::growing(lines, join_mm);
    let mut rings: Vec<Ring> = grown.iter().flatten().map(ring).collect();
    rings.retain(|ring| ring.polygon.extent() >= SMALLEST_PIECE_MM);
    if rings.len() > MOST_RINGS {
        return Vec::new();
    }
    rings.sort_by(|a, b| b.polygon.area().total_cmp(&a.polygon.area()));
    let mut stacks: Vec<Vec<Ring>> = Vec::new();
    for ring in rings {
        let fits = |stack: &Vec<Ring>| -> Option<f64> {
            let outer = stack.last()?;
            let large = ring.polygon.area() >= NEXT_SIZE * outer.polygon.area();
            let shared = overlap(ring.polygon.bounds, outer.polygon.bounds);
            (large && shared >= SAME_PLACE).then_some(shared)
        };
        let best = stacks.iter_mut().filter_map(|stack| fits(stack).map(|shared| (shared, stack)));
        match best.max_by(|a, b| a.0.total_cmp(&b.0)) {
            Some((_, stack)) => stack.push(ring),
            None => stacks.push(vec![ring]),
        }
    }
    for stack in &mut stacks {
        stack.reverse();
    }
    stacks
}

/// How many outlines most of the stacks have.
fn usual_height(stacks: &[Vec<Ring>]) -> Option<usize> {
    let mut heights: BTreeMap<usize, usize> = BTreeMap::new();
    for stack in stacks.iter().filter(|stack| (2..=MOST_SIZES).contains(&stack.len())) {
        *heights.entry(stack.len()).or_default() += 1;
    }
    heights.into_iter().max_by_key(|(height, count)| (*count, *height)).map(|(height, _)| height)
}

/// Whether a stack is a seam line in its cutting line.
fn evenly_inside(stack: &[Ring]) -> bool {
    match stack {
        [inner, outer] => allowance::runs_evenly_inside(&inner.polygon, &outer.polygon),
        _ => false,
    }
}
