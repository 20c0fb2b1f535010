//! The checker: whether a lay keeps every rule, found out by other means than the search uses.
//!
//! It knows nothing of no-fit polygons, fields or whole-number grids of the search: outlines are laid in f64 and
//! intersected pair by pair, phases are taken from the cloth, folds from the corners.

use super::outcome::Placed;
use super::problem::{Group, Item, Problem, Steps};
use crate::geometry::{Point, Rect, Vec2};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay as _;

/// Largest area in which two pieces may overlap, in mm².
pub const LARGEST_OVERLAP_MM2: f64 = 0.01;

/// Furthest that a piece may reach over an edge, miss its phase or leave the fold, in mm.
pub const LARGEST_ERROR_MM: f64 = 0.01;

/// A rule that a lay breaks.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Broken {
    /// A copy is missing, or there is one too many.
    #[error("{item} is laid {laid} times and wanted {wanted} times")]
    Count {
        /// Which item.
        item: String,
        /// How often it lies on the cloth.
        laid: usize,
        /// How often it is wanted.
        wanted: usize,
    },
    /// It lies in a way in which it may not.
    #[error("{item} lies in a way in which it may not")]
    Pose {
        /// Which item.
        item: String,
    },
    /// It reaches over an edge of the cloth.
    #[error("{item} reaches {by_mm:.3} mm over the edge of the cloth")]
    Outside {
        /// Which item.
        item: String,
        /// How far.
        by_mm: f64,
    },
    /// It lies on a part of the cloth that is not for it.
    #[error("{item} reaches {by_mm:.3} mm off the part of the cloth that it is for")]
    Band {
        /// Which item.
        item: String,
        /// How far.
        by_mm: f64,
    },
    /// Two overlap.
    #[error("{first} and {second} overlap by {area_mm2:.3} mm²")]
    Overlap {
        /// The one.
        first: String,
        /// The other, or a flaw.
        second: String,
        /// How much.
        area_mm2: f64,
    },
    /// Two lie closer than the gap.
    #[error("{first} and {second} lie {apart_mm:.3} mm apart")]
    Close {
        /// The one.
        first: String,
        /// The other, or a flaw.
        second: String,
        /// How far apart.
        apart_mm: f64,
    },
    /// It misses the phase of its group.
    #[error("{item} misses the print by {by_mm:.3} mm")]
    Phase {
        /// Which item.
        item: String,
        /// How far.
        by_mm: f64,
    },
    /// Its fold edge is off the fold.
    #[error("{item} lies {by_mm:.3} mm off the fold")]
    Fold {
        /// Which item.
        item: String,
        /// How far.
        by_mm: f64,
    },
    /// It was moved from where it is pinned.
    #[error("{item} was moved from its place")]
    Moved {
        /// Which item.
        item: String,
    },
}

/// Every rule that a lay breaks; none when it is good.
#[must_use]
pub fn check(problem: &Problem, places: &[Placed]) -> Vec<Broken> {
    let mut broken = Vec::new();
    for (index, item) in problem.items.iter().enumerate() {
        let laid = places.iter().filter(|place| place.item == index).count();
        if laid != item.copies {
            broken.push(Broken::Count { item: item.name.clone(), laid, wanted: item.copies });
        }
    }
    for place in places {
        if let Some(item) = problem.items.get(place.item) {
            check_one(problem, item, place, &mut broken);
        }
    }
    check_phases(problem, places, &mut broken);
    check_pairs(problem, places, &mut broken);
    broken
}

fn check_one(problem: &Problem, item: &Item, place: &Placed, broken: &mut Vec<Broken>) {
    let name = || item.name.clone();
    match &item.pinned {
        Some(pinned) => {
            if (place.at - pinned.at).hypot() > LARGEST_ERROR_MM || place.pose != pinned.pose {
                broken.push(Broken::Moved { item: name() });
            }
            // Where it lies was not the search's to choose.
            return;
        }
        None => {
            if !item.poses.contains(&place.pose) {
                broken.push(Broken::Pose { item: name() });
            }
        }
    }
    let outline = place.outline(problem);
    let over = outline
        .iter()
        .map(|p| (problem.min_x - p.x).max(-p.y).max(p.y - problem.width))
        .fold(f64::NEG_INFINITY, f64::max);
    if over > LARGEST_ERROR_MM {
        broken.push(Broken::Outside { item: name(), by_mm: over });
    }
    if let Some([low, high]) = item.band {
        let off = outline.iter().map(|p| (low - p.y).max(p.y - high)).fold(f64::NEG_INFINITY, f64::max);
        if off > LARGEST_ERROR_MM {
            broken.push(Broken::Band { item: name(), by_mm: off });
        }
    }
    if let Some(level) = item.fold_level {
        let off =
            [0.0, 1.0].map(|x| place.on_cloth(Point::new(x, level)).y.abs()).into_iter().fold(0.0, f64::max);
        if off > LARGEST_ERROR_MM {
            broken.push(Broken::Fold { item: name(), by_mm: off });
        }
    }
}

fn check_phases(problem: &Problem, places: &[Placed], broken: &mut Vec<Broken>) {
    for (index, group) in problem.groups.iter().enumerate() {
        let mut first: Option<Point> = None;
        for place in places {
            let Some(item) = problem.items.get(place.item) else {
                continue;
            };
            let Some(repeat) = item.repeat.filter(|repeat| repeat.group == index) else {
                continue;
            };
            let (point, on_fold) = (place.on_cloth(repeat.reference), item.fold_level.is_some());
            let mate = *first.get_or_insert(point);
            let by_mm = off_phase(point - mate, repeat.steps, on_fold).max(off_given(
                point,
                *group,
                repeat.steps,
                on_fold,
            ));
            if by_mm > LARGEST_ERROR_MM {
                broken.push(Broken::Phase { item: item.name.clone(), by_mm });
            }
        }
    }
}

