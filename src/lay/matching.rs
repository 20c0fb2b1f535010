//! Whether the print agrees where pieces are sewn together.
//!
//! The print is compared **on the seam line**, at the place where a seam is levelled (see [`super::run`]), never at
//! the cutting line; along and across the cloth apart. Three things decide about a seam:
//!
//! - *Level* (along): the same bar across, or the same sprig, at the same height all round the body. Both pieces are
//!   compared on their centre lines at the level of the match point, where the print was centred; a half-drop asks
//!   for half a drop more where an odd number of columns lies between (phase: mod(p − q, repeat) = 0).
//! - *Order* (across): where both seam lines lean the same way, or lie along the grain, the order of bars goes on
//!   over the seam and the phases must be the same. Where they lean apart, as side seams do, bars meet in a chevron,
//!   and that needs a print that is its own mirror image midway between the two places. An uneven order can't; it
//!   then breaks, and is reported, not mended.
//! - *How long it holds*: beyond a closed dart, and where seam lines run at different angles, the print drifts apart;
//!   at a shoulder the tops of both pieces meet. These are computed from the seam lines and said.
//!
//! Order in which seams are looked at: centre front, centre back, side, pocket, sleeve, the rest.

use super::check::{Breach, Only};
use super::join::Join;
use super::laid::{OnSheet, Spot, Table, name};
use super::{CentreOn, Grain, Laid, Rule};
use crate::cloth::{Bars, FoldWay, Lattice, MirrorLines, Motif, MotifWay, Print, Repeat, Unlike};
use crate::finding::{Finding, Severity};
use crate::geometry::{Affine, Point, Vec2};
use crate::pattern::{HowCut, PieceId, SeamId};
use std::collections::BTreeSet;
use std::fmt;

/// The print agrees within this, in mm: about a pixel of light on the cloth, and less than seams are sewn to.
pub const PRINT_TOLERANCE_MM: f64 = 1.0;

/// A seam along which the print drifts by less is matched throughout, in mm.
const DRIFT_MM: f64 = 3.0;

/// Cosine of the turn between two copies up to which they lie the same way up: 45°.
const SAME_WAY_UP: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// Cosine of the turn over a seam beyond which the print of both pieces has nothing in common: 60°.
const TOPS_MEET: f64 = 0.5;

/// Two places that are brought together when sewn, and how the print agrees there.
#[derive(Debug, Clone, PartialEq)]
pub struct Match {
    /// Where.
    pub at: MatchedAt,
    /// On one copy.
    pub first: MatchEnd,
    /// On the other.
    pub second: MatchEnd,
    /// What the second lacks along the cloth to agree, in mm: moved by so much, it would. `None` where nothing
    /// repeats along the cloth, or nothing could agree.
    pub along_mm: Option<f64>,
    /// The same across the cloth.
    pub across_mm: Option<f64>,
    /// How bars go on over the seam.
    pub order: BarOrder,
    /// Where the print must fail to agree, whatever is done.
    pub failing: Vec<Failing>,
}

/// Where two places are brought together.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum MatchedAt {
    /// The centre of a piece that meets its pair there, buttoned or zipped.
    Centre(PieceId),
    /// A seam.
    Seam(SeamId),
}

/// One of two places that are brought together.
#[derive(Debug, Clone, PartialEq)]
pub struct MatchEnd {
    /// On which piece.
    pub piece: PieceId,
    /// On which copy.
    pub copy: u32,
    /// Where on the seam line, on the table, in mm.
    pub on_table: Point,
}

/// How bars along the cloth go on over a seam.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BarOrder {
    /// In the same order, as on the cloth.
    Continues,
    /// In reverse: bars meet in a chevron.
    Mirrors,
    /// Neither: the seam lines lean apart and the print has no mirror image.
    Breaks(Unlike),
}

/// Where the print must fail to agree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Failing {
    /// The tops of both pieces meet, as at a shoulder.
    TopsMeet {
        /// How far the print drifts apart along the seam, in mm.
        drift_mm: f64,
    },
    /// Both seam lines run at different angles.
    EdgesDiffer {
        /// How far the print drifts apart along the seam, in mm.
        drift_mm: f64,
    },
    /// Beyond a closed dart.
    BeyondDart {
        /// How far the print is apart there, in mm.
        drift_mm: f64,
    },
}

impl fmt::Display for MatchedAt {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Centre(piece) => write!(formatter, "the centre of “{piece}”"),
            Self::Seam(seam) => write!(formatter, "the seam “{seam}”"),
        }
    }
}

