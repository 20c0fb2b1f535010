//! The copies that a cloth is to hold: how each may lie, and on which part of the cloth.
//!
//! On cloth that is folded in part, pieces with a fold lie on the fold and pairs on the double part, where one cut gives
//! both; what is cut once lies on the single part, and so does what the double part is too narrow for, opened out or one
//! after the other. If the double part would thereby become the longer one, pairs and fold pieces go over to the single
//! part, small ones first, while that evens the two out.

use super::LayProblemError;
use super::thinned::thinned;
use crate::cloth::{Cloth, Direction, Plies};
use crate::geometry::{Affine, Point, Vec2};
use crate::lay::search::{Item, Pinned, Pose, Repeat as Matched};
use crate::lay::{Grain, Laid, LayRules, Part, Parts, Place, Rule};
use crate::pattern::HowCut;
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};

/// A fold edge that leaves the grain by more than this does not lie on a fold of the cloth, in mm.
const FOLD_STRAIGHT_MM: f64 = 0.01;

/// A piece may be this much wider than the part of the cloth that it lies on, in mm: rounding.
const AS_WIDE_MM: f64 = 1e-6;

/// One place to be found: it gives one copy, or two where two plies are cut.
pub(super) struct Wanted<'a> {
    pub(super) part: &'a Part,
    /// The copy, or the first of two.
    pub(super) copy: u32,
    /// Whether two plies are cut, so that the next copy comes of it too (but for a piece with a fold).
    pub(super) is_double: bool,
    pub(super) poses: Vec<Pose>,
    /// Whether it is laid as the half that is drawn, on two plies.
    halved: bool,
    /// At what level of the turned outline it lies on the fold.
    pub(super) fold_level: Option<f64>,
    pub(super) kept: Option<Place>,
    pub(super) matched: Option<Matched>,
    /// The part of the cloth that it must lie on, where there are two.
    band: Option<[f64; 2]>,
    /// Whether it may lie on flaws.
    over_flaws: bool,
}

/// The parts of a cloth that is folded in part, as levels of the table.
#[derive(Clone, Copy)]
struct TwoParts {
    double: [f64; 2],
    single: [f64; 2],
}

/// Where all copies of a part are laid.
#[derive(Clone, Copy, PartialEq, Eq)]
enum On {
    Single,
    Double,
}

impl Wanted<'_> {
    pub(super) fn item(&self) -> Item {
        Item {
            name: format!("“{}”", self.part.piece.id),
            outline: outline_along_grain(self.part, self.halved),
            copies: 1,
            poses: self.poses.clone(),
            fold_level: self.fold_level,
            repeat: self.matched,
            pinned: self.kept.as_ref().map(|place| Pinned { pose: pose_of(place), at: place.at }),
            band: self.band,
            over_flaws: self.over_flaws,
        }
    }

    /// Its place with the origin at a point of the table, or where a part of the cloth or a fold wants it to be.
    pub(super) fn place(&self, at: Point) -> Place {
        if let Some(kept) = &self.kept {
            return kept.clone();
        }
        let pose = self.poses.first().copied().unwrap_or_default();
        let at = match self.band {
            None => at,
            Some(band) => {
                let outline = outline_along_grain(self.part, self.halved);
                let levels = outline.iter().map(|p| pose.apply(p.to_vec2()).y);
                let (low, high) = span(levels);
                Point::new(at.x, 0.5 * (band[0] + band[1] - low - high))
            }
        };
        let at = match self.fold_level {
            Some(level) => Point::new(at.x, -pose.apply(Vec2::new(0.0, level)).y),
            None => at,
        };
        Place {
            piece: self.part.piece.id.clone(),
            copy: self.copy,
            at,
            turn_degrees: pose.turn.to_degrees(),
            mirrored: pose.mirrored,
        }
    }
}

pub(super) fn pose_of(place: &Place) -> Pose {
    Pose { turn: place.turn_degrees.to_radians(), mirrored: place.mirrored }
}

/// From the piece to “grainline along x”.
fn along_grain(part: &Part) -> Affine {
    Affine::rotate(-part.piece.grainline.direction().atan2())
}

fn outline_along_grain(part: &Part, half: bool) -> Vec<Point> {
    let outline = if half { part.half() } else { part.whole() };
    let turned = outline.moved(along_grain(part));
    thinned(turned.points())
}