fn remainder(value: f64, step: f64) -> f64 {
    (value - (value / step).round() * step).abs()
}

/// How far a matching point is from the phase that the cloth dictates.
fn off_given(point: Point, group: Group, steps: Steps, on_fold: bool) -> f64 {
    match (steps, group.along, group.across) {
        (Steps::Both(_), Some(along), Some(across)) => {
            off_phase(point - Point::new(along, across), steps, on_fold)
        }
        (steps, along, across) => {
            let along = along.zip(steps.pitch_along()).map(|(at, pitch)| remainder(point.x - at, pitch));
            let across = across.zip(steps.pitch_across()).map(|(at, pitch)| remainder(point.y - at, pitch));
            along.unwrap_or(0.0).max(across.filter(|_| !on_fold).unwrap_or(0.0))
        }
    }
}

/// How far a difference of two matching points is from a whole number of repeats. On the fold only the phase
/// along the cloth counts, that of the nearest column: the fold itself keeps the other.
fn off_phase(off: Vec2, steps: Steps, on_fold: bool) -> f64 {
    match steps {
        Steps::Along(step) => remainder(off.x, step),
        Steps::Across(_) if on_fold => 0.0,
        Steps::Across(step) => remainder(off.y, step),
        Steps::Both([a, b]) => {
            let cross = a.cross(b);
            let columns = steps.pitch_across().map_or(0.0, |pitch| (off.y / pitch).round() * pitch);
            let off = if on_fold { Vec2::new(off.x, columns) } else { off };
            let (u, v) = (off.cross(b) / cross, a.cross(off) / cross);
            (off - u.round() * a - v.round() * b).hypot()
        }
    }
}

fn check_pairs(problem: &Problem, places: &[Placed], broken: &mut Vec<Broken>) {
    struct Laid<'p> {
        name: &'p str,
        outline: Vec<[f64; 2]>,
        frame: Rect,
        fixed: bool,
        flaw: bool,
        over_flaws: bool,
    }
    let laid = |name: &'static str, outline: Vec<Point>, fixed: bool| {
        let first = outline.first().copied().unwrap_or_default();
        let frame = outline.iter().fold(Rect::from_points(first, first), |frame, p| frame.union_pt(*p));
        let outline = outline.iter().map(|p| [p.x, p.y]).collect();
        Laid { name, outline, frame, fixed, flaw: false, over_flaws: false }
    };
    let mut all: Vec<Laid<'_>> = Vec::new();
    for place in places {
        let Some(item) = problem.items.get(place.item) else {
            continue;
        };
        let (name, over_flaws) = (&item.name, item.over_flaws);
        all.push(Laid { name, over_flaws, ..laid("", place.outline(problem), item.pinned.is_some()) });
    }
    let flaws = problem.flaws.iter();
    all.extend(flaws.map(|flaw| Laid { flaw: true, ..laid("a flaw", flaw.clone(), true) }));
    for (index, a) in all.iter().enumerate() {
        for b in &all[index + 1..] {
            let near = a.frame.inflate(problem.gap, problem.gap).intersect(b.frame);
            let passes = a.over_flaws && b.flaw;
            if passes || (a.fixed && b.fixed) || near.width() <= 0.0 || near.height() <= 0.0 {
                continue;
            }
            let shared = a.outline.overlay(&b.outline, OverlayRule::Intersect, FillRule::NonZero);
            let area: f64 = shared.iter().flatten().map(|contour| signed_area(contour)).sum();
            if area.abs() > LARGEST_OVERLAP_MM2 {
                broken.push(Broken::Overlap {
                    first: a.name.to_owned(),
                    second: b.name.to_owned(),
                    area_mm2: area.abs(),
                });
            } else if problem.gap > 0.0 {
                let apart = apart(&a.outline, &b.outline);
                if apart < problem.gap - LARGEST_ERROR_MM {
                    broken.push(Broken::Close {
                        first: a.name.to_owned(),
                        second: b.name.to_owned(),
                        apart_mm: apart,
                    });
                }
            }
        }
    }
}

fn signed_area(contour: &[[f64; 2]]) -> f64 {
    let next = contour.iter().cycle().skip(1);
    let twice: f64 = contour.iter().zip(next).map(|(p, q)| p[0] * q[1] - p[1] * q[0]).sum();
    twice / 2.0
}

/// Least distance between the corners of either outline and the edges of the other.
fn apart(a: &[[f64; 2]], b: &[[f64; 2]]) -> f64 {
    let mut least = f64::INFINITY;
    for (corners, edges) in [(a, b), (b, a)] {
        for p in corners {
            for (q, r) in edges.iter().zip(edges.iter().cycle().skip(1)) {
                let (along, off) = ([r[0] - q[0], r[1] - q[1]], [p[0] - q[0], p[1] - q[1]]);
                let squared = along[0] * along[0] + along[1] * along[1];
                let t = if squared > 0.0 {
                    ((off[0] * along[0] + off[1] * along[1]) / squared).clamp(0.0, 1.0)
                } else {
                    0.0
                };
                least = least.min((off[0] - t * along[0]).hypot(off[1] - t * along[1]));
            }
        }
    }
    least
}
