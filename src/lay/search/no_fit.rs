//! The no-fit polygon of two outlines: where the one must not be, seen from the other.
//!
//! A at the origin and B at v overlap exactly where v lies inside A ⊕ (−B). The sum's boundary is part of the
//! convolution of the two outlines' tracings: at each corner of the one, those edges of the other whose direction
//! lies in the turn of the corner, run backwards where the corner turns inwards. The convolution winds round v
//! once for each part of the overlap, so that the sum is everything it winds round (Guibas, Ramshaw and Stolfi,
//! "A kinetic framework for computational geometry", FOCS 1983). Convex outlines give n + m edges; it grows with
//! the number of inward corners, to n · m at worst.

use super::polygon::{Node, inside_of};

/// A ⊕ B of two simple outlines, both counter-clockwise: contours, outer ones counter-clockwise.
pub(super) fn sum(a: &[Node], b: &[Node]) -> Vec<Vec<Node>> {
    inside_of(&walks(a, b, &convolution(a, b)))
}

/// An edge of the convolution, from one pair of corners to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Stride {
    from: (usize, usize),
    to: (usize, usize),
}

fn convolution(a: &[Node], b: &[Node]) -> Vec<Stride> {
    let mut strides = Vec::with_capacity(2 * (a.len() + b.len()));
    let next = |i: usize, n: usize| if i + 1 == n { 0 } else { i + 1 };
    let (edges_a, edges_b) = (directions(a), directions(b));
    // Equal directions belong to one of the two corners only: as if B were turned a hair counter-clockwise.
    for (i, &out) in edges_a.iter().enumerate() {
        let into = edges_a[(i + a.len() - 1) % a.len()];
        for (j, &edge) in edges_b.iter().enumerate() {
            let (here, there) = ((i, j), (i, next(j, b.len())));
            match turn_over(into, out, edge, true) {
                1 => strides.push(Stride { from: here, to: there }),
                -1 => strides.push(Stride { from: there, to: here }),
                _ => {}
            }
        }
    }
    for (j, &out) in edges_b.iter().enumerate() {
        let into = edges_b[(j + b.len() - 1) % b.len()];
        for (i, &edge) in edges_a.iter().enumerate() {
            let (here, there) = ((i, j), (next(i, a.len()), j));
            match turn_over(into, out, edge, false) {
                1 => strides.push(Stride { from: here, to: there }),
                -1 => strides.push(Stride { from: there, to: here }),
                _ => {}
            }
        }
    }
    strides.sort_unstable();
    strides
}

/// As many strides end in a pair of corners as begin there, so that they join to closed walks.
fn walks(a: &[Node], b: &[Node], strides: &[Stride]) -> Vec<Vec<Node>> {
    let mut used = vec![false; strides.len()];
    let first_from = |from: (usize, usize)| strides.partition_point(|stride| stride.from < from);
    let mut walks = Vec::new();
    for start in 0..strides.len() {
        if used[start] {
            continue;
        }
        let mut walk = Vec::new();
        let mut at = start;
        loop {
            used[at] = true;
            let Stride { from, to } = strides[at];
            walk.push(Node::new(a[from.0].x + b[from.1].x, a[from.0].y + b[from.1].y));
            let begin = first_from(to);
            let onward = strides[begin..]
                .iter()
                .take_while(|stride| stride.from == to)
                .zip(begin..)
                .find(|(_, index)| !used[*index]);
            match onward {
                Some((_, index)) => at = index,
                None => break,
            }
        }
        walks.push(walk);
    }
    walks
}

fn directions(outline: &[Node]) -> Vec<(i64, i64)> {
    let next = outline.iter().cycle().skip(1);
    let steps = outline.iter().zip(next);
    steps.map(|(p, q)| (i64::from(q.x) - i64::from(p.x), i64::from(q.y) - i64::from(p.y))).collect()
}

/// 1 where a corner that turns left passes over a direction, −1 where one that turns right does, else 0.
fn turn_over(into: (i64, i64), out: (i64, i64), edge: (i64, i64), with_start: bool) -> i32 {
    let cross = |u: (i64, i64), v: (i64, i64)| u.0 * v.1 - u.1 * v.0;
    let turn = cross(into, out).signum();
    let (start, end) = if turn >= 0 { (into, out) } else { (out, into) };
    let (after_start, before_end) = (cross(start, edge), cross(edge, end));
    let passes =
        if with_start { after_start >= 0 && before_end > 0 } else { after_start > 0 && before_end >= 0 };
    if turn != 0 && passes { if turn > 0 { 1 } else { -1 } } else { 0 }
}