/// All that is to be laid on a cloth. What `keep` holds stays where it is.
pub(super) fn wanted<'a>(
    cloth: &Cloth,
    parts: &'a Parts,
    rules: &LayRules,
    keep: &[Place],
) -> Result<Vec<Wanted<'a>>, LayProblemError> {
    let Plies::PartFolded { .. } = cloth.plies else {
        let on = if cloth.fold().is_some() { On::Double } else { On::Single };
        let all = parts.all().iter();
        return Ok(all.flat_map(|part| copies_of(part, cloth, rules, keep, (on, None))).collect());
    };
    let over = cloth.double_area().map_or(0.0, |area| area.height());
    let two = TwoParts { double: [0.0, over], single: [over, cloth.extent().height()] };
    let on = sides(cloth, parts, rules, two)?;
    // A place that is kept gives the copies that it gives where it lies.
    let cut = Laid { cloth, parts, places: keep, rules }.copies_cut();
    let mut wanted = Vec::new();
    for (part, on) in parts.all().iter().zip(on) {
        let mut known = Vec::new();
        for (place, copies) in keep.iter().zip(&cut).filter(|(place, _)| place.piece == part.piece.id) {
            known.extend(copies.iter().copied());
            let lies_low =
                part.half().moved(place.cloth_from_piece(&part.piece)).bounds().y0 < over - FOLD_STRAIGHT_MM;
            let on = if lies_low { On::Double } else { On::Single };
            let kept = copies_of(part, cloth, rules, std::slice::from_ref(place), (on, Some(two)));
            wanted.extend(kept.into_iter().filter(|wanted| wanted.kept.is_some()));
        }
        let open = |wanted: &Wanted<'_>| {
            let second = wanted.copy + u32::from(wanted.is_double && part.fold().is_none());
            !known.contains(&wanted.copy) && !known.contains(&second)
        };
        wanted.extend(copies_of(part, cloth, rules, &[], (on, Some(two))).into_iter().filter(open));
        if on == On::Double && part.fold().is_none() {
            // The mate of a copy that lies alone already.
            let singles = copies_of(part, cloth, rules, &[], (On::Single, Some(two)));
            let mate = |copy: u32| if copy % 2 == 1 { copy + 1 } else { copy - 1 };
            wanted.extend(
                singles
                    .into_iter()
                    .filter(|wanted| !known.contains(&wanted.copy) && known.contains(&mate(wanted.copy))),
            );
        }
    }
    Ok(wanted)
}

/// On which part of a part-folded cloth each piece is laid.
fn sides(cloth: &Cloth, parts: &Parts, rules: &LayRules, two: TwoParts) -> Result<Vec<On>, LayProblemError> {
    let [double_mm, single_mm] = [two.double, two.single].map(|[low, high]| high - low);
    // Area on the double part, area on the single part, and which of them may be chosen.
    let mut choices = Vec::new();
    for part in parts.all() {
        let needs = |on: On| {
            let ways = copies_of(part, cloth, rules, &[], (on, Some(two)));
            let ways = ways.first().map(|wanted| (wanted.poses.clone(), wanted.fold_level, wanted.halved));
            let (poses, level, halved) = ways.unwrap_or_default();
            let outline = outline_along_grain(part, halved);
            let across = poses.iter().map(|pose| {
                let (low, high) = span(outline.iter().map(|p| pose.apply(p.to_vec2()).y));
                level.map_or(high - low, |level| high - pose.apply(Vec2::new(0.0, level)).y)
            });
            across.fold(f64::INFINITY, f64::min)
        };
        let may_be_double = fold_level(part).is_some() || part.how == HowCut::MirroredPair;
        let (on_double, on_single) =
            (if may_be_double { needs(On::Double) } else { f64::INFINITY }, needs(On::Single));
        let fits = (on_double <= double_mm + AS_WIDE_MM, on_single <= single_mm + AS_WIDE_MM);
        if fits == (false, false) {
            return Err(LayProblemError::NoPart {
                piece: part.piece.id.clone(),
                cloth: cloth.name.clone(),
                double_needs_mm: on_double,
                single_needs_mm: on_single,
                double_mm,
                single_mm,
            });
        }
        let half = part.half().area_mm2();
        let double = if part.fold().is_some() { half } else { 0.5 * f64::from(part.count) * half };
        choices.push((double, f64::from(part.count) * part.whole().area_mm2(), fits));
    }
    let mut on: Vec<On> =
        choices.iter().map(|(_, _, fits)| if fits.0 { On::Double } else { On::Single }).collect();
    let lengths = |on: &[On]| {
        let sum = |side: On| {
            let chosen = choices.iter().zip(on).filter(|(_, on)| **on == side);
            chosen
                .map(|((double, single, _), _)| if side == On::Double { double } else { single })
                .sum::<f64>()
        };
        (sum(On::Double) / double_mm.max(1.0)).max(sum(On::Single) / single_mm.max(1.0))
    };
    let mut order: Vec<usize> = (0..choices.len()).filter(|n| choices[*n].2 == (true, true)).collect();
    order.sort_by(|a, b| choices[*a].1.total_cmp(&choices[*b].1));
    for n in order {
        let before = lengths(&on);
        on[n] = On::Single;
        if lengths(&on) >= before {
            on[n] = On::Double;
        }
    }
    Ok(on)
}

