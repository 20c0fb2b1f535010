//! A first lay: one piece after the other, each as far towards the cut end as it goes.
//!
//! For each way in which a piece may lie, levels across the cloth are tried; on a level, the stretches in which
//! the piece would overlap are cut out of the no-fit polygons exactly, and the first x outside them is taken.
//! Pieces on a lattice try its nodes instead, from the cut end on.

use super::field::join;
use super::fields::PairField;
use super::freedom::Freedom;
use super::hazards::APART_MM;
use super::layout::Layout;
use super::model::{Known, Model, Shape};
use crate::geometry::{Point, Rect};
use fastrand::Rng;

/// Levels tried for each way in which a piece may lie.
const LEVELS: u32 = 48;

/// An order by size, large ones first; the pinned before all and those on the fold next.
pub(super) fn order_by_size(model: &Model, rng: Option<&mut Rng>) -> Vec<usize> {
    let mut order: Vec<usize> = (0..model.wanted).collect();
    let mut noise = vec![1.0; model.kinds.len()];
    if let Some(rng) = rng {
        for factor in &mut noise {
            *factor = 0.6 + 0.8 * rng.f64();
        }
    }
    let size = |piece: usize| {
        let kind = &model.kinds[model.pieces[piece]];
        let extent = kind.shapes.iter().map(|shape| shape.half.x.max(shape.half.y)).fold(0.0, f64::max);
        let rank = u8::from(kind.on_fold) + 2 * u8::from(kind.pinned.is_some());
        (rank, noise[model.pieces[piece]] * extent * kind.scale)
    };
    order.sort_by(|a, b| {
        let (a, b) = (size(*a), size(*b));
        b.0.cmp(&a.0).then(b.1.total_cmp(&a.1))
    });
    order
}

/// Lays the pieces in the given order. `shapes_of` says which shapes a piece may take. `Err` names the piece that
/// finds no place.
pub(super) fn fill(
    model: &Model,
    start: Layout,
    order: &[usize],
    shapes_of: impl Fn(usize) -> Vec<usize>,
) -> Result<Layout, usize> {
    let mut layout = start;
    let mut placed: Vec<usize> = (model.wanted..model.pieces.len()).collect();
    for piece in (0..model.wanted).filter(|piece| layout.kind(model, *piece).pinned.is_some()) {
        placed.push(piece);
    }
    // An upper estimate of the length: all one after the other, each with room to reach its next node.
    let longest: f64 = (0..model.pieces.len())
        .map(|piece| {
            let extents = layout.kind(model, piece).shapes.iter().map(|shape| 2.0 * shape.half.hypot());
            extents.fold(0.0, f64::max)
        })
        .sum();
    let pinned_end = placed.iter().map(|piece| layout.at[*piece].x + layout.shape(model, *piece).half.x);
    let furthest = 4.0 * longest + pinned_end.fold(model.min_x, f64::max) + model.min_x;
    let mut known = model.group_is_known();
    for &piece in order {
        let kind = layout.kind(model, piece);
        if kind.pinned.is_some() {
            continue;
        }
        // The first of a group is free as far as the phase is, and sets it for the others.
        let first_of_group = kind.repeat.filter(|repeat| !known[repeat.group].all());
        let mut best: Option<(f64, usize, Point)> = None;
        for shape_index in shapes_of(piece) {
            let shape = &kind.shapes[shape_index];
            let Some(inside) = model.inside(shape, furthest) else {
                continue;
            };
            let others: Vec<Other<'_>> = placed
                .iter()
                .filter_map(|other| {
                    Some(Other {
                        at: layout.at[*other],
                        pair: model.pair(layout.shape(model, *other), shape)?,
                    })
                })
                .collect();
            let freedom = match first_of_group {
                Some(repeat) => {
                    Freedom::first(&repeat, shape, layout.phases[repeat.group], known[repeat.group])
                }
                None => layout.freedom(model, piece, shape),
            };
            let found = match &freedom {
                Freedom::Lattice(_) => first_node(&freedom, inside, &others, best, shape),
                Freedom::Axes(_) => first_on_levels(&freedom, inside, &others),
            };
            if let Some(at) = found {
                let end = at.x + shape.half.x;
                if best
                    .is_none_or(|(least, _, p)| end < least - TIE_MM || (end < least + TIE_MM && at.y < p.y))
                {
                    best = Some((end, shape_index, at));
                }
            }
        }
        let (_, shape, at) = best.ok_or(piece)?;
        layout.shapes[piece] = shape;
        layout.at[piece] = at;
        if let Some(repeat) = first_of_group {
            layout.phases[repeat.group] = at + layout.shape(model, piece).reference;
            known[repeat.group] = Known { along: true, across: true };
        }
        placed.push(piece);
    }
    Ok(layout)
}

/// Ends closer than this are the same, in mm; the lower place is then taken.
const TIE_MM: f64 = 0.01;

struct Other<'m> {
    at: Point,
    pair: PairField<'m>,
}

fn first_on_levels(freedom: &Freedom, inside: Rect, others: &[Other<'_>]) -> Option<Point> {
    let levels = freedom.levels(inside).unwrap_or_else(|| {
        let step = (inside.y1 - inside.y0) / f64::from(LEVELS);
        (0..=LEVELS).map(|n| inside.y0 + f64::from(n) * step).collect()
    });
    let mut best: Option<Point> = None;
    let (mut stretches, mut here) = (Vec::new(), Vec::new());
    for y in levels {
        stretches.clear();
        for other in others {
            let sign = other.pair.sign;
            other.pair.field.overlaps_at(sign.y * (y - other.at.y), &mut here);
            stretches.extend(here.iter().map(|(a, b)| {
                let (a, b) = (other.at.x + sign.x * a, other.at.x + sign.x * b);
                (a.min(b), a.max(b))
            }));
        }
        join(&mut stretches);
        let mut x = freedom.next_x(inside.x0);
        for (start, end) in &stretches {
            if x <= *start {
                break;
            }
            if x < *end {
                x = freedom.next_x(*end);
            }
        }
        if x <= inside.x1 && best.is_none_or(|known| x < known.x - TIE_MM) {
            best = Some(Point::new(x, y));
        }
    }
    best
}

fn first_node(
    freedom: &Freedom,
    inside: Rect,
    others: &[Other<'_>],
    best: Option<(f64, usize, Point)>,
    shape: &Shape,
) -> Option<Point> {
    // Growing windows: most pieces find a place before the first few are over.
    let window = 4.0 * shape.half.x + 2.0 * freedom.finest();
    let mut from = inside.x0;
    while from <= inside.x1 {
        if best.is_some_and(|(end, _, _)| from + shape.half.x > end + TIE_MM) {
            return None;
        }
        let part = Rect::new(from, inside.y0, (from + window).min(inside.x1), inside.y1);
        let mut nodes = freedom.nodes(part)?;
        nodes.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
        let free = nodes
            .into_iter()
            .find(|node| others.iter().all(|other| other.pair.depth(*node - other.at) <= APART_MM));
        if free.is_some() {
            return free;
        }
        from += window;
    }
    None
}
