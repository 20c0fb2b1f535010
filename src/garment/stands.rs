//! Cutting in stands: what is done, where the cloth lies now, and how sure that is. It is kept in the garment's file, so
//! that after a power cut the work goes on at the same stand with the same aim.

use super::plan::is_sane;
use super::{AsCut, OpenGarment, Stand};
use crate::aim::{
    Aim, Cross, FindCrosses, Ground, Motion, OVERLAP_MM, Registration, StandError, StandPlace, Stands,
    drift_sigma_mm,
};
use crate::geometry::tolerance::FLATTEN_COARSE_MM;
use crate::geometry::{Point, Rect, Vec2};
use crate::pattern::PieceId;
use serde::{Deserialize, Serialize};

/// Crosses between two stands: with two the ends of four stands drift up to 1.60 mm, with four 1.28 (simulated, one
/// run in twenty is worse).
pub const CROSSES: usize = 4;
/// The border of the light that is left dark for cutting, in mm: a line at the very edge is easily lost.
const BORDER_MM: f64 = 15.0;
/// Wider overlaps that are tried until the crosses find room between the lines, in mm.
const WIDER_MM: [f64; 3] = [120.0, 180.0, 260.0];
/// How true chalk is laid along a line of light, 1σ in x and in y, in mm (common practice: a sharp edge of chalk is
/// under a millimetre wide).
pub const CHALK_MM: f64 = 0.3;
/// Most stands and crosses that a file may hold.
const MOST: usize = 400;

/// What is being cut in stands, and how far it has come.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StandWork {
    /// The copy that is cut so; the whole lay, when `None`.
    #[serde(default)]
    pub copy: Option<(PieceId, u32)>,
    /// The stands, in the order in which they are cut.
    pub stands: Vec<OneStand>,
    /// The stand that lies under the light, from 0.
    pub at: usize,
    /// The copies that are cut so, as they looked and lay when the stands were begun.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub begun: Vec<(PieceId, u32, AsCut)>,
    /// The marks on the surface, in mm, of the aim by which the cloth's places are known.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub marks: Vec<(f64, f64)>,
}

/// One stand of the cloth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OneStand {
    /// What the light covers of the cloth: left, lower, right and upper side, in mm.
    pub on_cloth: (f64, f64, f64, f64),
    /// How the cloth should lie.
    pub planned: Stand,
    /// How it does lie, once it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lies: Option<Stand>,
    /// The earlier stand whose crosses hold it, from 0; the first has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<usize>,
    /// The crosses that hold it, on the cloth in mm: chalked in that earlier stand, found again in this one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub crosses: Vec<(f64, f64)>,
    /// How sure the move was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moved: Option<Moved>,
}

impl OneStand {
    /// The stands of a division as they are planned; the cloth lies for the first.
    #[must_use]
    pub fn planned(divided: &Stands) -> Vec<Self> {
        let one = |(index, place): (usize, &StandPlace)| {
            let join = divided.joins.iter().find(|join| join.to == index);
            let planned = Stand::of_motion(&place.surface_from_cloth);
            let Rect { x0, y0, x1, y1 } = place.on_cloth;
            Self {
                on_cloth: (x0, y0, x1, y1),
                planned,
                lies: (index == 0).then_some(planned),
                from: join.map(|join| join.from),
                crosses: join
                    .map(|join| join.crosses.iter().map(|at| (at.x, at.y)).collect())
                    .unwrap_or_default(),
                moved: None,
            }
        };
        divided.stands.iter().enumerate().map(one).collect()
    }
}

/// How sure a move of the cloth was, by the crosses that were found again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Moved {
    /// How far the worst cross is from where the others put it, in mm.
    pub worst_cross_mm: f64,
    /// Standard deviation of the shift at the pivot, in x and in y, in mm.
    pub shift_sigma_mm: f64,
    /// Standard deviation of the turn, in radians.
    pub turn_sigma: f64,
    /// What the cloth may be turned about, on the cloth in mm.
    pub pivot: (f64, f64),
}

impl Moved {
    fn of(found: &Registration) -> Self {
        Self {
            worst_cross_mm: found.residuals_mm.iter().copied().fold(0.0, f64::max),
            shift_sigma_mm: found.shift_sigma_mm,
            turn_sigma: found.turn_sigma,
            pivot: found.pivot.into(),
        }
    }

    fn registration(&self) -> Registration {
        Registration {
            surface_from_cloth: Motion::default(),
            residuals_mm: vec![self.worst_cross_mm],
            pivot: self.pivot.into(),
            shift_sigma_mm: self.shift_sigma_mm,
            turn_sigma: self.turn_sigma,
        }
    }
}

