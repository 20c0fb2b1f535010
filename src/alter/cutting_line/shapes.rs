//! Corners that are not mitred, and margin zones.

use super::round_a_corner;
use crate::alter::CornerShape;
use crate::geometry::{Affine, Curve, Line, Point, Vec2, crossings};
use crate::pattern::{EdgeId, Piece};

/// What is known at a corner: the edges before and after with their widths and cutting lines.
pub(super) struct Meeting<'a> {
    pub piece: &'a Piece,
    /// Places of the two edges.
    pub edges: [usize; 2],
    /// Their cutting lines.
    pub sides: [&'a Curve; 2],
    pub widths: [f64; 2],
}

/// How far out of the corner of the seam line a notched corner is cut, in mm: the seam's last stitch must hold.
const NOTCH_CLEAR_MM: f64 = 3.0;

/// Both cutting lines, trimmed, and what goes round the corner.
type Rounded = (Curve, Curve, Option<Curve>);

/// A shape from the seam lines, the cutting lines and the widths of the two edges.
type Solve = fn([&Curve; 2], [&Curve; 2], [f64; 2]) -> Option<Rounded>;

impl Meeting<'_> {
    fn corner(&self) -> Point {
        self.piece.edges[self.edges[0]].curve.end()
    }

    /// The corner in its shape; `None` where the shape makes no sense (a corner that points inwards, an edge of
    /// no width), which leaves it mitred.
    pub(super) fn shaped(&self, shape: &CornerShape) -> Option<Rounded> {
        let [before, after] = self.edges.map(|at| &self.piece.edges[at].curve);
        let points_out = before.end_tangent().cross(after.start_tangent()) > 1e-6;
        if !points_out {
            return None;
        }
        match shape {
            CornerShape::Mitred => None,
            CornerShape::Notched => self.notched(),
            CornerShape::Squared { first } => self.seen_from(first, Self::squared),
            CornerShape::Mirrored { turned } => self.seen_from(turned, Self::mirrored),
        }
    }

    /// Solves with the named edge as the one before the corner, turned round where it is the one after.
    fn seen_from(&self, named: &EdgeId, solve: Solve) -> Option<Rounded> {
        let seams = self.edges.map(|at| &self.piece.edges[at].curve);
        if &self.piece.edges[self.edges[0]].id == named {
            return solve(seams, self.sides, self.widths);
        }
        let [b, a] = seams.map(Curve::reversed);
        let [d, c] = self.sides.map(Curve::reversed);
        let widths = [self.widths[1], self.widths[0]];
        let (after, before, around) = solve([&a, &b], [&c, &d], widths)?;
        Some((before.reversed(), after.reversed(), around.map(|curve| curve.reversed())))
    }

    fn notched(&self) -> Option<Rounded> {
        let corner = self.corner();
        let (before, after, around) = self.mitred();
        let tip = around.as_ref()?.segments().first()?.end();
        let out = tip - corner;
        let deep = corner + NOTCH_CLEAR_MM * out.normalize();
        let around = Curve::polyline(&[before.end(), deep, after.start()])?;
        Some((before, after, Some(around)))
    }

    fn mitred(&self) -> Rounded {
        let widest = self.widths[0].max(self.widths[1]);
        let [before, after] = self.sides;
        round_a_corner(before, before.end_tangent(), after, self.corner(), widest)
    }

    /// The allowance of the first edge ends square to it, where the second cutting line crosses the first seam line.
    fn squared(seams: [&Curve; 2], sides: [&Curve; 2], widths: [f64; 2]) -> Option<Rounded> {
        let corner = seams[0].end();
        let along = seams[0].end_tangent();
        let second = sides[1];
        let (q, onward) = (second.start(), second.start_tangent());
        let on_seam = Line::new(corner, corner + along).crossing_point(Line::new(q, q + onward))?;

        let beside = sides[0].end() - corner;
        let out = Vec2::new(along.y, -along.x) * Vec2::new(along.y, -along.x).dot(beside).signum();
        let outer = on_seam + widths[0] * out;
        // The first cutting line is carried on, or cut, to end square below that place.
        let reach = 4.0 * (widths[0] + widths[1]);
        let first = sides[0].extended(0.0, reach);
        let square = Curve::line(on_seam - 0.5 * widths[0] * out, outer + widths[0] * out);
        let meeting = crossings(&first, &square).into_iter().next_back()?;
        let kept = first.portion(0.0, meeting.on_first)?;
        // The second cutting line is carried on to that place, or cut there.
        let (rest, way) = if (on_seam - q).dot(onward) > 1e-6 {
            let (along, _) = second.nearest(on_seam);
            (second.portion(along, f64::INFINITY)?, vec![kept.end(), on_seam])
        } else {
            (second.clone(), vec![kept.end(), on_seam, q])
        };
        let around = Curve::polyline(&way)?;
        Some((kept, rest, Some(around)))
    }

    /// The allowance of the turned edge ends as the mirror image of what it will lie on.
    fn mirrored(seams: [&Curve; 2], sides: [&Curve; 2], widths: [f64; 2]) -> Option<Rounded> {
        let corner = seams[0].end();
        let along = seams[0].end_tangent();
        let reach = 6.0 * (widths[0] + widths[1]);
        // The neighbour's cutting line, from the fold line inwards.
        let neighbour = sides[1].extended(reach, 0.0);
        let fold = Curve::line(corner - 2.0 * reach * along, corner + 2.0 * reach * along);
        let start = crossings(&neighbour, &fold).into_iter().next()?;
        let inside = neighbour.portion(start.on_first, f64::INFINITY)?;
        let image = inside.transformed(Affine::reflect(corner, along));
        let first = sides[0].extended(0.0, reach);
        let meeting = crossings(&first, &image).into_iter().next_back()?;
        let kept = first.portion(0.0, meeting.on_first)?;
        let around = image.portion(0.0, meeting.on_second)?.reversed();
        Some((kept, inside, Some(around)))
    }
}

