//! Which piece a line or a word belongs to.

use super::super::drawing::{Drawing, Part, Stroke};
use super::chain::LineId;
use super::kinds::GroupKinds;
use super::readings::View;
use super::{Candidate, middle};
use crate::finding::{Finding, Severity};
use crate::geometry::tolerance::FLATTEN_COARSE_MM;
use crate::geometry::{Curve, Line, Point, Rect, Segment};
use crate::pattern::signed_area;
use kurbo::ParamCurveNearest as _;
use std::collections::{BTreeMap, BTreeSet};

/// Furthest from its outline that a mark belongs to a piece, in mm.
const BESIDE_MM: f64 = 60.0;

/// A fold line lies this close to its edge, in mm.
const ALONG_MM: f64 = 1.0;

/// A line outside of every outline that is shorter than this may be a mark on the nearest, in mm.
const LONGEST_MARK_MM: f64 = 30.0;

/// Furthest that the middle of such a mark lies from an outline that is no seam line, in mm.
const OUTSIDE_MARK_MM: f64 = 8.0;

/// A loop as a polygon, to ask what lies inside.
pub(super) struct Polygon {
    points: Vec<Point>,
    area: f64,
    pub(super) bounds: Rect,
}

impl Polygon {
    pub(super) fn of(segments: &[Segment]) -> Self {
        let mut points: Vec<Point> = Vec::new();
        for segment in segments {
            let Ok(curve) = Curve::new(vec![*segment]) else {
                continue;
            };
            points.extend(curve.flatten(FLATTEN_COARSE_MM));
        }
        points.dedup();
        let bounds = points.iter().map(|point| Rect::from_points(*point, *point)).reduce(|a, b| a.union(b));
        Self { area: signed_area(&points).abs(), bounds: bounds.unwrap_or_default(), points }
    }

    pub(super) fn area(&self) -> f64 {
        self.area
    }

    /// Diagonal of the bounding box, in mm.
    pub(super) fn extent(&self) -> f64 {
        self.bounds.width().hypot(self.bounds.height())
    }

    /// Whether a point lies inside, by the parity of crossings to its left.
    pub(super) fn contains(&self, point: Point) -> bool {
        if !self.bounds.contains(point) {
            return false;
        }
        inside(&self.points, point)
    }

    /// Places along it at equal distances.
    pub(super) fn evenly(&self, count: usize) -> Vec<Point> {
        let sides: Vec<Line> = self.points.windows(2).map(|side| Line::new(side[0], side[1])).collect();
        let length: f64 = sides.iter().map(|side| (side.p1 - side.p0).hypot()).sum();
        #[expect(clippy::cast_precision_loss, reason = "some hundred places")]
        let step = length / count.max(1) as f64;
        let mut places = Vec::new();
        let mut next = 0.5 * step;
        let mut before = 0.0;
        for side in sides {
            let own = (side.p1 - side.p0).hypot();
            while next <= before + own && places.len() < count {
                places.push(side.p0.lerp(side.p1, (next - before) / own.max(f64::MIN_POSITIVE)));
                next += step;
            }
            before += own;
        }
        places
    }

    /// How far a point lies from the outline, in mm.
    pub(super) fn distance(&self, point: Point) -> f64 {
        if !self.bounds.inflate(BESIDE_MM, BESIDE_MM).contains(point) {
            return f64::INFINITY;
        }
        let sides = self.points.windows(2).map(|side| Line::new(side[0], side[1]));
        let squares = sides.map(|side| side.nearest(point, 0.0).distance_sq);
        squares.fold(f64::INFINITY, f64::min).sqrt()
    }

    /// Whether most of another polygon's points lie inside. (Outlines of neighbours may touch.)
    pub(super) fn holds(&self, other: &Self) -> bool {
        let (a, b) = (self.bounds.inflate(1.0, 1.0), other.bounds);
        if b.x0 < a.x0 || b.y0 < a.y0 || b.x1 > a.x1 || b.y1 > a.y1 {
            return false;
        }
        // Some twenty points tell; a loop of thousands need not be asked for each.
        let stride = (other.points.len() / 20).max(1);
        let asked = other.points.iter().step_by(stride);
        let most = asked.len() / 2;
        // No more are asked than it takes.
        asked.filter(|point| self.contains(**point)).nth(most).is_some()
    }
}

/// Whether a point lies inside a polygon, by the parity of crossings to its left.
pub(super) fn inside(polygon: &[Point], point: Point) -> bool {
    let mut inside = false;
    let mut before = polygon.last().copied().unwrap_or_default();
    for &after in polygon {
        if (before.y > point.y) != (after.y > point.y) {
            let x = before.x + (point.y - before.y) / (after.y - before.y) * (after.x - before.x);
            if x < point.x {
                inside = !inside;
            }
        }
        before = after;
    }
    inside
}

/// How many outlines each group holds, the groups inside it counted, and which when it is only one.
pub(super) struct Census {
    pub(super) count: Vec<usize>,
    /// The outline to which everything of a group belongs: the only one in it, else that of the group around it.
    home: Vec<Option<usize>>,
}

