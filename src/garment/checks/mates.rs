//! Seams walked: which mates do not meet, and whether an alteration of only one of them is why.

use super::{Looked, is_facing};
use crate::alter::{AlterationId, Lengthen, LengthenAt, Outcome, Pieces, Record, Shoulder, ShoulderPart};
use crate::garment::{Command, Mend};
use crate::geometry::{Point, Vec2};
use crate::pattern::{EdgeRole, NotchId, Piece, PieceId, Run, Seam, SeamSide, Walk};

/// Difference between mates that nobody sews apart, in mm: 1/16 inch, common practice.
const SEAM_TOLERANCE_MM: f64 = 1.5;

/// Largest difference between a facing's outer edge and the edge that it finishes, in mm: it must lie flat on it.
const FACING_TOLERANCE_MM: f64 = 0.5;

/// A seam that does not meet.
pub(super) struct Trouble<'a> {
    pub seam: &'a Seam,
    /// What does not agree.
    pub off: Off,
    /// The piece to look at.
    pub on: &'a PieceId,
    /// Where on it.
    pub at: Option<Point>,
    /// Why.
    pub why: Why<'a>,
}

/// What does not agree between two mates.
pub(super) enum Off {
    /// The whole lengths, with the stretch that brings in most of it.
    Length { lengths_mm: [f64; 2], stretch: [Option<NotchId>; 2], stretch_mm: f64 },
    /// A notch, while the whole lengths agree.
    Notch { notch: NotchId, drift_mm: f64 },
    /// The shape of an outer edge, while its length agrees.
    Shape { off_mm: f64 },
}

/// Why two mates do not agree.
pub(super) enum Why<'a> {
    /// They never did, or both were altered.
    Unexplained,
    /// A step changed one and not the other.
    Stale { step: AlterationId, changed: &'a Run, stale: &'a Run },
    /// One is the other's facing, which is never altered by itself but redrafted.
    Facing { facing: &'a Run, edge: &'a Run },
}

impl Trouble<'_> {
    /// The piece that its mate has left behind.
    pub(super) fn stale_piece(&self) -> Option<&PieceId> {
        match &self.why {
            Why::Stale { stale, .. } => Some(&stale.piece),
            Why::Facing { facing, .. } => Some(&facing.piece),
            Why::Unexplained => None,
        }
    }
}

impl Off {
    /// How much, in mm; for lengths and notches, how much longer the second side is.
    pub(super) const fn amount_mm(&self) -> f64 {
        match self {
            Self::Length { lengths_mm: [first, second], .. } => *second - *first,
            Self::Notch { drift_mm, .. } => *drift_mm,
            Self::Shape { off_mm } => *off_mm,
        }
    }
}

/// All seams that do not meet.
pub(super) fn troubles<'a>(looked: &Looked<'a>) -> Vec<Trouble<'a>> {
    // A dart turned into another edge cuts that edge in two: the replay knows the seams as they are now.
    let replay: &'a crate::alter::Replay = looked.replay;
    replay.seams.iter().filter_map(|seam| trouble(looked, seam)).collect()
}

fn trouble<'a>(looked: &Looked<'a>, seam: &'a Seam) -> Option<Trouble<'a>> {
    let sides = looked.sides(seam)?;
    let facing = facing_side(&sides);
    let walk = Walk::of(&sides[0], &sides[1]);
    let (off, distance) =
        if facing.is_some() { facing_off(looked, seam, &sides, &walk)? } else { length_off(seam, &walk)? };
    let why = match facing {
        Some(side) => Why::Facing { facing: &seam.sides[side], edge: &seam.sides[1 - side] },
        None => altered_differently(looked, seam),
    };
    let shown = match &why {
        Why::Unexplained => 0,
        Why::Stale { stale: run, .. } | Why::Facing { facing: run, .. } => {
            usize::from(std::ptr::eq(*run, &seam.sides[1]))
        }
    };
    let share = distance / sides[0].length().max(f64::MIN_POSITIVE);
    Some(Trouble {
        seam,
        off,
        on: &seam.sides[shown].piece,
        at: sides[shown].point_at(share * sides[shown].length()),
        why,
    })
}

