//! A cloth and what is cut from it, as a problem for the search.
//!
//! Outlines are laid with their grain along x and thinned to what a blade can follow; the gap makes up for what
//! thinning may cut off, so that a lay found is also a lay of the true outlines. The print's rules become phases: one
//! arrangement in which all seams agree is built first, piece by piece with [`lay::snapped`], and every piece may then
//! move by whole repeats from its place in it. Which pieces belong together follows from the seams.
//!
//! Limits: cloth that is folded in part is refused; on a print pieces all lie the same way up, as handbooks advise
//! even for an even plaid; a print that runs aslant in stripes is not kept in phase, and the findings then say so.

use super::thinned::{THINNED_MM, thinned};
use crate::cloth::{Cloth, Direction, FoldWay, Plies, Repeat, Unlike};
use crate::geometry::{Affine, Length, Point, Vec2};
use crate::lay::search::{Group, Item, Outcome, Pinned, Pose, Problem, Repeat as Matched, Steps};
use crate::lay::{self, Grain, Laid, LayRules, Part, Parts, Place, Rule};
use crate::pattern::{HowCut, PieceId};
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};

/// A fold edge that leaves the grain by more than this does not lie on a fold of the cloth, in mm.
const FOLD_STRAIGHT_MM: f64 = 0.01;

/// A trial shift, in mm: what a snap undoes of it, the cloth dictates. No repeat is a divisor of both.
const TRIAL: Vec2 = Vec2::new(3.7, 7.3);

/// A problem with the way back from its places to those of the garment.
#[derive(Debug, Clone)]
pub struct LayProblem {
    /// What the search is given.
    pub problem: Problem,
    /// The piece and the copies of each item.
    copies: Vec<(PieceId, Vec<u32>)>,
}

/// Why a garment's cloth can't be searched.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LayProblemError {
    /// Part double, part single.
    #[error(
        "“{0}” is folded in part; the search lays flat cloth or cloth folded in the middle. Choose one of these"
    )]
    PartFolded(String),
    /// A print that may not be cut folded.
    #[error("“{cloth}” can't be cut folded: {unlike}. Lay it flat, in a single ply")]
    Uneven {
        /// The cloth.
        cloth: String,
        /// Why the plies can't agree.
        unlike: Unlike,
    },
    /// Fold pieces on a crosswise fold.
    #[error("“{piece}” lies on a fold, and “{cloth}” is folded across; fold it along, or lay it flat")]
    CrosswiseFold {
        /// The piece.
        piece: PieceId,
        /// The cloth.
        cloth: String,
    },
    /// Nothing is cut from it.
    #[error("nothing is cut from “{0}”")]
    Nothing(String),
}

/// One copy to be laid.
struct Wanted<'a> {
    part: &'a Part,
    copy: u32,
    poses: Vec<Pose>,
    /// Whether half of it lies on the fold, and at what level of the turned outline.
    fold_level: Option<f64>,
    kept: Option<Place>,
    matched: Option<Matched>,
}

impl LayProblem {
    /// The problem of laying parts on a cloth. Copies that `keep` holds stay where they are.
    ///
    /// # Errors
    /// [`LayProblemError`] when the cloth is folded in a way that the search does not know, or nothing is cut.
    pub fn of(
        cloth: &Cloth,
        parts: &Parts,
        rules: &LayRules,
        keep: &[Place],
    ) -> Result<Self, LayProblemError> {
        if matches!(cloth.plies, Plies::PartFolded { .. }) {
            return Err(LayProblemError::PartFolded(cloth.name.clone()));
        }
        if let Some(unlike) = cloth.why_not_folded().filter(|_| !rules.lets_pass(Rule::Plies)) {
            return Err(LayProblemError::Uneven { cloth: cloth.name.clone(), unlike });
        }
        let fold = cloth.fold().map(|fold| fold.way);
        let mut wanted = Vec::new();
        for part in parts.all() {
            if fold == Some(FoldWay::Crosswise) && part.fold().is_some() {
                return Err(LayProblemError::CrosswiseFold {
                    piece: part.piece.id.clone(),
                    cloth: cloth.name.clone(),
                });
            }
            wanted.extend(copies_of(part, cloth, rules, keep));
        }
        if wanted.is_empty() {
            return Err(LayProblemError::Nothing(cloth.name.clone()));
        }
        let groups = match_print(&mut wanted, cloth, parts, rules);
        let extent = cloth.extent();
        let mut problem = Problem {
            width: extent.height(),
            length: Some(extent.width()),
            min_x: 0.0,
            items: Vec::new(),
            groups,
            gap: rules.gap.mm().max(0.0) + 2.0 * THINNED_MM,
            flaws: if rules.lets_pass(Rule::Flaws) { Vec::new() } else { flaws_on_table(cloth) },
        };
        let mut copies: Vec<(PieceId, Vec<u32>)> = Vec::new();
        for wanted in &wanted {
            let item = wanted.item();
            // Copies that are alike in all are one item.
            let known = problem
                .items
                .iter()
                .position(|known| known.pinned.is_none() && Item { copies: 1, ..known.clone() } == item);
            match known {
                Some(index) => {
                    problem.items[index].copies += 1;
                    copies[index].1.push(wanted.copy);
                }
                None => {
                    problem.items.push(item);
                    copies.push((wanted.part.piece.id.clone(), vec![wanted.copy]));
                }
            }
        }
        Ok(Self { problem, copies })
    }

