//! The three parts of a spread front, moved.

use crate::alter::place::Spot;
use crate::geometry::Shape as _;
use crate::geometry::{Affine, BezPath, Curve, Line, Point, Segment, displaced};
use crate::pattern::{Notch, Piece};

/// Half of the stretch of hem that takes up the strip, in mm.
const HEM_BAND_MM: f64 = 100.0;

/// The cuts through a piece, in the order of its outline: centre edge, hem, side, mouth, armhole.
pub(super) struct Cuts {
    pub centre: usize,
    pub hem: Spot,
    pub mouth: usize,
    pub hinge: Spot,
}

/// How the three parts move.
pub(super) struct Moves {
    /// The side part above the dart.
    pub upper: Affine,
    /// The side part below the dart.
    pub lower: Affine,
    /// The centre part below the bust.
    pub centre: Affine,
}

/// The outline with its three parts moved.
pub(super) fn spread_apart(old: &Piece, cuts: &Cuts, moves: &Moves) -> Piece {
    let count = old.edges.len();
    let mut piece = old.clone();
    let between = |from: usize, to: usize| {
        let steps = (to + count - from) % count;
        (1..steps).map(move |step| (from + step) % count)
    };
    let centre = &old.edges[cuts.centre].curve;
    piece.edges[cuts.centre].curve = Curve::line(centre.start(), moves.centre * centre.end());
    for at in between(cuts.centre, cuts.hem.edge) {
        piece.edges[at].curve = old.edges[at].curve.transformed(moves.centre);
    }
    for at in between(cuts.hem.edge, cuts.mouth) {
        piece.edges[at].curve = old.edges[at].curve.transformed(moves.lower);
    }
    for at in between(cuts.mouth, cuts.hinge.edge) {
        piece.edges[at].curve = old.edges[at].curve.transformed(moves.upper);
    }
    let (hem, armhole) = (&old.edges[cuts.hem.edge].curve, &old.edges[cuts.hinge.edge].curve);
    // The strip is spread into the hem over a band, so that the hem stays one smooth line.
    let whole = hem.length();
    let band = HEM_BAND_MM.min(cuts.hem.along).min(whole - cuts.hem.along).max(1.0);
    let down = moves.centre * Point::ORIGIN - Point::ORIGIN;
    let strip = (moves.lower * Point::ORIGIN - Point::ORIGIN) - down;
    let breaks = [cuts.hem.along - band, cuts.hem.along + band];
    piece.edges[cuts.hem.edge].curve = displaced(hem, &breaks, |along| {
        let u = ((along.distance - breaks[0]) / (2.0 * band)).clamp(0.0, 1.0);
        let slope = 6.0 * u * (1.0 - u) / (2.0 * band);
        (down + u * u * (3.0 - 2.0 * u) * strip, slope * strip)
    });
    let mut segments: Vec<Segment> = Vec::new();
    let (near, far) = armhole.split_at(cuts.hinge.along);
    segments.extend(near.iter().flat_map(|part| part.transformed(moves.upper).segments().to_vec()));
    segments.extend(far.iter().flat_map(|part| part.segments().to_vec()));
    piece.edges[cuts.hinge.edge].curve = Curve::new(segments).unwrap_or_else(|_| armhole.clone());
    let mouth = &old.edges[cuts.mouth].curve;
    piece.edges[cuts.mouth].curve = Curve::line(moves.lower * mouth.start(), moves.upper * mouth.end());
    piece
}

/// Notches and marks with the part that they lie on.
pub(super) fn move_marks(old: &Piece, piece: &mut Piece, cuts: &Cuts, moves: &Moves, bust: Point) {
    let count = old.edges.len();
    let edges = piece.edges.clone();
    for notch in &mut piece.notches {
        let Some(at) = old.edge_index(&notch.edge).filter(|&at| at == cuts.hem.edge || at == cuts.centre)
        else {
            continue;
        };
        let (was, is) = (&old.edges[at], &edges[at]);
        let along = Notch::distance_from_start(notch, was);
        let longer = is.curve.length() - was.curve.length();
        let below = (was.curve.point_at(along) - bust).dot(old.grainline.direction()) < 0.0;
        let moves_with_end = if at == cuts.hem.edge { along > cuts.hem.along } else { below };
        if moves_with_end != (notch.corner == was.to) {
            notch.distance += longer;
        }
    }
    let region = |from: Point, first: usize, last: usize, part: &dyn Fn(usize) -> Option<Curve>| {
        let mut path = BezPath::new();
        path.move_to(from);
        let steps = (last + count - first) % count;
        for at in (0..=steps).map(|step| (first + step) % count) {
            if let Some(curve) = part(at) {
                path.line_to(curve.start());
                curve.append_to(&mut path);
            }
        }
        path.close_path();
        path
    };
    let whole = |at: usize| Some(old.edges[at].curve.clone());
    let upper = region(bust, (cuts.mouth + 1) % count, cuts.hinge.edge, &|at| {
        if at == cuts.hinge.edge { old.edges[at].curve.portion(0.0, cuts.hinge.along) } else { whole(at) }
    });
    let lower = region(bust, cuts.hem.edge, (cuts.mouth + count - 1) % count, &|at| {
        if at == cuts.hem.edge {
            old.edges[at].curve.portion(cuts.hem.along, f64::INFINITY)
        } else {
            whole(at)
        }
    });
    let up = old.grainline.direction();
    let move_of = |p: Point| {
        if upper.contains(p) {
            moves.upper
        } else if lower.contains(p) {
            moves.lower
        } else if (p - bust).dot(up) < 0.0 {
            moves.centre
        } else {
            Affine::IDENTITY
        }
    };
    for hole in &mut piece.drill_holes {
        hole.at = move_of(hole.at) * hole.at;
    }
    for text in &mut piece.texts {
        text.at = move_of(text.at) * text.at;
    }
    for line in &mut piece.inner_lines {
        let middle = line.curve.point_at(0.5 * line.curve.length());
        line.curve = line.curve.transformed(move_of(middle));
    }
    for dart in &mut piece.darts {
        dart.apex = move_of(dart.apex) * dart.apex;
    }
    let level = |p: Point| {
        if (p - bust).dot(up) < 0.0 { moves.centre * p } else { p }
    };
    for line in &mut piece.balance_lines {
        line.line = Line::new(level(line.line.p0), level(line.line.p1));
    }
    piece.grainline.from = level(piece.grainline.from);
    for trace in &mut piece.traces {
        trace.curve = trace.curve.transformed(moves.centre);
    }
}
