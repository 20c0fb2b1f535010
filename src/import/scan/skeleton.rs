//! Lines of ink thinned to their middles, and how these hang together.
//!
//! Pixels are taken from both sides of a line until one row is left (T. Y. Zhang and C. Y. Suen, “A Fast Parallel Algorithm
//! for Thinning Digital Patterns”, CACM 1984), but for those with two neighbours only: without them slanting lines are lost
//! (H. E. Lü and P. S. P. Wang, “A Comment on ‘A Fast Parallel Algorithm for Thinning Digital Patterns’”, CACM 1986). Where three or more ways meet is a node, and so is each end.

use super::blobs::Pixel;
use crate::geometry::{Point, Vec2};

/// A thing in a larger box, in pixels, is not thinned.
pub(super) const LARGEST_BOX: usize = 40_000_000;

/// More ways than this are a scribble.
const MOST_PATHS: usize = 5000;

/// An end that stands out by less than so many widths is the pen's, or the thinning's.
const SPUR_WIDTHS: f64 = 1.5;

/// And by less than this always, in mm.
const SPUR_MM: f64 = 0.8;

/// Where two lines meet at a sharp angle, their ink runs together before the point and leaves an end of up to this, in mm,
/// that is so many times shorter than both.
const POINT_MM: f64 = 4.0;
const POINT_TIMES: f64 = 5.0;

/// A way between two nodes.
pub(super) struct Path {
    pub(super) ends: [usize; 2],
    /// From the first node to the second.
    pub(super) points: Vec<Point>,
}

impl Path {
    pub(super) fn length(&self) -> f64 {
        self.points.windows(2).map(|pair| pair[0].distance(pair[1])).sum()
    }

    /// Where it ends at a node.
    pub(super) fn end_at(&self, node: usize) -> Option<Point> {
        let end = if self.ends[0] == node { self.points.first() } else { self.points.last() };
        end.copied()
    }

    /// The same from its other end.
    fn reversed(mut self) -> Self {
        self.points.reverse();
        self.ends.reverse();
        self
    }
}

/// The middles of lines that hang together.
pub(super) struct Skeleton {
    pub(super) paths: Vec<Path>,
    /// How wide the lines are drawn, in mm.
    pub(super) width: f64,
    count: usize,
}

/// Dark pixels in their box, with a light row around.
struct Grid {
    corner: [u32; 2],
    wide: usize,
    dark: Vec<bool>,
}

impl Grid {
    fn of(pixels: &[Pixel]) -> Option<Self> {
        let least = |way: usize| pixels.iter().map(|pixel| pixel[way]).min();
        let most = |way: usize| pixels.iter().map(|pixel| pixel[way]).max();
        let corner = [least(0)?, least(1)?];
        let size = |way: usize| Some((most(way)? - corner[way]) as usize + 3);
        let (wide, high) = (size(0)?, size(1)?);
        if wide.saturating_mul(high) > LARGEST_BOX {
            return None;
        }
        Some(Self { corner, wide, dark: vec![false; wide * high] })
    }

    fn index(&self, pixel: Pixel) -> usize {
        let [x, y] = [0, 1].map(|way| (pixel[way] - self.corner[way]) as usize + 1);
        y * self.wide + x
    }

    /// The neighbours: up, then round clockwise.
    fn around(&self, at: usize) -> [usize; 8] {
        let wide = self.wide;
        [at - wide, at - wide + 1, at + 1, at + wide + 1, at + wide, at + wide - 1, at - 1, at - wide - 1]
    }

    fn is_inner(&self, at: usize, second: bool) -> bool {
        let around = self.around(at).map(|other| self.dark[other]);
        let count = around.iter().filter(|dark| **dark).count();
        let rises = (0..8).filter(|k| !around[*k] && around[(k + 1) % 8]).count();
        let [up, _, right, _, down, _, left, _] = around;
        let open = if second { !(up && left && (right || down)) } else { !(right && down && (up || left)) };
        (3..=6).contains(&count) && rises == 1 && open
    }

    /// Takes pixels from both sides in turn until nothing changes. A pixel is looked at again only where one beside it was
    /// taken, so that a patch of ink costs as many looks as it has pixels, however thick it is.
    fn thin(&mut self, all: &[usize]) {
        let mut waiting = [all.to_vec(), all.to_vec()];
        // Whether a pixel waits to be looked at from each side.
        let mut waits = vec![[false; 2]; self.dark.len()];
        for at in all {
            waits[*at] = [true; 2];
        }
        while waiting.iter().any(|pixels| !pixels.is_empty()) {
            for side in [0, 1] {
                let looked_at = std::mem::take(&mut waiting[side]);
                for at in &looked_at {
                    waits[*at][side] = false;
                }
                let gone: Vec<usize> = looked_at
                    .into_iter()
                    .filter(|at| self.dark[*at] && self.is_inner(*at, side == 1))
                    .collect();
                for at in &gone {
                    self.dark[*at] = false;
                }
                for other in gone.iter().flat_map(|at| self.around(*at)).filter(|other| self.dark[*other]) {
                    for (waiting, waits) in waiting.iter_mut().zip(&mut waits[other]) {
                        if !std::mem::replace(waits, true) {
                            waiting.push(other);
                        }
                    }
                }
            }
        }
    }

