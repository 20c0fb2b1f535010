//! Which copies are sewn together, and how their print agrees there.

use super::phases::{Phases, centre_bands};
use super::{BarOrder, Failing, Match, MatchEnd, MatchedAt, PRINT_TOLERANCE_MM};
use crate::cloth::Repeat;
use crate::geometry::{Affine, Point, Vec2};
use crate::lay::join::Join;
use crate::lay::laid::{OnSheet, Spot, Table};
use crate::lay::{Grain, Rule};
use crate::pattern::HowCut;

/// A seam along which the print drifts by less is matched throughout, in mm.
const DRIFT_MM: f64 = 3.0;

/// Cosine of the turn between two copies up to which they lie the same way up: 45°.
const SAME_WAY_UP: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// Cosine of the turn over a seam beyond which the print of both pieces has nothing in common: 60°.
const TOPS_MEET: f64 = 0.5;

/// A match and what it was made from.
pub(in crate::lay) struct Link {
    pub(in crate::lay) matched: Match,
    /// Numbers of the two places.
    pub(in crate::lay) places: [usize; 2],
    /// From the second to the first on the unturned print: where levels and columns are compared.
    pub(in crate::lay) apart: Vec2,
    /// Whether the second stands on its head against the first, on cloth that has no direction; it was then looked
    /// at as if the cloth were turned under it.
    pub(in crate::lay) turned: bool,
    /// What both together lack across where they mirror each other, and no bar on their centres says more; either moved by as much
    /// the other way, they agree.
    pub(in crate::lay) mirrors_mm: Option<f64>,
    /// From the table to the sheet, for the ply that each end is cut from.
    pub(in crate::lay) sheet_from_table: [Affine; 2],
    /// From a way on the unturned print to one on the table, for the second piece.
    table_from_print: Affine,
}

impl Link {
    /// By how much the second is to be moved on the table, where a way on the print is missing.
    pub(super) fn move_of_second(&self, missing: Vec2) -> Vec2 {
        let sign = if self.turned { -1.0 } else { 1.0 };
        (self.table_from_print * (sign * missing).to_point()).to_vec2()
    }
}

/// One side of a seam on one copy.
#[derive(Clone, Copy)]
struct Side<'a> {
    spot: &'a Spot<'a>,
    number: u32,
    half: OnSheet,
}

/// Every link of the lay, in the order in which seams are matched.
pub(in crate::lay) fn links(table: &Table<'_>) -> Vec<Link> {
    let Some(print) = table.laid.cloth.sound_print() else {
        return Vec::new();
    };
    let phases = Phases::of(print);
    if matches!(phases.repeat, Repeat::Plain) {
        return Vec::new();
    }
    let mut links: Vec<Link> = centre_links(table, &phases);
    let rules = table.laid.rules;
    let bands = matches!(centre_bands(print, rules.centre), Ok(Some(_)));
    let is_centred = |side: &Side<'_>| bands && !rules.lets_pass_on(Rule::Centre, side.spot.id());
    for join in table.laid.parts.joins() {
        for (first, second) in sewn_pairs(table, join) {
            let centred = is_centred(&first) && is_centred(&second);
            links.extend(seam_link(&phases, join, (first, second), centred));
        }
    }
    links
}

fn sides<'a>(table: &'a Table<'a>, part: usize) -> impl Iterator<Item = Side<'a>> {
    let spots = table.spots.iter().filter(move |spot| spot.part_index == part);
    let on_grain = spots.filter(|spot| table.laid.rules.grain_of(spot.id()) == Grain::Warp);
    on_grain.flat_map(|spot| {
        spot.copies.iter().flat_map(move |copy| {
            copy.halves.iter().map(move |&half| Side { spot, number: copy.number, half })
        })
    })
}

/// Which copies are sewn together at a seam: of two pieces right side up, one lies to the left of the seam and one to
/// the right; copies of a kind in their order.
fn sewn_pairs<'a>(table: &'a Table<'a>, join: &Join) -> Vec<(Side<'a>, Side<'a>)> {
    let lies_left = |side: &Side<'_>, end: usize| join.inside_left[end] != side.half.is_mirrored();
    let mut pairs = Vec::new();
    for left in [true, false] {
        if join.own && !left {
            break;
        }
        let mut firsts: Vec<_> =
            sides(table, join.parts[0]).filter(|side| lies_left(side, 0) == left).collect();
        let mut seconds: Vec<_> =
            sides(table, join.parts[1]).filter(|side| lies_left(side, 1) != left).collect();
        firsts.sort_by_key(|side| side.number);
        seconds.sort_by_key(|side| side.number);
        let in_order = |(first, second): (Side<'a>, Side<'a>)| {
            // Two copies of one piece are alike at their seam; the one with the lower number is named first.
            if join.own && second.number < first.number { (second, first) } else { (first, second) }
        };
        pairs.extend(firsts.into_iter().zip(seconds).map(in_order));
    }
    pairs
}

fn end(side: Side<'_>, at: Point) -> MatchEnd {
    MatchEnd { piece: side.spot.id().clone(), copy: side.number, on_table: side.half.table_from_piece * at }
}