impl Match {
    /// Whether the print agrees, in all that can.
    #[must_use]
    pub fn agrees(&self) -> bool {
        let fine = |error: Option<f64>| error.is_none_or(|mm| mm.abs() <= PRINT_TOLERANCE_MM);
        fine(self.along_mm) && (matches!(self.order, BarOrder::Breaks(_)) || fine(self.across_mm))
    }

    fn tops_meet(&self) -> bool {
        self.failing
            .iter()
            .any(|failing| matches!(failing, Failing::TopsMeet { .. }))
    }
}

/// All places that are brought together when sewn, those to be matched first in front; none on cloth without a
/// print.
#[must_use]
pub fn matches(laid: &Laid<'_>) -> Vec<Match> {
    let table = laid.table();
    links(&table).into_iter().map(|link| link.matched).collect()
}

/// A match and what it was made from.
pub(super) struct Link {
    pub(super) matched: Match,
    /// Numbers of the two places.
    pub(super) places: [usize; 2],
    /// From the second to the first on the unturned print: where levels and columns are compared.
    pub(super) apart: Vec2,
    /// Whether the second stands on its head against the first, on cloth that has no direction; it was then looked
    /// at as if the cloth were turned under it.
    pub(super) turned: bool,
}

/// One side of a seam on one copy.
#[derive(Clone, Copy)]
struct Side<'a> {
    spot: &'a Spot<'a>,
    number: u32,
    half: OnSheet,
}

/// The print as seams see it.
pub(super) struct Phases {
    pub(super) print_from_sheet: Affine,
    /// What repeats across: a period in mm, and the print that is mirrored.
    across: Option<(f64, Print)>,
    along: Along,
    /// The whole repeat, before the print was turned.
    pub(super) repeat: Repeat,
    /// The half turn that brings the unturned print upon itself.
    half_turn: Option<Affine>,
}

enum Along {
    Nothing,
    Period(f64),
    Lattice(Lattice),
}

impl Phases {
    pub(super) fn of(print: &Print) -> Self {
        let sound = |bars: &Option<Bars>| bars.clone().filter(Bars::is_sound);
        let (lengthwise, crosswise) = (sound(&print.lengthwise), sound(&print.crosswise));
        let motif = print.motif.filter(|motif| motif.lattice().is_sound());
        let unturned = Print {
            lengthwise: lengthwise.clone(),
            crosswise: crosswise.clone(),
            motif,
            angle_degrees: 0.0,
        };
        let repeat = unturned.repeat();
        let along = match (&crosswise, motif, repeat) {
            (Some(_), Some(_), Repeat::Lattice(both)) => Along::Lattice(both),
            (Some(bars), ..) => Along::Period(bars.period_mm()),
            (None, Some(motif), _) => Along::Lattice(motif.lattice()),
            (None, None, _) => Along::Nothing,
        };
        // Over a seam the order of bars counts; a motif alone is matched by its places.
        let across = match (lengthwise, motif) {
            (Some(bars), _) => Some((
                bars.period_mm(),
                Print {
                    lengthwise: Some(bars),
                    ..Print::default()
                },
            )),
            (None, Some(motif)) => motif.lattice().column_pitch_mm().map(|pitch| {
                let places = Motif {
                    way: MotifWay::NoWay,
                    mirrors: true,
                    ..motif
                };
                let motif = Some(places);
                (
                    pitch,
                    Print {
                        motif,
                        ..Print::default()
                    },
                )
            }),
            (None, None) => None,
        };
        let centre = unturned.half_turn_centre().ok();
        Self {
            print_from_sheet: print.print_from_sheet(),
            across,
            along,
            repeat,
            half_turn: centre.map(|centre| Affine::rotate_about(std::f64::consts::PI, centre)),
        }
    }