    /// The places of a lay that was found.
    #[must_use]
    pub fn places(&self, outcome: &Outcome) -> Vec<Place> {
        let places = outcome.places.iter().filter_map(|placed| {
            let (piece, copies) = self.copies.get(placed.item)?;
            Some(Place {
                piece: piece.clone(),
                copy: *copies.get(placed.copy)?,
                at: placed.at,
                turn_degrees: placed.pose.turn.to_degrees(),
                mirrored: placed.pose.mirrored,
            })
        });
        places.collect()
    }
}

impl Wanted<'_> {
    fn item(&self) -> Item {
        let outline = outline_along_grain(self.part, self.fold_level.is_some());
        Item {
            name: format!("“{}”", self.part.piece.id),
            outline,
            copies: 1,
            poses: self.poses.clone(),
            fold_level: self.fold_level,
            repeat: self.matched,
            pinned: self.kept.as_ref().map(|place| Pinned { pose: pose_of(place), at: place.at }),
        }
    }

    fn place(&self, at: Point) -> Place {
        if let Some(kept) = &self.kept {
            return kept.clone();
        }
        let pose = self.poses.first().copied().unwrap_or_default();
        Place {
            piece: self.part.piece.id.clone(),
            copy: self.copy,
            at,
            turn_degrees: pose.turn.to_degrees(),
            mirrored: pose.mirrored,
        }
    }
}