/// The dashed line of a margin zone over the stretch from `ends[0]` to `ends[1]` of a cutting line: a box that
/// reaches `width` further out than anything of the line between its flanks, joined square to it.
pub(super) fn margin_line(ends: [Point; 2], outwards: Vec2, width: f64, outline: &[Curve]) -> Option<Curve> {
    let across = Vec2::new(-outwards.y, outwards.x);
    let across = if (ends[1] - ends[0]).dot(across) < 0.0 { -across } else { across };
    let flanks = [ends[0] - 2.0 * width * across, ends[1] + 2.0 * width * across];
    // Where each flank's square meets the cutting line.
    let feet = flanks.map(|flank| {
        let square = Curve::line(flank - 6.0 * width * outwards, flank + 20.0 * width * outwards);
        let meetings = outline.iter().flat_map(|curve| crossings(&square, curve));
        let closest = meetings.min_by(|a, b| a.at.distance(flank).total_cmp(&b.at.distance(flank)));
        closest.map_or(flank, |meeting| meeting.at)
    });
    let height = |p: Point| (p - ends[0]).dot(outwards);
    let between = |p: &Point| {
        let along = (*p - flanks[0]).dot(across);
        along >= -width - 1e-6
            && along <= (flanks[1] - flanks[0]).dot(across) + width + 1e-6
            && height(*p).abs() < 8.0 * width
    };
    // Between its corners a flattened line is highest at an end: those of the window included.
    let sides = [flanks[0] - width * across, flanks[1] + width * across];
    let at_sides = sides.iter().flat_map(|&side| {
        let square = Curve::line(side - 8.0 * width * outwards, side + 8.0 * width * outwards);
        outline.iter().flat_map(move |curve| crossings(&square, curve)).map(|meeting| meeting.at)
    });
    let points = outline.iter().flat_map(|curve| curve.flatten(0.5)).chain(at_sides);
    let highest = points.filter(between).map(height).fold(0.0, f64::max) + width;
    let top = |flank: Point| flank + (highest - height(flank)) * outwards;
    Curve::polyline(&[feet[0], top(flanks[0]), top(flanks[1]), feet[1]])
}