fn span(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
}

/// The level of a fold edge that runs along the grain, in the outline turned along it.
fn fold_level(part: &Part) -> Option<f64> {
    let fold = part.fold()?;
    let [a, b] = [fold.p0, fold.p1].map(|p| along_grain(part) * p);
    ((a.y - b.y).abs() <= FOLD_STRAIGHT_MM).then_some((a.y + b.y) / 2.0)
}

fn copies_of<'a>(
    part: &'a Part,
    cloth: &Cloth,
    rules: &LayRules,
    keep: &[Place],
    (on, two): (On, Option<TwoParts>),
) -> Vec<Wanted<'a>> {
    let is_double = on == On::Double;
    let id = &part.piece.id;
    let level = fold_level(part).filter(|_| is_double);
    let halved = level.is_some();
    // Let pass, half of it lies anywhere on two plies, and is cut in two.
    let level = level.filter(|_| !rules.lets_pass_on(Rule::Fold, id));
    // Every place on double cloth gives two copies, but for a piece that opens at the fold.
    let step = if is_double && part.fold().is_none() { 2 } else { 1 };
    let turn = match rules.grain_of(id) {
        Grain::Warp => 0.0,
        Grain::Weft => FRAC_PI_2,
        Grain::Bias => FRAC_PI_4,
    };
    let any_way = cloth.direction() == Direction::Free || rules.lets_pass_on(Rule::Direction, id);
    let turns = if any_way { vec![turn, turn + PI] } else { vec![turn] };
    // On cloth with a direction a piece that lies sideways shows it.
    let any_grain = any_way && rules.lets_pass_on(Rule::Grain, id);
    let sideways: Vec<f64> = turns.iter().filter(|_| any_grain).map(|turn| turn + FRAC_PI_2).collect();
    let over_flaws = rules.lets_pass_on(Rule::Flaws, id);
    let numbers = (1..=part.count).step_by(step);
    let copies = numbers.map(|copy| {
        let kept = keep.iter().find(|place| place.piece == part.piece.id && place.copy == copy);
        let poses = match level {
            Some(level) => fold_poses(part, level, &turns),
            None => {
                let mirrored: &[bool] = match part.how {
                    _ if halved => &[false, true],
                    HowCut::MirroredPair if is_double => &[false, true],
                    HowCut::MirroredPair if copy % 2 == 0 => &[true],
                    _ => &[false],
                };
                let both =
                    turns.iter().chain(&sideways).flat_map(|turn| mirrored.iter().map(|m| (*turn, *m)));
                both.map(|(turn, mirrored)| Pose { turn, mirrored }).collect()
            }
        };
        let band = two.map(|two| if is_double { two.double } else { two.single });
        let kept = kept.cloned();
        Wanted {
            part,
            copy,
            is_double,
            poses,
            halved,
            fold_level: level,
            kept,
            matched: None,
            band,
            over_flaws,
        }
    });
    copies.collect()
}

/// The poses in which half a piece lies on the positive side of the fold.
fn fold_poses(part: &Part, level: f64, turns: &[f64]) -> Vec<Pose> {
    let points = outline_along_grain(part, true);
    let sum: f64 = points.iter().map(|p| p.y - level).sum();
    let below = sum < 0.0;
    let poses = turns.iter().enumerate().map(|(n, turn)| Pose {
        turn: *turn,
        // End for end it would lie on the other side, unless it is turned over too.
        mirrored: below != (n == 1),
    });
    poses.collect()
}

/// What a pose brings upon a vector.
pub(super) fn back(pose: Pose, v: Vec2) -> Vec2 {
    let turned = Pose::turned(-pose.turn).apply(v);
    if pose.mirrored { Vec2::new(turned.x, -turned.y) } else { turned }
}