fn pose_of(place: &Place) -> Pose {
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

fn copies_of<'a>(part: &'a Part, cloth: &Cloth, rules: &LayRules, keep: &[Place]) -> Vec<Wanted<'a>> {
    let double = cloth.fold().is_some();
    let level = part.fold().filter(|_| double).and_then(|fold| {
        let [a, b] = [fold.p0, fold.p1].map(|p| along_grain(part) * p);
        ((a.y - b.y).abs() <= FOLD_STRAIGHT_MM).then_some((a.y + b.y) / 2.0)
    });
    // Every place on double cloth gives two copies, but for a piece that opens at the fold.
    let step = if double && part.fold().is_none() { 2 } else { 1 };
    let turn = match rules.grain_of(&part.piece.id) {
        Grain::Warp => 0.0,
        Grain::Weft => FRAC_PI_2,
        Grain::Bias => FRAC_PI_4,
    };
    let any_way = cloth.direction() == Direction::Free || rules.lets_pass(Rule::Direction);
    let turns = if any_way { vec![turn, turn + PI] } else { vec![turn] };
    let numbers = (1..=part.count).step_by(step);
    let copies = numbers.map(|copy| {
        let kept = keep.iter().find(|place| place.piece == part.piece.id && place.copy == copy);
        let poses = match level {
            Some(level) => fold_poses(part, level, &turns),
            None => {
                let mirrored: &[bool] = match part.how {
                    HowCut::MirroredPair if double => &[false, true],
                    HowCut::MirroredPair if copy % 2 == 0 => &[true],
                    _ => &[false],
                };
                let both = turns.iter().flat_map(|turn| mirrored.iter().map(|m| (*turn, *m)));
                both.map(|(turn, mirrored)| Pose { turn, mirrored }).collect()
            }
        };
        Wanted { part, copy, poses, fold_level: level, kept: kept.cloned(), matched: None }
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

/// The flaws of every ply where they lie on the table; beyond a fold they are on the other ply.
fn flaws_on_table(cloth: &Cloth) -> Vec<Vec<Point>> {
    let mut flaws = Vec::new();
    for ply in cloth.plies() {
        let table_from_sheet = ply.sheet_from_table.inverse();
        for flaw in cloth.flaws.iter().filter(|flaw| flaw.outline.len() >= 3) {
            let on_table: Vec<Point> = flaw.outline.iter().map(|p| table_from_sheet * *p).collect();
            let seen = on_table.iter().any(|p| ply.area.contains(*p));
            if seen {
                flaws.push(on_table);
            }
        }
    }
    flaws
}

/// Puts the wanted copies into matching groups, by the seams that they share.
fn match_print(wanted: &mut [Wanted<'_>], cloth: &Cloth, parts: &Parts, rules: &LayRules) -> Vec<Group> {
    let Some(steps) = steps_of(cloth.repeat()) else {
        return Vec::new();
    };
    let on_grain = |wanted: &Wanted<'_>| rules.grain_of(&wanted.part.piece.id) == Grain::Warp;
    for wanted in wanted.iter_mut().filter(|wanted| on_grain(wanted)) {
        wanted.poses.truncate(1);
    }
    let middle = cloth.extent().center();
    let all: Vec<Place> = wanted.iter().map(|wanted| wanted.place(middle)).collect();
    let empty = Laid { cloth, parts, places: &[], rules };
    let links = links(wanted, &Laid { places: &all, ..empty });
    let mut groups = Vec::new();
    let mut settled: Vec<Option<Place>> = vec![None; wanted.len()];
    // What stays where it is comes first, then what has a centre for a bar to lie on.
    let mut roots: Vec<usize> = (0..wanted.len()).filter(|index| on_grain(&wanted[*index])).collect();
    roots.sort_by_key(|index| (wanted[*index].kept.is_none(), wanted[*index].part.centre().is_none()));
    for root in roots {
        if settled[root].is_some() {
            continue;
        }
        let first = match &wanted[root].kept {
            Some(kept) => kept.clone(),
            None => lay::snapped(&all[root], &empty),
        };
        let tried = Place { at: first.at + TRIAL, ..first.clone() };
        let undone = first.at + TRIAL - lay::snapped(&tried, &empty).at;
        let given = |undone: f64, at: f64| (undone.abs() > 1e-6).then_some(at);
        let group = Group { along: given(undone.x, first.at.x), across: given(undone.y, first.at.y) };
        settled[root] = Some(first.clone());
        let (mut members, mut next) = (vec![root], 0);
        while next < members.len() {
            for &(a, b) in &links {
                let other = match members[next] {
                    known if known == a => b,
                    known if known == b => a,
                    _ => continue,
                };
                if settled[other].is_none() && on_grain(&wanted[other]) {
                    let known: Vec<Place> =
                        members.iter().filter_map(|index| settled[*index].clone()).collect();
                    let place = match &wanted[other].kept {
                        Some(kept) => kept.clone(),
                        None => lay::snapped(&all[other], &Laid { places: &known, ..empty }),
                    };
                    settled[other] = Some(place);
                    members.push(other);
                }
            }
            next += 1;
        }
        if members.len() < 2 && group == Group::default() {
            continue;
        }
        for index in members {
            let Some(place) = &settled[index] else { continue };
            let off = first.at - place.at;
            wanted[index].matched =
                Some(Matched { group: groups.len(), reference: back(pose_of(place), off).to_point(), steps });
        }
        groups.push(group);
    }
    groups
}

/// Which of the wanted copies are brought together by a seam or a centre whose print can agree.
fn links(wanted: &[Wanted<'_>], laid: &Laid<'_>) -> Vec<(usize, usize)> {
    let double = laid.cloth.fold().is_some();
    let index = |end: &lay::MatchEnd| {
        wanted.iter().position(|wanted| {
            let gives = |copy: u32| wanted.copy == copy || (double && wanted.copy + 1 == copy);
            wanted.part.piece.id == end.piece && gives(end.copy)
        })
    };
    let matches = lay::matches(laid).into_iter().filter(|found| {
        let tops_meet = |failing: &lay::Failing| matches!(failing, lay::Failing::TopsMeet { .. });
        !found.failing.iter().any(tops_meet) && !laid.rules.lets_pass_at(found)
    });
    let pairs = matches.filter_map(|found| Some((index(&found.first)?, index(&found.second)?)));
    pairs.filter(|(a, b)| a != b).collect()
}

/// The repeat as the search knows it.
fn steps_of(repeat: Repeat) -> Option<Steps> {
    const ASLANT_MM: f64 = 1e-6;
    match repeat {
        Repeat::Bars { step } if step.x.abs() < ASLANT_MM => Some(Steps::Across(step.y.abs())),
        Repeat::Bars { step } if step.y.abs() < ASLANT_MM => Some(Steps::Along(step.x.abs())),
        Repeat::Lattice(lattice) => Some(Steps::Both(lattice.reduced().steps)),
        Repeat::Plain | Repeat::Never | Repeat::Bars { .. } => None,
    }
}

/// What a pose brings upon a vector.
fn back(pose: Pose, v: Vec2) -> Vec2 {
    let turned = Pose::turned(-pose.turn).apply(v);
    if pose.mirrored { Vec2::new(turned.x, -turned.y) } else { turned }
}

/// The same cloth at another usable width.
#[must_use]
pub fn at_width(cloth: &Cloth, width: &Length) -> Cloth {
    Cloth { width: width.clone(), between_selvedges: None, ..cloth.clone() }
}
