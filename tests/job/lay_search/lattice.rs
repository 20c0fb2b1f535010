//! Lays on a print that repeats both ways, against the proved optimum.

use super::checker::{assert_sound, outline, shared_area};
use super::lay;
use super::pieces::{item, points};
use chalkbeam::geometry::{Point, Vec2};
use chalkbeam::lay::search::{Group, Item, Placed, Pose, Problem, Repeat, Steps};

/// A few simple outlines, some of which touch exactly on the lattice.
fn shapes() -> Vec<Vec<Point>> {
    vec![
        points(&[(0.0, 0.0), (160.0, 0.0), (160.0, 80.0), (0.0, 80.0)]),
        points(&[(0.0, 0.0), (200.0, 20.0), (190.0, 110.0), (30.0, 120.0)]),
        points(&[(0.0, 0.0), (120.0, 0.0), (120.0, 60.0), (60.0, 60.0), (60.0, 140.0), (0.0, 140.0)]),
        points(&[(0.0, 0.0), (150.0, 75.0), (0.0, 150.0)]),
        points(&[(0.0, 30.0), (90.0, 0.0), (130.0, 95.0), (20.0, 125.0)]),
        points(&[(0.0, 0.0), (240.0, 0.0), (240.0, 45.0), (0.0, 45.0)]),
    ]
}

/// Instance `n` of twelve: what is laid, how often, on which repeat and width.
fn instance(n: usize) -> Problem {
    let picks: [&[(usize, usize)]; 12] = [
        &[(0, 2), (2, 2)],
        &[(1, 2), (3, 2)],
        &[(0, 1), (1, 1), (2, 1), (3, 1)],
        &[(4, 4)],
        &[(5, 3), (0, 2)],
        &[(3, 4), (4, 1)],
        &[(2, 3), (5, 1)],
        &[(0, 2), (4, 2), (3, 1)],
        &[(1, 3), (5, 2)],
        &[(2, 2), (4, 2), (5, 1)],
        &[(0, 3), (3, 3)],
        &[(0, 2), (1, 1), (2, 2), (3, 1), (4, 1), (5, 1)],
    ];
    let repeats = [(40.0, 40.0), (60.0, 40.0), (80.0, 80.0), (50.0, 70.0)];
    let (p, q) = repeats[n % 4];
    let steps = if n.is_multiple_of(3) {
        [Vec2::new(p, 0.0), Vec2::new(p / 2.0, q)]
    } else {
        [Vec2::new(p, 0.0), Vec2::new(0.0, q)]
    };
    let items: Vec<Item> = picks[n]
        .iter()
        .map(|&(shape, copies)| {
            let mut item = item(&format!("shape {shape}"), shapes()[shape].clone(), copies);
            item.repeat =
                Some(Repeat { group: 0, reference: Point::new(10.0, 20.0), steps: Steps::Both(steps) });
            if n % 2 == 1 {
                item.poses.truncate(1);
            }
            item
        })
        .collect();
    Problem {
        width: [250.0, 300.0, 330.0][n % 3],
        items,
        groups: vec![Group::default()],
        ..Problem::default()
    }
}

#[test]
fn small_lays_on_a_lattice_are_the_shortest_there_are() {
    let mut optimal = 0;
    for n in 0..12 {
        let problem = instance(n);
        let outcome = lay(&problem, 1, 6_000).unwrap();
        assert_sound(&problem, &outcome);
        let is_optimal = !Tried::new(&problem).has_lay_within(outcome.used_mm - 0.01);
        assert!(is_optimal || !outcome.proved, "instance {n}: {} mm was called proved", outcome.used_mm);
        optimal += usize::from(is_optimal);
    }
    assert!(optimal >= 10, "{optimal} of 12 are optimal");
}

/// Every way to lay a problem, tried out.
struct Tried<'p> {
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
    fn new(problem: &'p Problem) -> Self {
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
    fn has_lay_within(&self, length: f64) -> bool {
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
    let reference = super::checker::on_cloth(&place, problem.items[item].repeat.unwrap().reference);
    Way { item, outline, reference: reference.to_vec2() - low, size }
}