/// Why the cloth can't be cut in stands, or not go on to the next.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StandWorkError {
    /// Nothing is aimed.
    #[error("there is no aim yet; aim first, then cut in stands")]
    NoAim,
    /// Nothing is laid.
    #[error("nothing is laid on the cloth yet; the stop Lay puts pieces there")]
    NothingLaid,
    /// The last stand.
    #[error("this is the last stand; leave the stands when it is cut")]
    Last,
    /// The geometry of it.
    #[error(transparent)]
    Stand(#[from] StandError),
}

impl StandWork {
    /// Divides a copy, or the whole lay, into the fewest stands for the aim in use; the cloth lies as planned for the
    /// first of them.
    ///
    /// # Errors
    /// [`StandWorkError`].
    pub fn divide(open: &OpenGarment, copy: Option<(PieceId, u32)>) -> Result<Self, StandWorkError> {
        let aim = open.aim().good.as_ref().ok_or(StandWorkError::NoAim)?;
        let lines = |all: bool| -> Vec<Vec<Point>> {
            let wanted = open.plan().lay.iter().filter(|place| {
                let is_it =
                    copy.as_ref().is_none_or(|(piece, copy)| piece == &place.piece && *copy == place.copy);
                all || is_it
            });
            wanted
                .filter_map(|place| {
                    let piece = open.evaluated().piece(&place.piece)?;
                    let path = piece.cutting_path.clone().unwrap_or_else(|| piece.altered.outline());
                    Some(flat(&(place.cloth_from_piece(&piece.altered) * path)))
                })
                .collect()
        };
        let outline: Vec<Point> = lines(false).concat();
        if outline.is_empty() {
            return Err(StandWorkError::NothingLaid);
        }
        let cutting_lines = lines(true);
        let reach =
            outline.iter().fold(Rect::from_points(outline[0], outline[0]), |all, at| all.union_pt(*at));
        let cloth = open.plan().cloth().map_or(reach.inflate(100.0, 100.0), |cloth| cloth.extent());
        let lit = aim.lit_rectangle().inset(-BORDER_MM);
        let ground = |overlap_mm| Ground {
            outline: &outline,
            lit,
            overlap_mm,
            cloth,
            cutting_lines: &cutting_lines,
            crosses: CROSSES,
        };
        let divided = best_held(|overlap_mm| Stands::divide(&ground(overlap_mm)))?;
        let begun = open.plan().lay.iter().filter(|place| {
            copy.as_ref().is_none_or(|(piece, copy)| piece == &place.piece && *copy == place.copy)
        });
        let begun = begun.filter_map(|place| {
            Some((place.piece.clone(), place.copy, open.looks(&place.piece, place.copy)?))
        });
        Ok(Self {
            begun: begun.collect(),
            marks: Vec::new(),
            stands: OneStand::planned(&divided),
            at: 0,
            copy,
        })
    }

    /// How the cloth lies under the light now.
    #[must_use]
    pub fn stand(&self) -> Stand {
        self.stands.get(self.at).map_or_else(Stand::default, |stand| stand.lies.unwrap_or(stand.planned))
    }

    /// Whether the stand under the light is the last.
    #[must_use]
    pub const fn is_last(&self) -> bool {
        self.at + 1 >= self.stands.len()
    }

    /// The number of the first cross that holds a stand: crosses are numbered through all stands, from 1.
    #[must_use]
    pub fn first_number(&self, stand: usize) -> usize {
        1 + self.stands.iter().take(stand).map(|stand| stand.crosses.len()).sum::<usize>()
    }

    /// The crosses that have to be chalked in the stand under the light, because later stands are held by them: their
    /// numbers and their places on the cloth, in mm.
    #[must_use]
    pub fn crosses_to_chalk(&self) -> Vec<(usize, Point)> {
        let later = self.stands.iter().enumerate().skip(self.at + 1);
        later
            .filter(|(_, stand)| stand.from == Some(self.at))
            .flat_map(|(index, stand)| {
                (self.first_number(index)..).zip(stand.crosses.iter().map(|&at| at.into()))
            })
            .collect()
    }