/// Pieces of a pair meet at their centre: the order of bars goes on from one to the other.
fn centre_links(table: &Table<'_>, phases: &Phases) -> Vec<Link> {
    let mut links = Vec::new();
    for (index, part) in table.laid.parts.all().iter().enumerate() {
        let Some(centre) = part.centre().filter(|_| part.how == HowCut::MirroredPair) else {
            continue;
        };
        if part.is_facing() {
            continue;
        }
        let at = centre.p0.midpoint(centre.p1);
        let all: Vec<_> = sides(table, index).collect();
        for first in all.iter().filter(|side| side.number % 2 == 1) {
            let Some(second) = all.iter().find(|side| side.number == first.number + 1) else {
                continue;
            };
            let Some((maps, turned)) = print_from_piece(phases, [*first, *second]) else {
                continue;
            };
            let apart = maps[0] * at - maps[1] * at;
            links.push(Link {
                matched: Match {
                    at: MatchedAt::Centre(part.piece.id.clone()),
                    first: end(*first, at),
                    second: end(*second, at),
                    along_mm: phases.along_error(apart),
                    across_mm: phases.across_error(apart.y),
                    order: BarOrder::Continues,
                    failing: Vec::new(),
                },
                places: [first.spot.index, second.spot.index],
                apart,
                turned,
                mirrors_mm: None,
                sheet_from_table: [first.half, second.half].map(OnSheet::sheet_from_table),
                table_from_print: phases.print_from_sheet.inverse(),
            });
        }
    }
    links
}

/// The link of two copies at a seam. Only where both are `centred`, with a bar on their centres, do these tell the level.
fn seam_link(
    phases: &Phases,
    join: &Join,
    (first, second): (Side<'_>, Side<'_>),
    centred: bool,
) -> Option<Link> {
    let (maps, turned) = print_from_piece(phases, [first, second])?;
    let on_print = |end: usize, at: Point| maps[end] * at;
    let at = [0, 1].map(|end| on_print(end, join.at[end]));
    // On the way along the seam, how far both places have moved along and across the print.
    let drift = |pairs: &[[Point; 2]], sign: f64| {
        pairs.iter().fold((0.0_f64, 0.0_f64), |(along, across), pair| {
            let moved = [0, 1].map(|end| on_print(end, pair[end]) - at[end]);
            (along.max((moved[0].x - moved[1].x).abs()), across.max((moved[0].y + sign * moved[1].y).abs()))
        })
    };
    let (along_drift, same_lean) = drift(&join.stretch, -1.0);
    let (_, apart_lean) = drift(&join.stretch, 1.0);
    let leans_apart = apart_lean + PRINT_TOLERANCE_MM < same_lean;
    let sign = if leans_apart { 1.0 } else { -1.0 };

    let (order, across_mm) = if leans_apart {
        match phases.mirror_error(0.5 * (at[0].y + at[1].y)) {
            Ok(error) => (BarOrder::Mirrors, error),
            Err(unlike) => (BarOrder::Breaks(unlike), phases.across_error(at[0].y - at[1].y)),
        }
    } else {
        (BarOrder::Continues, phases.across_error(at[0].y - at[1].y))
    };
    let (level, mirrors_mm) = match (join.level[0], join.level[1]) {
        (Some(p), Some(q)) if centred => (on_print(0, p) - on_print(1, q), None),
        _ if order == BarOrder::Mirrors => (phases.mirrored_level(at), across_mm),
        _ => (at[0] - at[1], None),
    };

    let mut failing = Vec::new();
    let across_drift = if leans_apart { apart_lean } else { same_lean };
    let drift_mm = if phases.across.is_some() { along_drift.max(across_drift) } else { along_drift };
    let tops_meet = tops_meet(join, [first, second]);
    if tops_meet {
        failing.push(Failing::TopsMeet { drift_mm });
    } else {
        if drift_mm > DRIFT_MM {
            failing.push(Failing::EdgesDiffer { drift_mm });
        }
        let (along, across) = drift(&join.beyond_darts, sign);
        let drift_mm = along.max(across);
        if drift_mm > DRIFT_MM {
            failing.push(Failing::BeyondDart { drift_mm });
        }
    }
    Some(Link {
        matched: Match {
            at: MatchedAt::Seam(join.seam.clone()),
            first: end(first, join.at[0]),
            second: end(second, join.at[1]),
            along_mm: phases.along_error(level).filter(|_| !tops_meet),
            across_mm: across_mm.filter(|_| !tops_meet),
            order,
            failing,
        },
        places: [first.spot.index, second.spot.index],
        apart: level,
        turned,
        mirrors_mm,
        sheet_from_table: [first.half, second.half].map(OnSheet::sheet_from_table),
        table_from_print: phases.print_from_sheet.inverse(),
    })
}

/// Whether the tops of both pieces point away from each other's once they are sewn and opened flat.
fn tops_meet(join: &Join, sides: [Side<'_>; 2]) -> bool {
    let of = |end: usize| {
        let up = sides[end].spot.part.piece.grainline.direction();
        let half = sides[end].half;
        (half.direction(up), half.direction(join.way[end]))
    };
    let ((up_first, way_first), (up_second, way_second)) = (of(0), of(1));
    let turn = way_first.atan2() - way_second.atan2();
    let turned = Vec2::from_angle(turn).rotate_scale(up_second);
    turned.dot(up_first) < TOPS_MEET
}

/// From each of two copies to the unturned print, both the same way up, and whether the second was turned for
/// that; `None` where they can't be compared.
fn print_from_piece(phases: &Phases, sides: [Side<'_>; 2]) -> Option<([Affine; 2], bool)> {
    let maps = sides.map(|side| phases.print_from_sheet * side.half.sheet_from_piece);
    let ups = sides.map(|side| side.half.direction(side.spot.part.piece.grainline.direction()));
    let alike = ups[0].dot(ups[1]);
    if alike > SAME_WAY_UP {
        Some((maps, false))
    } else if alike < -SAME_WAY_UP {
        let half_turn = phases.half_turn?;
        Some(([maps[0], half_turn * maps[1]], true))
    } else {
        None
    }
}
