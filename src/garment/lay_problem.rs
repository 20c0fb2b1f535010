//! A cloth and what is cut from it, as a problem for the search.
//!
//! Outlines are laid with their grain along x and thinned to what a blade can follow; the gap makes up for what
//! thinning may cut off, so that a lay found is also a lay of the true outlines. The print's rules become phases: one
//! arrangement in which all seams agree is built first, piece by piece with [`lay::snapped`], and every piece may then
//! move by whole repeats from its place in it. Which pieces belong together follows from the seams.
//!
//! Limits: on a print pieces all lie the same way up, as handbooks advise even for an even plaid; a print that runs
//! aslant in stripes is not kept in phase, and the findings then say so. Where no bar is chosen for the centre and
//! seams meet as mirror images, or the cloth is folded, a group keeps one phase across the cloth of all that would do.

use super::lay_wanted::{Wanted, back, pose_of, wanted};
use super::thinned::THINNED_MM;
use crate::cloth::{Cloth, FoldWay, Repeat, Unlike};
use crate::geometry::{Length, Point, Vec2};
use crate::lay::search::{Group, Item, Outcome, Pose, Problem, Repeat as Matched, Steps};
use crate::lay::{self, BarOrder, CentreOn, Grain, Laid, LayRules, Part, Parts, Place, Rule};
use crate::pattern::{HowCut, PieceId};

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
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LayProblemError {
    /// A piece that neither part of a part-folded cloth is wide enough for.
    #[error(
        "“{piece}” needs {double_needs_mm:.0} mm of the double part of “{cloth}” or {single_needs_mm:.0} mm of the single \
         one; they have {double_mm:.0} and {single_mm:.0} mm. Fold over more or less of it, or lay it flat"
    )]
    NoPart {
        /// The piece.
        piece: PieceId,
        /// The cloth.
        cloth: String,
        /// Needed on the double part, in mm; infinite for a piece that may not be cut double.
        double_needs_mm: f64,
        /// Needed on the single part, in mm.
        single_needs_mm: f64,
        /// Width of the double part, in mm.
        double_mm: f64,
        /// Width of the single part, in mm.
        single_mm: f64,
    },
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
        if let Some(unlike) = cloth.why_not_folded().filter(|_| !rules.lets_pass(Rule::Plies)) {
            return Err(LayProblemError::Uneven { cloth: cloth.name.clone(), unlike });
        }
        let fold = cloth.fold().map(|fold| fold.way);
        let bound = |part: &&Part| part.fold().is_some() && !rules.lets_pass_on(Rule::Fold, &part.piece.id);
        let across = parts.all().iter().find(bound);
        if let Some(part) = across.filter(|_| fold == Some(FoldWay::Crosswise)) {
            return Err(LayProblemError::CrosswiseFold {
                piece: part.piece.id.clone(),
                cloth: cloth.name.clone(),
            });
        }
        let mut wanted = wanted(cloth, parts, rules, keep)?;
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
    let mut ways: Vec<Vec<Pose>> = Vec::new();
    for wanted in wanted.iter_mut() {
        ways.push(wanted.poses.clone());
        if on_grain(wanted) {
            wanted.poses.truncate(1);
        }
    }
    let middle = cloth.extent().center();
    let all: Vec<Place> = wanted.iter().map(|wanted| wanted.place(middle)).collect();
    let empty = Laid { cloth, parts, places: &[], rules };
    let links = links(wanted, &Laid { places: &all, ..empty });
    let mut groups = Vec::new();
    let mut settled: Vec<Option<Place>> = vec![None; wanted.len()];
    // What stays where it is comes first, then what lies on the fold, then what has a centre for a
    // bar to lie on, then what has halves that are to be alike.
    let mut roots: Vec<usize> = (0..wanted.len()).filter(|index| on_grain(&wanted[*index])).collect();
    roots.sort_by_key(|index| {
        let wanted = &wanted[*index];
        let passes = |rule| rules.lets_pass_on(rule, &wanted.part.piece.id);
        let centred =
            wanted.part.centre().is_some() && rules.centre != CentreOn::Anything && !passes(Rule::Centre);
        let folded = cloth.fold().is_some() && !passes(Rule::Match);
        let halved = wanted.part.fold().is_some();
        let two_sides = halved || wanted.part.how == HowCut::MirroredPair;
        let halves_alike = halved && !passes(Rule::FoldPrint);
        let alike = wanted.part.centre().is_some() && (halves_alike || (folded && two_sides));
        (wanted.kept.is_none(), wanted.fold_level.is_none(), !centred, !alike)
    });
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
        let mut group = Group { along: given(undone.x, first.at.x), across: given(undone.y, first.at.y) };
        settled[root] = Some(first.clone());
        let mut members = vec![root];
        // From all that lies, always over the seam that is matched first.
        while let Some(other) =
            next_over_seam(&links, &members, |index| settled[index].is_none() && on_grain(&wanted[index]))
        {
            let known: Vec<Place> = members.iter().filter_map(|index| settled[*index].clone()).collect();
            settled[other] = Some(match &wanted[other].kept {
                Some(kept) => kept.clone(),
                None => lay::snapped(&all[other], &Laid { places: &known, ..empty }),
            });
            members.push(other);
        }
        let mut met = links.iter().filter(|(a, b, _)| members.contains(a) || members.contains(b));
        if met.any(|(_, _, mirrors)| *mirrors || cloth.fold().is_some()) {
            // Moved across together, two that mirror each other would leave the line between them; so would
            // one of the lower ply and one of the upper.
            group.across.get_or_insert(first.at.y);
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
    // What matches nothing may lie in every way that is let pass.
    for (wanted, ways) in wanted.iter_mut().zip(ways) {
        let passes = |rule| rules.lets_pass_on(rule, &wanted.part.piece.id);
        if wanted.matched.is_none() && (passes(Rule::Direction) || passes(Rule::Grain)) {
            wanted.poses = ways;
        }
    }
    groups
}

/// The next copy that is open and sewn to one of the members; links in the order in which seams are matched.
fn next_over_seam(
    links: &[(usize, usize, bool)],
    members: &[usize],
    is_open: impl Fn(usize) -> bool,
) -> Option<usize> {
    links.iter().find_map(|&(a, b, _)| match (members.contains(&a), members.contains(&b)) {
        (true, false) if is_open(b) => Some(b),
        (false, true) if is_open(a) => Some(a),
        _ => None,
    })
}

/// Which of the wanted copies are brought together by a seam or a centre whose print can agree, and whether as mirror
/// images.
fn links(wanted: &[Wanted<'_>], laid: &Laid<'_>) -> Vec<(usize, usize, bool)> {
    let index = |end: &lay::MatchEnd| {
        wanted.iter().position(|wanted| {
            let gives = |copy: u32| wanted.copy == copy || (wanted.is_double && wanted.copy + 1 == copy);
            wanted.part.piece.id == end.piece && gives(end.copy)
        })
    };
    let matches = lay::matches(laid).into_iter().filter(|found| {
        let tops_meet = |failing: &lay::Failing| matches!(failing, lay::Failing::TopsMeet { .. });
        !found.failing.iter().any(tops_meet) && !laid.rules.lets_pass_at(found)
    });
    let pairs = matches.filter_map(|found| {
        Some((index(&found.first)?, index(&found.second)?, found.order == BarOrder::Mirrors))
    });
    pairs.filter(|(a, b, _)| a != b).collect()
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

/// The same cloth at another usable width.
#[must_use]
pub fn at_width(cloth: &Cloth, width: &Length) -> Cloth {
    Cloth { width: width.clone(), between_selvedges: None, ..cloth.clone() }
}
