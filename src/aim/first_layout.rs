//! A first layout of taped marks, for least squares to start from.
//!
//! Marks are placed one after another from two tapes each. Of the two places that the tapes allow, a third tape
//! chooses where it can, else the picture does. Frameworks that can't be built so are likened to the picture.

use super::AimError;
use super::layout::slip;
use super::order::{centroid, mirror_balance, sense};
use super::refine::{Reading, direction};
use crate::geometry::{Point, Vec2};

/// A third tape chooses a side when the sides differ by this part of the base; less may be a mark on the base.
const CHOICE_PART: f64 = 0.02;

/// Known distances by pair of marks.
pub(super) struct Table {
    count: usize,
    mm: Vec<Option<f64>>,
}

impl Table {
    /// Readings (the mean where a pair is taped twice), and distances between given places where none is taped.
    pub(super) fn new(count: usize, tapes: &[Reading], given: &[Option<Point>]) -> Self {
        let mut sums = vec![(0.0, 0.0); count * count];
        for tape in tapes {
            for cell in [tape.from * count + tape.to, tape.to * count + tape.from] {
                sums[cell].0 += tape.mm;
                sums[cell].1 += 1.0;
            }
        }
        let mm = sums.iter().enumerate().map(|(cell, &(sum, readings))| {
            if readings > 0.0 {
                return Some(sum / readings);
            }
            let (a, b) = (given[cell / count]?, given[cell % count]?);
            Some(a.distance(b))
        });
        Self { count, mm: mm.collect() }
    }

    fn get(&self, a: usize, b: usize) -> Option<f64> {
        self.mm[a * self.count + b]
    }

    /// Refuses three distances that close no triangle.
    pub(super) fn check_triangles(&self) -> Result<(), AimError> {
        for a in 0..self.count {
            for b in a + 1..self.count {
                for c in b + 1..self.count {
                    let (Some(ab), Some(bc), Some(ca)) = (self.get(a, b), self.get(b, c), self.get(c, a))
                    else {
                        continue;
                    };
                    let sides = [(ab, a, b), (bc, b, c), (ca, a, c)];
                    for (mm, from, to) in sides {
                        let others_mm = ab + bc + ca - mm;
                        if mm > others_mm + slip(mm) {
                            return Err(AimError::BrokenTriangle {
                                marks: [a, b, c],
                                from,
                                to,
                                mm,
                                others_mm,
                            });
                        }
                    }
                }
            }
        }
        Ok(())
    }
}

/// Marks placed one after another, each from the two located marks that give it the best triangle.
pub(super) fn first_layout(upright: &[Point], given: &[Option<Point>], table: &Table) -> Vec<Point> {
    let mut located: Vec<Option<Point>> = given.to_vec();
    if given.iter().flatten().count() < 2 {
        located.fill(None);
        let longest = (0..table.count)
            .flat_map(|a| (a + 1..table.count).map(move |b| (a, b)))
            .filter_map(|(a, b)| Some((table.get(a, b)?, a, b)))
            .max_by(|x, y| x.0.total_cmp(&y.0));
        if let Some((mm, a, b)) = longest {
            located[a] = Some(Point::ORIGIN);
            located[b] = Some(Point::ORIGIN + direction(upright[a], upright[b]) * mm);
        }
    }
    while let Some((mark, a, b)) = next_mark(upright, &located, table) {
        let Some(place) = placed(upright, &located, table, [mark, a, b]) else {
            break;
        };
        located[mark] = Some(place);
    }
    let motion = Similarity::between(upright, &located);
    let mut places: Vec<Point> = located
        .iter()
        .zip(upright)
        .map(|(located, &pick)| located.unwrap_or_else(|| motion.map(pick)))
        .collect();
    if given.iter().flatten().count() < 2 {
        if mirror_balance(upright, &places) > 0 {
            for place in &mut places {
                place.x = -place.x;
            }
        }
        shift_to_given(&mut places, given);
    }
    places
}

/// Moves all places so that the one that is given, if any, is where it should be.
fn shift_to_given(places: &mut [Point], given: &[Option<Point>]) {
    let shift = places.iter().zip(given).find_map(|(&place, given)| given.map(|given| given - place));
    if let Some(shift) = shift {
        for place in places {
            *place += shift;
        }
    }
}