impl Census {
    pub(super) fn of(drawing: &Drawing, sheets: &[usize], outlines: &[Candidate]) -> Self {
        let mut only = vec![None; drawing.groups.len()];
        let mut count = vec![0_usize; drawing.groups.len()];
        for (index, outline) in outlines.iter().enumerate() {
            let mut group = Some(outline.group);
            while let Some(at) = group {
                count[at] += 1;
                only[at] = Some(index);
                group = drawing.groups[at].parent;
            }
        }
        let mut home: Vec<Option<usize>> = Vec::new();
        for (at, group) in drawing.groups.iter().enumerate() {
            // Parents stand before their children. The drawing itself is nobody's group.
            let around = group.parent.and_then(|parent| home[parent]);
            // Nor is a layer that shows a part of a sheet.
            home.push(match count[at] {
                _ if at == 0 => None,
                _ if sheets[at] != at => around,
                0 => around,
                1 => only[at],
                _ => None,
            });
        }
        Self { count, home }
    }
}

/// For each outline the strokes, the spots and the words (group, index) that belong to it.
#[derive(Default)]
pub(super) struct Owned {
    pub(super) strokes: Vec<(usize, usize)>,
    pub(super) spots: Vec<(usize, usize)>,
    pub(super) words: Vec<(usize, usize)>,
}

/// A line outside of every piece, and its middle.
pub(super) type Outside = (LineId, Point);

/// Gives every stroke and word that is no outline to a piece, and answers what lies outside of all.
pub(super) fn owner_of(
    drawing: &Drawing,
    kinds: &GroupKinds,
    outlines: &[Candidate],
    census: &Census,
    used: &BTreeSet<(usize, usize)>,
) -> (Vec<Owned>, Vec<Outside>) {
    let mut owned: Vec<Owned> = outlines.iter().map(|_| Owned::default()).collect();
    let mut outside: Vec<Outside> = Vec::new();
    let by_place = |point: Point| {
        let around = outlines.iter().enumerate().filter(|(_, outline)| outline.polygon.contains(point));
        around.min_by(|a, b| a.1.polygon.area().total_cmp(&b.1.polygon.area())).map(|(index, _)| index)
    };
    // A notch stands on the cutting line, outside of the sew line.
    let beside = |point: Point| {
        let near =
            outlines.iter().enumerate().map(|(index, outline)| (outline.polygon.distance(point), index));
        let near = near.filter(|(away, _)| *away <= BESIDE_MM);
        near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, index)| index)
    };
    // A fold line lies on the outline: whether its middle is inside is chance.
    let along = |stroke: &Stroke| {
        let ends = [stroke.curve.start(), middle(stroke), stroke.curve.end()];
        outlines.iter().position(|outline| ends.iter().all(|at| outline.polygon.distance(*at) <= ALONG_MM))
    };
    for (group, content) in drawing.groups.iter().enumerate() {
        let home = census.home[group];
        for (index, stroke) in content.strokes.iter().enumerate() {
            if used.contains(&(group, index)) {
                continue;
            }
            let at = middle(stroke);
            let is_fold = || kinds.of_stroke(group, stroke) == Some(Part::Fold);
            match home.or_else(|| by_place(at)).or_else(|| is_fold().then(|| along(stroke)).flatten()) {
                Some(owner) => owned[owner].strokes.push((group, index)),
                // A notch stands on the cutting line and may reach out of it.
                None => match beside(at).filter(|owner| {
                    let reach = if outlines[*owner].cutting.is_some() { BESIDE_MM } else { OUTSIDE_MARK_MM };
                    let short = stroke.curve.length() <= LONGEST_MARK_MM;
                    short && outlines[*owner].polygon.distance(at) <= reach
                }) {
                    Some(owner) => owned[owner].strokes.push((group, index)),
                    None => outside.push(((group, index), at)),
                },
            }
        }
        for (index, spot) in content.spots.iter().enumerate() {
            if let Some(owner) = home.or_else(|| by_place(spot.at)).or_else(|| beside(spot.at)) {
                owned[owner].spots.push((group, index));
            }
        }
        for (index, words) in content.words.iter().enumerate() {
            if let Some(owner) = home.or_else(|| by_place(words.at)) {
                owned[owner].words.push((group, index));
            }
        }
    }
    (owned, outside)
}

/// Tells of the lines that lie outside of every piece in each size that shows them: a notch that reaches out of the
/// outermost size lies far outside of the others.
pub(super) fn tell_outside(views: &[View<'_>], outside: &[Vec<Outside>]) -> Option<Finding> {
    let mut count: BTreeMap<LineId, (usize, Point)> = BTreeMap::new();
    for (view, outside) in views.iter().zip(outside) {
        for (line, at) in outside {
            count.entry(view.in_drawing(*line)).or_insert((0, *at)).0 += 1;
        }
    }
    count.retain(|line, (times, _)| *times == views.iter().filter(|view| view.shows(*line)).count());
    let (_, first) = *count.values().next()?;
    let what = format!("{} line(s) lie outside every piece and were left out", count.len());
    let remedy = "Look at the drawing there: if it is an outline, its ends do not meet";
    Some(Finding::new(Severity::Warning, what, remedy).at(first))
}