    /// Begins the search for the crosses of the next stand, after the cloth was moved there.
    ///
    /// # Errors
    /// [`StandWorkError`].
    pub fn seek_next(&self, aim: &Aim) -> Result<FindCrosses, StandWorkError> {
        let next = self.stands.get(self.at + 1).ok_or(StandWorkError::Last)?;
        let laid = next.from.and_then(|from| self.stands.get(from)).and_then(|stand| stand.lies);
        let laid = laid.unwrap_or_default().motion();
        let cross = |&(x, y): &(f64, f64)| {
            let cloth = Point::new(x, y);
            let pick = aim.picture_of_cloth(laid.apply(cloth));
            let sigma_mm =
                pick.and_then(|pick| aim.cross_at(&laid, pick)).map_or(CHALK_MM, |cross| cross.sigma_mm);
            Cross { cloth, sigma_mm: sigma_mm.hypot(CHALK_MM) }
        };
        let crosses = next.crosses.iter().map(cross).collect();
        Ok(FindCrosses::of(aim, crosses, next.planned.motion())?)
    }

    /// The same work one stand further, the cloth lying as its crosses said.
    #[must_use]
    pub fn next(&self, found: &Registration) -> Self {
        let mut next = self.clone();
        if let Some(stand) = next.stands.get_mut(self.at + 1) {
            stand.lies = Some(Stand::of_motion(&found.surface_from_cloth));
            stand.moved = Some(Moved::of(found));
            next.at += 1;
        }
        next
    }

    /// The same work under an aim with these marks, unless it is known under which it was begun.
    pub(super) fn under(mut self, marks: Vec<(f64, f64)>) -> Self {
        if self.marks.is_empty() {
            self.marks = marks;
        }
        self
    }

    /// The same work one stand further, the cloth lying where it lay: the projector was moved, and the aim in use has
    /// other marks on the same surface.
    #[must_use]
    pub fn next_from_there(&self) -> Self {
        let mut next = Self { marks: Vec::new(), ..self.clone() };
        let lies = self.stand();
        if let Some(stand) = next.stands.get_mut(self.at + 1) {
            stand.lies = Some(lies);
            next.at += 1;
        }
        next
    }

    /// What the moves may have put the worst place of the present stand off, 1σ in mm: of the last move, and of all
    /// that led here. `None` in the first stand.
    #[must_use]
    pub fn drift_mm(&self) -> Option<(f64, f64)> {
        let here = self.stands.get(self.at)?;
        let last = here.moved.as_ref()?.registration();
        let mut moves = vec![last.clone()];
        let mut at = here.from;
        while let Some(stand) = at.and_then(|at| self.stands.get(at)) {
            moves.extend(stand.moved.as_ref().map(Moved::registration));
            at = stand.from;
        }
        let (x0, y0, x1, y1) = here.on_cloth;
        let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(Point::from);
        let worst = |moves: &[Registration]| {
            corners.iter().map(|&corner| drift_sigma_mm(moves, corner)).fold(0.0, f64::max)
        };
        Some((worst(&[last]), worst(&moves)))
    }

    /// The direction on the surface in which the cloth is pushed for the next stand, and how far, in mm.
    #[must_use]
    pub fn way_to_next(&self) -> Option<Vec2> {
        let next = self.stands.get(self.at + 1)?;
        let (x0, y0, x1, y1) = next.on_cloth;
        let middle = Point::new(f64::midpoint(x0, x1), f64::midpoint(y0, y1));
        Some(next.planned.motion().apply(middle) - self.stand().motion().apply(middle))
    }

    /// What of it can't be meant, and what to do.
    pub(super) fn nonsense(&self) -> Option<String> {
        let complaint =
            |what: &str| Some(format!("under stands {what}. Take stands out and begin them again"));
        if self.at >= self.stands.len() {
            return complaint("the present stand is none of the list");
        }
        let crosses: usize = self.stands.iter().map(|stand| stand.crosses.len()).sum();
        let lists = [self.stands.len(), crosses, self.begun.len(), self.marks.len()];
        if lists.into_iter().any(|count| count > MOST) {
            return complaint("there are more stands or crosses than anybody cuts by");
        }
        if !self.marks.iter().all(|&(x, y)| is_sane(x) && is_sane(y)) {
            return complaint("a mark lies where no table is");
        }
        for (index, stand) in self.stands.iter().enumerate() {
            let (x0, y0, x1, y1) = stand.on_cloth;
            let lies = stand.lies.unwrap_or_default();
            let mut numbers = vec![x0, y0, x1, y1];
            numbers.extend(stand.crosses.iter().flat_map(|&(x, y)| [x, y]));
            for stand in [stand.planned, lies] {
                numbers.extend([stand.at.x, stand.at.y, stand.turn_degrees]);
            }
            if let Some(moved) = &stand.moved {
                let Moved { worst_cross_mm, shift_sigma_mm, turn_sigma, pivot } = *moved;
                numbers.extend([worst_cross_mm, shift_sigma_mm, turn_sigma, pivot.0, pivot.1]);
            }
            if !numbers.into_iter().all(is_sane) {
                return complaint("a number is none that a table or a cloth can have");
            }
            if stand.from.is_some_and(|from| from >= index) {
                return complaint("a stand is held by one that comes after it");
            }
        }
        None
    }
}