/// The mark not yet located with the best triangle over two located marks it is taped to.
fn next_mark(upright: &[Point], located: &[Option<Point>], table: &Table) -> Option<(usize, usize, usize)> {
    let count = located.len();
    let mut best: Option<(f64, (usize, usize, usize))> = None;
    for mark in (0..count).filter(|&mark| located[mark].is_none()) {
        let held: Vec<usize> = (0..count)
            .filter(|&other| located[other].is_some() && table.get(mark, other).is_some())
            .collect();
        for (index, &a) in held.iter().enumerate() {
            for &b in &held[index + 1..] {
                let area = sense(upright[a], upright[b], upright[mark]).abs();
                if best.is_none_or(|(most, _)| area > most) {
                    best = Some((area, (mark, a, b)));
                }
            }
        }
    }
    best.map(|(_, found)| found)
}

/// The place of a mark from its tapes to two located marks.
fn placed(
    upright: &[Point],
    located: &[Option<Point>],
    table: &Table,
    [mark, a, b]: [usize; 3],
) -> Option<Point> {
    let (from, to) = (located[a]?, located[b]?);
    let (near, far) = (table.get(mark, a)?, table.get(mark, b)?);
    let base = from.distance(to);
    let along = direction(from, to);
    let foot = if base > 0.0 { (near * near - far * far + base * base) / (2.0 * base) } else { 0.0 };
    let height = (near * near - foot * foot).max(0.0).sqrt();
    let left = Vec2::new(-along.y, along.x) * height;
    let sides = [from + along * foot + left, from + along * foot - left];
    let misfits = sides.map(|side| {
        let others = (0..located.len()).filter(|&other| other != a && other != b);
        let misfit = |other: usize| Some((side.distance(located[other]?) - table.get(mark, other)?).powi(2));
        others.filter_map(misfit).sum::<f64>().sqrt()
    });
    let on_left = if (misfits[0] - misfits[1]).abs() > CHOICE_PART * base {
        misfits[0] < misfits[1]
    } else {
        sense(upright[a], upright[b], upright[mark]) > 0.0
    };
    Some(sides[usize::from(!on_left)])
}

/// The picture scaled to the tapes, or onto the given places.
pub(super) fn likeness(upright: &[Point], given: &[Option<Point>], tapes: &[Reading]) -> Vec<Point> {
    if given.iter().flatten().count() >= 2 {
        let motion = Similarity::between(upright, given);
        let place = |(given, &pick): (&Option<Point>, &Point)| given.unwrap_or_else(|| motion.map(pick));
        return given.iter().zip(upright).map(place).collect();
    }
    let read: f64 = tapes.iter().map(|tape| tape.mm).sum();
    let seen: f64 = tapes.iter().map(|tape| upright[tape.from].distance(upright[tape.to])).sum();
    let scale = if seen > 0.0 { read / seen } else { 1.0 };
    let mut places: Vec<Point> = upright.iter().map(|pick| (pick.to_vec2() * scale).to_point()).collect();
    shift_to_given(&mut places, given);
    places
}

/// A turn, a scale and a shift: p ↦ shift + turn·p, as complex numbers.
struct Similarity {
    middle: Point,
    turn: Vec2,
    home: Point,
}

impl Similarity {
    /// The best one from `points` to those of `targets` that are known.
    fn between(points: &[Point], targets: &[Option<Point>]) -> Self {
        let known: Vec<(Point, Point)> = points
            .iter()
            .zip(targets)
            .filter_map(|(&point, target)| target.map(|target| (point, target)))
            .collect();
        let (from, to): (Vec<Point>, Vec<Point>) = known.iter().copied().unzip();
        let (middle, home) = (centroid(&from), centroid(&to));
        let (mut turn, mut square) = (Vec2::ZERO, 0.0);
        for (point, target) in known {
            let (p, t) = (point - middle, target - home);
            turn += Vec2::new(p.dot(t), p.cross(t));
            square += p.hypot2();
        }
        let turn = if square > 0.0 { turn / square } else { Vec2::new(1.0, 0.0) };
        Self { middle, turn, home }
    }

    fn map(&self, point: Point) -> Point {
        let (arm, turn) = (point - self.middle, self.turn);
        self.home + Vec2::new(turn.x * arm.x - turn.y * arm.y, turn.y * arm.x + turn.x * arm.y)
    }
}