    /// A step of a staircase: both of its neighbours touch without it.
    fn is_step(&self, at: usize) -> bool {
        let around = self.around(at).map(|other| self.dark[other]);
        (0..4).any(|turn| {
            let of = |k: usize| around[(2 * turn + k) % 8];
            of(0) && of(2) && !of(4) && !of(5) && !of(6)
        })
    }
}

/// The middles of the lines that pixels make; `on_sheet` places pixels, in mm. Nothing where they make a scribble.
pub(super) fn of(pixels: &[Pixel], on_sheet: &dyn Fn(&Point) -> Point) -> Option<Skeleton> {
    let mut grid = Grid::of(pixels)?;
    let mut left: Vec<usize> = pixels.iter().map(|pixel| grid.index(*pixel)).collect();
    for at in &left {
        grid.dark[*at] = true;
    }
    grid.thin(&left);
    left.retain(|at| grid.dark[*at]);
    for at in &left {
        if grid.is_step(*at) {
            grid.dark[*at] = false;
        }
    }
    left.retain(|at| grid.dark[*at]);
    let place = |at: usize| {
        let [x, y] = [at % grid.wide, at / grid.wide];
        #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
        let [x, y] = [x as f64 - 0.5, y as f64 - 0.5];
        let [left, top] = grid.corner.map(f64::from);
        on_sheet(&Point::new(left + x, top + y))
    };
    let mut skeleton = linked(&grid, &left, &place)?;
    let unit = (on_sheet(&Point::new(1.0, 0.0)) - on_sheet(&Point::ZERO))
        .cross(on_sheet(&Point::new(0.0, 1.0)) - on_sheet(&Point::ZERO));
    #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
    let area = unit.abs() * pixels.len() as f64;
    // Ends are thinned too, by half a width: ink of a line covers (length + width) · width.
    let length: f64 = skeleton.paths.iter().map(Path::length).sum();
    skeleton.width = 0.5 * ((length * length + 4.0 * area).sqrt() - length);
    skeleton.tidy();
    Some(skeleton)
}

/// Ways and nodes of thinned lines.
fn linked(grid: &Grid, left: &[usize], place: &dyn Fn(usize) -> Point) -> Option<Skeleton> {
    const NONE: usize = usize::MAX;
    let near = |at: usize| grid.around(at).into_iter().filter(|other| grid.dark[*other]);
    let mut node = std::collections::HashMap::new();
    let mut nodes: Vec<Point> = Vec::new();
    let is_node = |at: usize| near(at).count() != 2;
    for &first in left.iter().filter(|at| is_node(**at)) {
        if node.contains_key(&first) {
            continue;
        }
        let id = nodes.len();
        let mut together = vec![first];
        node.insert(first, id);
        let mut next = 0;
        while let Some(&at) = together.get(next) {
            next += 1;
            for other in near(at).filter(|other| is_node(*other)) {
                if let std::collections::hash_map::Entry::Vacant(free) = node.entry(other) {
                    free.insert(id);
                    together.push(other);
                }
            }
        }
        #[expect(clippy::cast_precision_loss, reason = "a handful of pixels")]
        let of = together.len() as f64;
        let sum = together.iter().fold(Vec2::ZERO, |sum, at| sum + place(*at).to_vec2());
        nodes.push((sum / of).to_point());
    }
    let mut paths = Vec::new();
    let mut walked = std::collections::HashSet::new();
    let mut walk = |from: Option<usize>, first: usize, before: usize| -> Option<Path> {
        if !walked.insert(first) {
            return None;
        }
        let mut points: Vec<Point> = from.map(|id| nodes[id]).into_iter().chain([place(first)]).collect();
        let (mut at, mut before) = (first, before);
        loop {
            let Some(next) =
                near(at).find(|next| *next != before && (node.contains_key(next) || !walked.contains(next)))
            else {
                // Round to its own start.
                return Some(Path { ends: [NONE, NONE], points });
            };
            if let Some(&to) = node.get(&next) {
                points.push(nodes[to]);
                return Some(Path { ends: [from.unwrap_or(NONE), to], points });
            }
            walked.insert(next);
            points.push(place(next));
            (before, at) = (at, next);
        }
    };
    for (&pixel, &id) in left.iter().filter_map(|at| node.get_key_value(at)) {
        for first in near(pixel).filter(|first| !node.contains_key(first)) {
            // Beside a node, a pixel may lead back to it at once.
            let is_way = |path: &Path| path.ends[0] != path.ends[1] || path.points.len() > 8;
            paths.extend(walk(Some(id), first, pixel).filter(is_way));
            if paths.len() > MOST_PATHS {
                return None;
            }
        }
    }
    for &first in left.iter().filter(|at| !node.contains_key(at)) {
        paths.extend(walk(None, first, NONE).map(|mut ring| {
            ring.points.extend(ring.points.first().copied());
            ring
        }));
        if paths.len() > MOST_PATHS {
            return None;
        }
    }
    Some(Skeleton { paths, width: 0.0, count: nodes.len() })
}