/// The division that is held best: with more overlap there is room for more crosses, which is taken as long as it costs
/// no further stand.
fn best_held(divide: impl Fn(f64) -> Result<Stands, StandError>) -> Result<Stands, StandError> {
    let held = |divided: &Stands| divided.joins.iter().map(|join| join.crosses.len()).min();
    let mut divided = divide(OVERLAP_MM);
    for overlap_mm in WIDER_MM {
        let tried = match &divided {
            Err(StandError::NoRoomForCrosses { .. }) => divide(overlap_mm),
            Ok(best) if held(best).is_some_and(|held| held < CROSSES) => {
                let wider = divide(overlap_mm);
                let is_better =
                    |wider: &Stands| wider.stands.len() == best.stands.len() && held(wider) > held(best);
                if !wider.as_ref().is_ok_and(is_better) {
                    continue;
                }
                wider
            }
            _ => break,
        };
        divided = tried;
    }
    divided
}

fn flat(path: &crate::geometry::BezPath) -> Vec<Point> {
    let mut points = Vec::new();
    kurbo::flatten(path, FLATTEN_COARSE_MM, |element| points.extend(element.end_point()));
    points
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::aim::{Join, StandPlace};
    use std::cell::RefCell;

    /// So many stands in a row, each held by so many crosses.
    fn row(stands: usize, crosses: usize) -> Result<Stands, StandError> {
        let place = StandPlace { on_cloth: Rect::ZERO, surface_from_cloth: Motion::default() };
        let join = |to: usize| Join { from: to - 1, to, crosses: vec![Point::ORIGIN; crosses] };
        Ok(Stands { stands: vec![place; stands], joins: (1..stands).map(join).collect(), is_turned: false })
    }

    /// What is chosen of these, for overlaps that grow, and how many were looked at.
    fn chosen(of: &[Result<Stands, StandError>]) -> (Result<(usize, usize), StandError>, usize) {
        let asked = RefCell::new(Vec::new());
        let found = best_held(|overlap_mm| {
            asked.borrow_mut().push(overlap_mm);
            of[asked.borrow().len() - 1].clone()
        });
        let asked = asked.into_inner();
        assert!(asked.windows(2).all(|pair| pair[0] < pair[1]), "each wider than the one before: {asked:?}");
        let held = |stands: Stands| (stands.stands.len(), stands.joins[0].crosses.len());
        (found.map(held), asked.len())
    }

    #[test]
    fn a_wider_overlap_is_taken_for_more_crosses_and_never_for_more_stands() {
        let no_room = || -> Result<Stands, StandError> {
            Err(StandError::NoRoomForCrosses { first: 0, second: 1, apart_mm: 300.0 })
        };
        assert_eq!(chosen(&[row(3, 4)]), (Ok((3, 4)), 1), "four at once: nothing wider is tried");
        assert_eq!(chosen(&[row(3, 2), row(3, 4)]), (Ok((3, 4)), 2));
        assert_eq!(chosen(&[row(3, 2), row(3, 3), row(3, 4)]), (Ok((3, 4)), 3));
        assert_eq!(chosen(&[row(3, 2), row(4, 4), row(4, 4), row(4, 4)]), (Ok((3, 2)), 4));
        assert_eq!(chosen(&[row(3, 2), row(4, 4), row(3, 3), row(4, 4)]), (Ok((3, 3)), 4));
        assert_eq!(chosen(&[row(3, 3), row(3, 2), no_room(), row(3, 3)]), (Ok((3, 3)), 4));
        assert_eq!(chosen(&[no_room(), row(3, 2), row(3, 4)]), (Ok((3, 4)), 3), "two rather than none");
        let none = [no_room(), no_room(), no_room(), no_room()];
        assert!(matches!(chosen(&none), (Err(StandError::NoRoomForCrosses { .. }), 4)));
        let other = Err(StandError::TooFewCrosses { count: 0 });
        assert!(matches!(chosen(&[other]), (Err(StandError::TooFewCrosses { .. }), 1)));
    }
}
