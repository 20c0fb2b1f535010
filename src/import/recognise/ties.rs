//! Loose ends that lie on another line.

use crate::geometry::{Curve, Point};
use std::collections::BTreeMap;

/// Side of the squares in which lines are looked up, in mm.
const SQUARE_MM: f64 = 40.0;

/// A line that covers more squares than this is looked at for every end.
const MOST_SQUARES: i64 = 4096;

/// A line that hangs loose at both ends and is shorter than this is a mark (a notch), in mm.
const MARK_MM: f64 = 25.0;

/// Ends are held against lines so many times at most: beyond, lines lie on each other without end (a hatching, a
/// scribble), and what of them ends where means nothing.
const MOST_LOOKS: usize = 1_000_000;

/// For each line the places along it (arc length, node) at which a loose end of another lies on it.
pub(super) fn ties(
    curves: &[&Curve],
    ends: &[[usize; 2]],
    nodes: &[Point],
    join_mm: f64,
) -> BTreeMap<usize, Vec<(f64, usize)>> {
    let mut degree = vec![0_usize; nodes.len()];
    for node in ends.iter().flatten() {
        degree[*node] += 1;
    }
    let loose = |node: &usize| degree[*node] == 1;
    let mut hanging: Vec<(usize, usize)> = Vec::new();
    for (index, own) in ends.iter().enumerate() {
        let is_mark = own.iter().all(loose) && curves[index].length() < MARK_MM;
        if !is_mark {
            hanging.extend(own.iter().filter(|node| loose(node)).map(|node| (index, *node)));
        }
    }
    let mut cuts: BTreeMap<usize, Vec<(f64, usize)>> = BTreeMap::new();
    if hanging.is_empty() {
        return cuts;
    }
    #[expect(clippy::cast_possible_truncation, reason = "coordinates are below 100 m, far inside an i64")]
    let square = |x: f64| (x / SQUARE_MM).floor() as i64;
    let mut grid: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    let mut everywhere: Vec<usize> = Vec::new();
    for (index, curve) in curves.iter().enumerate() {
        let bounds = curve.bounding_box().inflate(join_mm, join_mm);
        let (x0, x1) = (square(bounds.x0), square(bounds.x1));
        let (y0, y1) = (square(bounds.y0), square(bounds.y1));
        if (x1 - x0 + 1).saturating_mul(y1 - y0 + 1) > MOST_SQUARES {
            everywhere.push(index);
            continue;
        }
        for x in x0..=x1 {
            for y in y0..=y1 {
                grid.entry((x, y)).or_default().push(index);
            }
        }
    }
    let mut looks = 0_usize;
    for (index, node) in hanging {
        let at = nodes[node];
        let here = grid.get(&(square(at.x), square(at.y)));
        let near = here.into_iter().flatten().chain(&everywhere).copied().filter(|other| *other != index);
        let touched = near.filter_map(|other| {
            let curve = curves[other];
            if !curve.bounding_box().inflate(join_mm, join_mm).contains(at) {
                return None;
            }
            looks += 1;
            let (along, off) = curve.nearest(at);
            let within = along > join_mm && along < curve.length() - join_mm;
            (off <= join_mm && within).then_some((off, other, along))
        });
        if let Some((_, other, along)) = touched.min_by(|a, b| a.0.total_cmp(&b.0)) {
            cuts.entry(other).or_default().push((along, node));
        }
        if looks > MOST_LOOKS {
            return BTreeMap::new();
        }
    }
    cuts
}