impl Skeleton {
    /// How many ways begin at each node.
    pub(super) fn degrees(&self) -> Vec<usize> {
        let mut degrees = vec![0; self.count];
        for end in self.paths.iter().flat_map(|path| path.ends) {
            if let Some(degree) = degrees.get_mut(end) {
                *degree += 1;
            }
        }
        degrees
    }

    /// The ways that begin at a node.
    pub(super) fn at(&self, node: usize) -> impl Iterator<Item = usize> + '_ {
        (0..self.paths.len()).filter(move |path| self.paths[*path].ends.contains(&node))
    }

    /// Takes off what stands out of lines and is none, and joins ways that go on as one.
    fn tidy(&mut self) {
        let mut links: Vec<Vec<usize>> = vec![Vec::new(); self.count];
        for (index, path) in self.paths.iter().enumerate() {
            for end in path.ends {
                if let Some(link) = links.get_mut(end) {
                    link.push(index);
                }
            }
        }
        // A way that is taken off has no points any more.
        loop {
            let spurs: Vec<usize> =
                (0..self.paths.len()).filter(|path| self.is_spur(*path, &links)).collect();
            for &path in &spurs {
                // One that was taken off before may have made this one part of a line.
                if self.is_spur(path, &links) {
                    self.paths[path].points.clear();
                    for end in self.paths[path].ends {
                        links[end].retain(|other| *other != path);
                    }
                }
            }
            let mut joined = false;
            for node in 0..self.count {
                let [one, other] = links[node][..] else { continue };
                if one == other {
                    continue;
                }
                joined = true;
                let second =
                    std::mem::replace(&mut self.paths[other], Path { ends: [node; 2], points: Vec::new() });
                let second = if second.ends[0] == node { second } else { second.reversed() };
                let first = &mut self.paths[one];
                if first.ends[0] == node {
                    first.points.reverse();
                    first.ends.reverse();
                }
                first.points.extend(second.points.into_iter().skip(1));
                first.ends[1] = second.ends[1];
                links[node].clear();
                if let Some(link) = links[second.ends[1]].iter_mut().find(|path| **path == other) {
                    *link = one;
                }
            }
            if spurs.is_empty() && !joined {
                break;
            }
        }
        self.paths.retain(|path| !path.points.is_empty());
    }

    fn is_spur(&self, path: usize, links: &[Vec<usize>]) -> bool {
        let degree = |node: usize| links.get(node).map_or(0, Vec::len);
        let [from, to] = self.paths[path].ends;
        let root = match (degree(from), degree(to)) {
            _ if self.paths[path].points.is_empty() => return false,
            (1, 3..) => to,
            (3.., 1) => from,
            _ => return false,
        };
        let length = self.paths[path].length();
        let mut others = links[root].iter().filter(|other| **other != path);
        length < (SPUR_WIDTHS * self.width).max(SPUR_MM)
            || (length < POINT_MM
                && degree(root) == 3
                && others.all(|other| self.paths[*other].length() > POINT_TIMES * length))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The thinning as it is published: every pixel in every round.
    fn thinned_in_rounds(grid: &mut Grid, all: &[usize]) {
        loop {
            let before = grid.dark.clone();
            for second in [false, true] {
                let is_gone = |at: &usize| grid.dark[*at] && grid.is_inner(*at, second);
                let gone: Vec<usize> = all.iter().copied().filter(is_gone).collect();
                gone.into_iter().for_each(|at| grid.dark[at] = false);
            }
            if grid.dark == before {
                return;
            }
        }
    }

    proptest! {
        #[test]
        fn pixels_that_are_looked_at_again_are_those_that_rounds_over_all_would_change(
            rows in proptest::collection::vec(any::<u32>(), 3..40),
            solid in any::<bool>(),
        ) {
            let dark = |x: u32, row: &u32| solid && x % 9 > 1 || row >> x & 1 == 1;
            let pixels: Vec<Pixel> = rows
                .iter()
                .zip(0_u32..)
                .flat_map(|(row, y)| (0..32).filter(move |x| dark(*x, row)).map(move |x| [x, y]))
                .collect();
            prop_assume!(!pixels.is_empty());
            let mut grid = Grid::of(&pixels).unwrap();
            let all: Vec<usize> = pixels.iter().map(|pixel| grid.index(*pixel)).collect();
            all.iter().for_each(|at| grid.dark[*at] = true);
            let mut slow = Grid { dark: grid.dark.clone(), ..grid };
            grid.thin(&all);
            thinned_in_rounds(&mut slow, &all);
            prop_assert_eq!(&grid.dark, &slow.dark);
        }
    }
}
