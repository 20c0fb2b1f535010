//! What hangs together in a picture, told run by run of its rows.

use super::picture::Picture;
use crate::geometry::Point;
use std::collections::BTreeMap;

/// A pixel by its column and its row.
pub(super) type Pixel = [u32; 2];

/// Dark pixels beside each other in one row.
#[derive(Clone, Copy)]
struct Run {
    y: u32,
    from: u32,
    /// The first that is not dark any more.
    to: u32,
}

/// The dark things of a picture: pixels that touch, if only at their corners, are of one.
pub(super) struct Blobs {
    runs: Vec<Run>,
    /// The thing that each run is a part of.
    blobs: Vec<usize>,
}

impl Blobs {
    /// What is darker than a level.
    pub(super) fn of(picture: &Picture, level: f64) -> Self {
        let mut runs = Vec::new();
        for y in 0..picture.height {
            let mut start = None;
            for (x, grey) in (0..picture.width).zip(picture.row(y)) {
                match (f64::from(*grey) < level, start) {
                    (true, None) => start = Some(x),
                    (false, Some(from)) => {
                        runs.push(Run { y, from, to: x });
                        start = None;
                    }
                    _ => {}
                }
            }
            runs.extend(start.map(|from| Run { y, from, to: picture.width }));
        }
        Self::joined(runs)
    }

    /// What pixels make, in any order.
    pub(super) fn of_pixels(mut pixels: Vec<Pixel>) -> Self {
        pixels.sort_unstable_by_key(|[x, y]| (*y, *x));
        let mut runs: Vec<Run> = Vec::new();
        for [x, y] in pixels {
            match runs.last_mut().filter(|run| run.y == y && run.to >= x) {
                Some(run) => run.to = x + 1,
                None => runs.push(Run { y, from: x, to: x + 1 }),
            }
        }
        Self::joined(runs)
    }

    fn joined(runs: Vec<Run>) -> Self {
        let mut parents: Vec<usize> = (0..runs.len()).collect();
        let mut above = 0..0;
        let mut start = 0;
        while let Some(first) = runs.get(start) {
            let end = start + runs[start..].iter().take_while(|run| run.y == first.y).count();
            if runs.get(above.start).is_some_and(|run| run.y + 1 == first.y) {
                let mut left = above.start;
                for here in start..end {
                    while left < above.end && runs[left].to < runs[here].from {
                        left += 1;
                    }
                    let touching = (left..above.end).take_while(|other| runs[*other].from <= runs[here].to);
                    for other in touching {
                        let (one, other) = (root(&mut parents, other), root(&mut parents, here));
                        parents[one.max(other)] = one.min(other);
                    }
                }
            }
            above = start..end;
            start = end;
        }
        let blobs = (0..runs.len()).map(|run| root(&mut parents, run)).collect();
        Self { runs, blobs }
    }

    fn at(&self, x: u32, y: u32) -> Option<usize> {
        let after = self.runs.partition_point(|run| (run.y, run.from) <= (y, x));
        let index = after.checked_sub(1)?;
        (self.runs[index].y == y && x < self.runs[index].to).then_some(self.blobs[index])
    }

    /// The thing whose border runs through a place, in pixels from the upper left corner.
    pub(super) fn beside(&self, place: Point) -> Option<usize> {
        // The border runs between the middles of a dark pixel and a light one.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped at zero")]
        let around = |at: f64| [-0.5, 0.5].map(|by| (at + by).floor().max(0.0) as u32);
        let [xs, ys] = [around(place.x), around(place.y)];
        ys.into_iter().flat_map(|y| xs.map(|x| (x, y))).find_map(|(x, y)| self.at(x, y))
    }

    /// The pixels of each thing that is wanted.
    pub(super) fn pixels(&self, is_wanted: impl Fn(usize) -> bool) -> BTreeMap<usize, Vec<Pixel>> {
        let mut found: BTreeMap<usize, Vec<Pixel>> = BTreeMap::new();
        for (run, blob) in self.runs.iter().zip(&self.blobs).filter(|(_, blob)| is_wanted(**blob)) {
            found.entry(*blob).or_default().extend((run.from..run.to).map(|x| [x, run.y]));
        }
        found
    }
}

fn root(parents: &mut [usize], of: usize) -> usize {
    let mut at = of;
    while parents[at] != at {
        parents[at] = parents[parents[at]];
        at = parents[at];
    }
    at
}