    /// From each of two copies to the unturned print, both the same way up, and whether the second was turned for
    /// that; `None` where they can't be compared.
    fn print_from_piece(&self, sides: [Side<'_>; 2]) -> Option<([Affine; 2], bool)> {
        let maps = sides.map(|side| self.print_from_sheet * side.half.sheet_from_piece);
        let ups = sides.map(|side| side.half.direction(side.spot.part.piece.grainline.direction()));
        let alike = ups[0].dot(ups[1]);
        if alike > SAME_WAY_UP {
            Some((maps, false))
        } else if alike < -SAME_WAY_UP {
            let half_turn = self.half_turn?;
            Some(([maps[0], half_turn * maps[1]], true))
        } else {
            None
        }
    }

    fn along_error(&self, way: Vec2) -> Option<f64> {
        match &self.along {
            Along::Nothing => None,
            Along::Period(period) => Some(way.x - (way.x / period).round() * period),
            Along::Lattice(lattice) => lattice.level_error_mm(way),
        }
    }

    /// What two places across lack to have the same phase.
    fn across_error(&self, way: f64) -> Option<f64> {
        let (period, _) = self.across.as_ref()?;
        Some(way - (way / period).round() * period)
    }

    /// Where between the mirror lines around a place it lies, as twice the way to the nearest.
    fn mirror_error(&self, middle: f64) -> Result<Option<f64>, Unlike> {
        let Some((period, print)) = &self.across else {
            return Ok(None);
        };
        let lines = print.mirror_lines(FoldWay::Lengthwise, middle - period, middle + period);
        match lines {
            MirrorLines::Nowhere(unlike) => Err(unlike),
            lines => Ok(lines.phase_error(middle)),
        }
    }
}

/// Every link of the lay, in the order in which seams are matched.
pub(super) fn links(table: &Table<'_>) -> Vec<Link> {
    let Some(print) = &table.laid.cloth.print else {
        return Vec::new();
    };
    let phases = Phases::of(print);
    if matches!(phases.repeat, Repeat::Plain) {
        return Vec::new();
    }
    let mut links: Vec<Link> = centre_links(table, &phases);
    for join in table.laid.parts.joins() {
        for (first, second) in sewn_pairs(table, join) {
            links.extend(seam_link(&phases, join, first, second));
        }
    }
    links
}

fn sides<'a>(table: &'a Table<'a>, part: usize) -> impl Iterator<Item = Side<'a>> {
    let spots = table.spots.iter().filter(move |spot| spot.part_index == part);
    let on_grain = spots.filter(|spot| table.laid.rules.grain_of(spot.id()) == Grain::Warp);
    on_grain.flat_map(|spot| {
        spot.copies.iter().flat_map(move |copy| {
            copy.halves.iter().map(move |&half| Side {
                spot,
                number: copy.number,
                half,
            })
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
        let mut firsts: Vec<_> = sides(table, join.parts[0])
            .filter(|side| lies_left(side, 0) == left)
            .collect();
        let mut seconds: Vec<_> = sides(table, join.parts[1])
            .filter(|side| lies_left(side, 1) != left)
            .collect();
        firsts.sort_by_key(|side| side.number);
        seconds.sort_by_key(|side| side.number);
        pairs.extend(firsts.into_iter().zip(seconds));
    }
    pairs
}

fn end(side: Side<'_>, at: Point) -> MatchEnd {
    MatchEnd {
        piece: side.spot.id().clone(),
        copy: side.number,
        on_table: side.half.table_from_piece * at,
    }
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
            let Some((maps, turned)) = phases.print_from_piece([*first, *second]) else {
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
            });
        }
    }
    links
}

fn seam_link(phases: &Phases, join: &Join, first: Side<'_>, second: Side<'_>) -> Option<Link> {
    let (maps, turned) = phases.print_from_piece([first, second])?;
    let on_print = |end: usize, at: Point| maps[end] * at;
    let at = [0, 1].map(|end| on_print(end, join.at[end]));
    // On the way along the seam, how far both places have moved along and across the print.
    let drift = |pairs: &[[Point; 2]], sign: f64| {
        pairs.iter().fold((0.0_f64, 0.0_f64), |(along, across), pair| {
            let moved = [0, 1].map(|end| on_print(end, pair[end]) - at[end]);
            (
                along.max((moved[0].x - moved[1].x).abs()),
                across.max((moved[0].y + sign * moved[1].y).abs()),
            )
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
    let level = match (join.level[0], join.level[1]) {
        (Some(p), Some(q)) => on_print(0, p) - on_print(1, q),
        _ => at[0] - at[1],
    };

    let mut failing = Vec::new();
    let across_drift = if leans_apart { apart_lean } else { same_lean };
    let drift_mm = if phases.across.is_some() {
        along_drift.max(across_drift)
    } else {
        along_drift
    };
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

pub(super) fn check(table: &Table<'_>, only: Only, found: &mut Vec<Breach>) {
    let mut said = BTreeSet::new();
    for link in links(table) {
        if only.is_some_and(|only| !link.places.contains(&only)) {
            continue;
        }
        let matched = &link.matched;
        let breach = |finding: Finding| {
            let breach = Breach::new(Rule::Match, finding)
                .of(&matched.first.piece, matched.first.copy)
                .of(&matched.second.piece, matched.second.copy);
            match &matched.at {
                MatchedAt::Seam(seam) => breach.at_seam(seam),
                MatchedAt::Centre(_) => breach,
            }
        };
        let spot = table.spots.iter().find(|spot| spot.index == link.places[0]);
        let place = |finding: Finding| match spot {
            Some(spot) => finding.at(spot.on_piece(matched.first.on_table)),
            None => finding,
        };
        let second = name(&matched.second.piece, matched.second.copy);
        let first = format!("“{}”, copy {}", matched.first.piece, matched.first.copy);
        let across = matched
            .across_mm
            .filter(|_| !matches!(matched.order, BarOrder::Breaks(_)));
        for (error, way) in [(matched.along_mm, "along"), (across, "across")] {
            let Some(error) = error.filter(|mm| mm.abs() > PRINT_TOLERANCE_MM) else {
                continue;
            };
            let what = format!(
                "at {} {second} does not match {first}: its print lies {:.1} mm off {way} the cloth",
                matched.at,
                error.abs()
            );
            let halves = if matched.order == BarOrder::Mirrors && way == "across" {
                ", or both by half of it, until a bar or gap lies midway"
            } else {
                ""
            };
            let remedy = format!(
                "move “{}” by {:.1} mm {way} the cloth{halves}",
                matched.second.piece,
                error.abs()
            );
            let finding = Finding::new(Severity::Warning, what, remedy).by_mm(error.abs());
            found.push(breach(place(finding)));
        }
        // What can't be mended is said once a seam, not once a side of the body.
        if only.is_none() && said.insert(matched.at.clone()) {
            for (what, amount) in cannot(matched) {
                let remedy = "nothing to do; it is so for every lay";
                let finding = Finding::new(Severity::Note, what, remedy).by_mm(amount);
                found.push(breach(place(finding)));
            }
        }
    }
}

/// Where the print must fail to agree, in words, with the amount.
fn cannot(matched: &Match) -> Vec<(String, f64)> {
    let at = &matched.at;
    let mut all = Vec::new();
    if let BarOrder::Breaks(unlike) = matched.order
        && !matched.tops_meet()
    {
        let apart = matched.across_mm.unwrap_or_default().abs();
        let level = match matched.along_mm {
            Some(mm) if mm.abs() <= PRINT_TOLERANCE_MM => "the level agrees, but ",
            _ => "",
        };
        all.push((
            format!(
                "at {at} {level}the order of the bars breaks: {unlike}, and the seam lines lean apart. At the match \
                 point the bars are {apart:.1} mm apart"
            ),
            apart,
        ));
    }
    for failing in &matched.failing {
        all.push(match *failing {
            Failing::TopsMeet { drift_mm } => (
                format!(
                    "at {at} the print can't match: the tops of both pieces meet there, and along it the print drifts \
                     by {drift_mm:.1} mm"
                ),
                drift_mm,
            ),
            Failing::EdgesDiffer { drift_mm } => (
                format!(
                    "at {at} the print can match at one point only: both seam lines run at different angles, and it \
                     drifts by {drift_mm:.1} mm"
                ),
                drift_mm,
            ),
            Failing::BeyondDart { drift_mm } => (
                format!("at {at} the print can't match beyond the dart: it is up to {drift_mm:.1} mm apart there"),
                drift_mm,
            ),
        });
    }
    all
}

/// Bands of which one lies on every centre.
pub(super) struct CentreBands {
    middle: f64,
    period: f64,
}

impl CentreBands {
    /// How far a point of the unturned print lies off the middle of the nearest band, across the cloth, in mm.
    pub(super) fn error(&self, on_print: Point) -> f64 {
        let off = on_print.y - self.middle;
        off - (off / self.period).round() * self.period
    }
}

/// The bands that a choice means; the columns of a motif, or the ground between them, where there are no bars along
/// the cloth.
///
/// # Errors
/// The number chosen, where there are not so many bars.
pub(super) fn centre_bands(print: &Print, choice: CentreOn) -> Result<Option<CentreBands>, u32> {
    if choice == CentreOn::Anything {
        return Ok(None);
    }
    if let Some(bars) = print.lengthwise.as_ref().filter(|bars| bars.is_sound()) {
        let band = match choice {
            CentreOn::WidestBar => bars.widest_bar().and_then(|number| bars.bar(number)),
            CentreOn::WidestGap => bars.widest_gap().and_then(|number| bars.gap(number)),
            CentreOn::Bar(number) => Some(bars.bar(number).ok_or(number)?),
            CentreOn::Gap(number) => Some(bars.gap(number).ok_or(number)?),
            CentreOn::Anything => None,
        };
        return Ok(band.map(|band| CentreBands {
            middle: band.middle_mm,
            period: bars.period_mm(),
        }));
    }
    let motif = print.motif.as_ref();
    let columns = motif.and_then(|motif| Some((motif.origin.y, motif.lattice().column_pitch_mm()?)));
    Ok(columns.map(|(origin, pitch)| {
        let between = matches!(choice, CentreOn::WidestGap | CentreOn::Gap(_));
        CentreBands {
            middle: if between { origin + 0.5 * pitch } else { origin },
            period: pitch,
        }
    }))
}