/// Which side is a facing of the other, if one is.
fn facing_side(sides: &[SeamSide<'_>; 2]) -> Option<usize> {
    match sides.each_ref().map(|side| is_facing(side.piece())) {
        [true, false] => Some(0),
        [false, true] => Some(1),
        _ => None,
    }
}

/// Whole lengths, then each notch, against what may be eased in.
fn length_off(seam: &Seam, walk: &Walk) -> Option<(Off, f64)> {
    let allowed = |least: f64, most: f64, drift: f64| {
        (least - SEAM_TOLERANCE_MM..=most + SEAM_TOLERANCE_MM).contains(&drift)
    };
    let ease = &seam.ease;
    let [first, second] = walk.lengths_mm();
    if !allowed(ease.least_mm, ease.most_mm, second - first) {
        return Some(whole_length(walk, 0.5 * (ease.least_mm + ease.most_mm)));
    }
    // On the way ease may be in already, or not yet.
    let (least, most) = (ease.least_mm.min(0.0), ease.most_mm.max(0.0));
    drifting(walk, |drift| allowed(least, most, drift))
}

/// The notch that lies furthest off where it may.
fn drifting(walk: &Walk, allowed: impl Fn(f64) -> bool) -> Option<(Off, f64)> {
    let notches = walk.marks.iter().filter(|mark| mark.notch.is_some());
    let off = notches.filter(|mark| !allowed(mark.drift_mm()));
    let worst = off.max_by(|a, b| a.drift_mm().abs().total_cmp(&b.drift_mm().abs()))?;
    let off = Off::Notch { notch: worst.notch.clone()?, drift_mm: worst.drift_mm() };
    Some((off, worst.on_sides_mm[0]))
}

/// Unequal lengths, with the stretch between marks that is furthest from its share of the `wanted` difference.
fn whole_length(walk: &Walk, wanted_mm: f64) -> (Off, f64) {
    let lengths_mm = walk.lengths_mm();
    let apart = |from: &crate::pattern::WalkMark, to: &crate::pattern::WalkMark| {
        let [first, second] = [0, 1].map(|side| to.on_sides_mm[side] - from.on_sides_mm[side]);
        (second - first) - wanted_mm * first / lengths_mm[0].max(f64::MIN_POSITIVE)
    };
    let worst = walk.stretches().max_by(|a, b| apart(a.0, a.1).abs().total_cmp(&apart(b.0, b.1).abs()));
    let (stretch, stretch_mm, distance) = worst.map_or(([None, None], 0.0, 0.0), |(from, to)| {
        let drift = to.drift_mm() - from.drift_mm();
        ([from.notch.clone(), to.notch.clone()], drift, to.on_sides_mm[0])
    });
    let off = Off::Length { lengths_mm, stretch, stretch_mm };
    (off, distance)
}

/// A facing's outer edge: as long, as notched and as shaped as when it was printed, beside the edge it finishes.
fn facing_off(
    looked: &Looked<'_>,
    seam: &Seam,
    sides: &[SeamSide<'_>; 2],
    walk: &Walk,
) -> Option<(Off, f64)> {
    let printed = looked.printed_sides(seam)?;
    // A facing may be drafted a little smaller, for the turn of cloth; what the pattern gives is taken as meant.
    let meant = Walk::of(&printed[0], &printed[1]);
    let longer = |walk: &Walk| walk.lengths_mm()[1] - walk.lengths_mm()[0];
    let trimmed = facing_side(sides).and_then(|side| trimmed_off(looked, &seam.sides[side]));
    let Trimmed { shorter_mm, off_mm: trim_mm } = trimmed.unwrap_or_default();
    if (longer(walk) - longer(&meant)).abs() > FACING_TOLERANCE_MM + shorter_mm {
        return Some(whole_length(walk, longer(&meant)));
    }
    let (low, high) = meant
        .marks
        .iter()
        .fold((0.0_f64, 0.0_f64), |(low, high), mark| (low.min(mark.drift_mm()), high.max(mark.drift_mm())));
    let notch_mm = SEAM_TOLERANCE_MM + shorter_mm;
    let allowed = |drift: f64| (low - notch_mm..=high + notch_mm).contains(&drift);
    drifting(walk, allowed).or_else(|| {
        let (off_mm, distance) = shape_apart(&sides[0], &sides[1])?;
        // What lies so near needs no look at how near it was meant to lie.
        if off_mm <= FACING_TOLERANCE_MM {
            return None;
        }
        let (meant_mm, _) = shape_apart(&printed[0], &printed[1])?;
        let off = Off::Shape { off_mm };
        (off_mm > meant_mm + FACING_TOLERANCE_MM + trim_mm).then_some((off, distance))
    })
}

/// What the trim for the turn of cloth may account for on the outer edge of a facing that was drawn again with one.
#[derive(Default)]
struct Trimmed {
    /// How much shorter the edge may have become.
    shorter_mm: f64,
    /// How far a place of it may lie off.
    off_mm: f64,
}

/// A parallel t inside a line that turns by Δθ is t·Δθ shorter, and at a corner of φ, where it is cut at the crossing,
/// 2t·tan(φ/2); the ends, cut by the edges beside them, take at most t each for edges up to 45° off square.
fn trimmed_off(looked: &Looked<'_>, facing: &Run) -> Option<Trimmed> {
    let steps = looked.garment.plan.alterations.iter().rev();
    let mut redrawn = steps.filter(|step| looked.replay.report(step.id).is_some());
    let trim = redrawn.find_map(|step| match &step.record {
        Record::Facing(record) if record.piece == facing.piece => Some(record.trim.as_ref()?.mm().abs()),
        _ => None,
    })?;
    let piece = &looked.piece(&facing.piece)?.altered;
    let turns = facing.edges.iter().filter_map(|edge| Some(piece.edge(edge)?.curve.turn().abs()));
    let corners = facing.edges.windows(2).filter_map(|pair| {
        let [first, second] = [piece.edge(&pair[0])?, piece.edge(&pair[1])?];
        let corner = if first.to == second.from { &first.to } else { &first.from };
        let turn = std::f64::consts::PI - super::corner_angle(piece, corner)?;
        Some(2.0 * (0.5 * turn.abs()).min(1.0).tan())
    });
    let shorter_mm = trim * (turns.sum::<f64>() + corners.sum::<f64>() + 2.0);
    // A corner moves by t/cos(φ/2), at most twice the trim at the sharpest that is sewn.
    Some(Trimmed { shorter_mm, off_mm: 2.0 * trim })
}

/// Furthest that two sides lie apart when one is laid on the other as well as can be, darts closed, turned over
/// where that fits better; and how far along.
fn shape_apart(first: &SeamSide<'_>, second: &SeamSide<'_>) -> Option<(f64, f64)> {
    const SAMPLES: u32 = 40;
    let share = |k: u32| f64::from(k) / f64::from(SAMPLES);
    let points = |side: &SeamSide<'_>| -> Option<Vec<Point>> {
        (0..=SAMPLES).map(|k| side.closed_point_at(share(k) * side.length())).collect()
    };
    let (first_points, second_points) = (points(first)?, points(second)?);
    let turned_over: Vec<_> = second_points.iter().map(|p| Point::new(-p.x, p.y)).collect();
    let apart = [&second_points, &turned_over].map(|second| laid_on(&first_points, second));
    let closest = apart.iter().min_by(|a, b| largest(a).1.total_cmp(&largest(b).1))?;
    let (at, off_mm) = largest(closest);
    let steps = u32::try_from(at).unwrap_or(0);
    Some((off_mm, share(steps) * first.length()))
}

fn largest(distances: &[f64]) -> (usize, f64) {
    let all = distances.iter().copied().enumerate();
    all.fold((0, 0.0), |best, next| if next.1 > best.1 { next } else { best })
}

/// Distances between corresponding points after the rigid motion of the second that brings them closest in the sense
/// of least squares (in the plane: centroids together, turned by the angle of the summed products).
fn laid_on(first: &[Point], second: &[Point]) -> Vec<f64> {
    let count = f64::from(u32::try_from(first.len()).unwrap_or(u32::MAX)).max(1.0);
    let middle = |points: &[Point]| points.iter().fold(Vec2::ZERO, |sum, p| sum + p.to_vec2()) / count;
    let (a, b) = (middle(first), middle(second));
    let (dot, cross) = first.iter().zip(second).fold((0.0, 0.0), |(dot, cross), (p, q)| {
        let (p, q) = (p.to_vec2() - a, q.to_vec2() - b);
        (dot + q.dot(p), cross + q.cross(p))
    });
    let turn = Vec2::from_angle(f64::atan2(cross, dot));
    let pairs = first.iter().zip(second);
    pairs.map(|(p, q)| (p.to_vec2() - a - turn.rotate_scale(q.to_vec2() - b)).hypot()).collect()
}

/// The last step that changed the length of one side and not of the other.
fn altered_differently<'a>(looked: &Looked<'_>, seam: &'a Seam) -> Why<'a> {
    let changed = |run: &Run, step: AlterationId| {
        let report = looked.replay.report(step);
        report.is_some_and(|report| run.edges.iter().any(|edge| report.edge(&run.piece, edge).is_some()))
    };
    let [first, second] = &seam.sides;
    for step in looked.replay.steps.iter().rev() {
        if !matches!(step.outcome, Outcome::Applied(_)) {
            continue;
        }
        let (changed, stale) = match (changed(first, step.id), changed(second, step.id)) {
            (true, false) => (first, second),
            (false, true) => (second, first),
            _ => continue,
        };
        return Why::Stale { step: step.id, changed, stale };
    }
    Why::Unexplained
}

/// The step with one more piece, where its record names pieces and that one has what the step changes.
pub(super) fn with_mate(looked: &Looked<'_>, step: AlterationId, mate: &PieceId) -> Option<Mend> {
    let known = &looked.garment.plan.alterations;
    let record = &known.iter().find(|known| known.id == step)?.record;
    let has_hem = looked.piece(mate)?.altered.edges.iter().any(|edge| edge.role == EdgeRole::Hem);
    let added = |pieces: &Pieces| match pieces {
        Pieces::Only(named) if has_hem && !named.contains(mate) => {
            let mut named = named.clone();
            named.push(mate.clone());
            Some(Pieces::Only(named))
        }
        _ => None,
    };
    let mended = match record {
        Record::Hem(hem) => {
            let mut hem = hem.clone();
            hem.pieces = added(&hem.pieces)?;
            Record::Hem(hem)
        }
        Record::Lengthen(Lengthen { at: LengthenAt::LowerEdge { pieces }, longer_by }) => {
            Record::Lengthen(Lengthen {
                at: LengthenAt::LowerEdge { pieces: added(pieces)? },
                longer_by: longer_by.clone(),
            })
        }
        Record::Shoulder(shoulder) => {
            let pieces: Vec<&Piece> = looked.pieces.iter().map(|piece| piece.altered.as_ref()).collect();
            let alone = |known: &ShoulderPart| known.piece == *mate;
            let (by, part) = shoulder.parts.iter().find_map(|known| {
                let piece = &looked.piece(&known.piece)?.altered;
                let both =
                    Shoulder::at_seam(&looked.replay.seams, &pieces, piece, piece.edge(&known.shoulder)?)?;
                Some((known.lower_by.clone(), both.parts.into_iter().find(alone)?))
            })?;
            let mut shoulder = shoulder.clone();
            if shoulder.parts.iter().any(alone) {
                return None;
            }
            shoulder.parts.push(ShoulderPart { lower_by: by, ..part });
            Record::Shoulder(shoulder)
        }
        _ => return None,
    };
    Some(Mend { words: mended.words(), command: Command::ChangeAlteration(step, mended) })
}

#[cfg(test)]
mod tests {
    use super::super::fixture::rectangle;
    use super::*;
    use crate::geometry::{Affine, Curve};
    use crate::pattern::Piece;

    fn with_side(curve: Curve) -> Piece {
        let mut piece = rectangle("skirt", 200.0, 300.0);
        let side = piece.edges.iter_mut().find(|edge| edge.id.as_str() == "side");
        side.unwrap().curve = curve;
        piece
    }

    fn apart(first: &Curve, second: &Curve) -> f64 {
        let run = Run { piece: "skirt".into(), from: "hem side".into(), edges: vec!["side".into()] };
        let pieces = [first, second].map(|curve| with_side(curve.clone()));
        let [first, second] = pieces.each_ref().map(|piece| SeamSide::new(piece, &run).unwrap());
        shape_apart(&first, &second).unwrap().0
    }

    #[test]
    fn a_copy_that_is_turned_moved_or_turned_over_has_the_same_shape() {
        let curve = Curve::cubic(
            Point::new(200.0, 0.0),
            Point::new(210.0, 90.0),
            Point::new(160.0, 180.0),
            Point::new(200.0, 300.0),
        );
        let turned = Affine::translate((40.0, -7.0)) * Affine::rotate(0.7);
        let over = Affine::reflect(Point::new(5.0, 9.0), Vec2::new(0.4, 1.0));
        assert!(apart(&curve, &curve.transformed(turned)) < 1e-6);
        assert!(apart(&curve, &curve.transformed(over)) < 1e-6);
    }

    #[test]
    fn an_arc_and_a_line_of_its_length_part_by_the_arcs_depth() {
        // A shallow arc of depth s lies on its best line with s/3 above and 2s/3 below, the mean of a parabola.
        let (radius, angle) = (1000.0_f64, 0.3_f64);
        let arc = Curve::arc(Point::ORIGIN, Point::new(radius, 0.0), angle);
        let line = Curve::line(Point::ORIGIN, Point::new(0.0, radius * angle));
        let depth = radius * (1.0 - (0.5 * angle).cos());
        assert!((apart(&arc, &line) - 2.0 / 3.0 * depth).abs() < 0.05 * depth);
    }
}
