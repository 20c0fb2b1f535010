//! An exact model of a lay on a print that repeats both ways: every place, every phase, tried out.

use super::checker::{on_cloth, outline, shared_area};
use chalkbeam::geometry::{Point, Vec2};
use chalkbeam::lay::search::{Placed, Pose, Problem, Repeat, Steps};

/// Every way to lay a problem, tried out.
pub(super) struct Tried<'p> {
    problem: &'p Problem,
    poses: Vec<Way>,
    copies: Vec<usize>,
}

/// One item in one pose, its lowest corner at the origin's level and its left end at 0.
struct Way {
    item: usize,
    outline: Vec<Point>,
    reference: Vec2,
    size: Vec2,
}

struct Spot {
    item: usize,
    outline: Vec<Point>,
    end: f64,
}

impl<'p> Tried<'p> {
    pub(super) fn new(problem: &'p Problem) -> Self {
        let mut poses = Vec::new();
        for (n, item) in problem.items.iter().enumerate() {
            for pose in &item.poses {
                poses.push(way(problem, n, *pose));
            }
        }
        Self { problem, poses, copies: problem.items.iter().map(|item| item.copies).collect() }
    }

    /// Whether some lay ends within a length. Any lay can be pushed left and down until one piece touches each
    /// edge, so that these phases are enough.
    pub(super) fn has_lay_within(&self, length: f64) -> bool {
        let Some(Repeat { steps: Steps::Both(steps), .. }) = self.problem.items[0].repeat else {
            panic!("a lattice is wanted");
        };
        let mut seen: Vec<Vec2> = Vec::new();
        for left in &self.poses {
            for low in &self.poses {
                let phase = Vec2::new(left.reference.x, low.reference.y);
                let is_known = seen.iter().any(|known| {
                    let (off, cross) = (phase - *known, steps[0].cross(steps[1]));
                    let (u, v) = (off.cross(steps[1]) / cross, steps[0].cross(off) / cross);
                    (u - u.round()).abs() < 1e-9 && (v - v.round()).abs() < 1e-9
                });
                if !is_known {
                    seen.push(phase);
                    if self.fits(phase, steps, length) {
                        return true;
                    }
                }
            }
        }
        false
    }

    fn fits(&self, phase: Vec2, steps: [Vec2; 2], length: f64) -> bool {
        let mut spots: Vec<Spot> = Vec::new();
        for way in &self.poses {
            for i in -40..=40 {
                for j in -40..=40 {
                    let node = phase + f64::from(i) * steps[0] + f64::from(j) * steps[1];
                    let low = node - way.reference;
                    let high = low + way.size;
                    if low.x > -1e-7 && low.y > -1e-7 && high.x < length && high.y < self.problem.width + 1e-7
                    {
                        spots.push(Spot {
                            item: way.item,
                            outline: way.outline.iter().map(|p| *p + low).collect(),
                            end: high.x,
                        });
                    }
                }
            }
        }
        spots.sort_by(|a, b| a.end.total_cmp(&b.end));
        let free: Vec<Vec<bool>> = spots
            .iter()
            .map(|a| spots.iter().map(|b| shared_area(&a.outline, &b.outline) <= 0.005).collect())
            .collect();
        let all: Vec<usize> = (0..spots.len()).collect();
        place(&spots, &free, &mut self.copies.clone(), &all)
    }
}

/// Depth first; the item with the least choice goes next, and spots once tried are done with.
fn place(spots: &[Spot], free: &[Vec<bool>], left: &mut Vec<usize>, open: &[usize]) -> bool {
    let choice = |item: usize| open.iter().filter(|spot| spots[**spot].item == item).count();
    let wanting: Vec<usize> = (0..left.len()).filter(|item| left[*item] > 0).collect();
    if wanting.iter().any(|item| choice(*item) < left[*item]) {
        return false;
    }
    let Some(item) = wanting.into_iter().min_by_key(|item| choice(*item) / left[*item]) else {
        return true;
    };
    let mut open = open.to_vec();
    for spot in open.clone().into_iter().filter(|spot| spots[*spot].item == item) {
        open.retain(|known| *known != spot);
        let below: Vec<usize> = open.iter().copied().filter(|other| free[spot][*other]).collect();
        left[item] -= 1;
        let found = place(spots, free, left, &below);
        left[item] += 1;
        if found {
            return true;
        }
    }
    false
}

fn way(problem: &Problem, item: usize, pose: Pose) -> Way {
    let place = Placed { item, copy: 0, pose, at: Point::ORIGIN };
    let turned = outline(problem, &place);
    let low = turned
        .iter()
        .fold(Vec2::new(f64::INFINITY, f64::INFINITY), |low, p| Vec2::new(low.x.min(p.x), low.y.min(p.y)));
    let outline: Vec<Point> = turned.iter().map(|p| *p - low).collect();
    let size = outline.iter().fold(Vec2::ZERO, |size, p| Vec2::new(size.x.max(p.x), size.y.max(p.y)));
    let reference = on_cloth(&place, problem.items[item].repeat.unwrap().reference);
    Way { item, outline, reference: reference.to_vec2() - low, size }
}
