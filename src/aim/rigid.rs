//! Whether tapes hold the marks: rigidity of a framework of points and bars.
//!
//! Each tape is a row of unit directions over the coordinates of the marks whose places are sought; a motion that
//! no row sees is one that the tapes allow. The picture is a good enough likeness of the surface for this, since
//! infinitesimal rigidity survives a projective map.
//!
//! Source: Izmestiev, "Infinitesimal rigidity of frameworks and surfaces" (2009), for the projective invariance.

use super::AimError;
use super::measured::Tape;
use super::order::{centroid, extent};
use super::refine::direction;
use crate::geometry::{Point, Vec2};
use nalgebra::DMatrix;

/// A motion that the tapes resist less than this (unit motion, unit tapes) counts as free.
const FREE_PART: f64 = 5e-3;

/// Refuses tapes that leave a mark loose. `likeness` shows the marks about as they lie; `given` says which places
/// are known.
///
/// # Errors
/// [`AimError::NothingMeasured`], [`AimError::Unplaced`], [`AimError::NotRigid`].
pub(super) fn check_rigid(likeness: &[Point], given: &[bool], tapes: &[Tape]) -> Result<(), AimError> {
    if tapes.is_empty() && !given.contains(&true) {
        return Err(AimError::NothingMeasured);
    }
    let taped = |mark: usize| tapes.iter().any(|tape| tape.from == mark || tape.to == mark);
    if let Some(mark) = (0..given.len()).find(|&mark| !given[mark] && !taped(mark)) {
        return Err(AimError::Unplaced { mark });
    }
    let Some(motion) = free_motion(likeness, given, tapes) else {
        return Ok(());
    };
    let mark = (0..motion.len())
        .max_by(|&a, &b| motion[a].hypot2().total_cmp(&motion[b].hypot2()))
        .unwrap_or_default();
    let stretch =
        |(a, b): (usize, usize)| direction(likeness[a], likeness[b]).dot(motion[b] - motion[a]).abs();
    let (from, to) = (0..given.len())
        .flat_map(|a| (a + 1..given.len()).map(move |b| (a, b)))
        .filter(|&(a, b)| !(given[a] && given[b]))
        .max_by(|&a, &b| stretch(a).total_cmp(&stretch(b)))
        .unwrap_or_default();
    Err(AimError::NotRigid { mark, from, to })
}

/// The motion of the marks that the tapes resist least, if that is next to nothing.
fn free_motion(likeness: &[Point], given: &[bool], tapes: &[Tape]) -> Option<Vec<Vec2>> {
    let mut columns = vec![None; given.len()];
    let mut unknowns = 0;
    for (column, _) in columns.iter_mut().zip(given).filter(|(_, given)| !**given) {
        *column = Some(unknowns);
        unknowns += 2;
    }
    if unknowns == 0 {
        return None;
    }
    let rigid = rigid_motions(likeness, given);
    // At least as many rows as unknowns, so that the decomposition holds every direction.
    let mut rows = DMatrix::zeros((tapes.len() + rigid.len()).max(unknowns), unknowns);
    for (row, tape) in tapes.iter().enumerate() {
        let way = direction(likeness[tape.from], likeness[tape.to]);
        for (mark, sign) in [(tape.from, -1.0), (tape.to, 1.0)] {
            if let Some(column) = columns[mark] {
                rows[(row, column)] = sign * way.x;
                rows[(row, column + 1)] = sign * way.y;
            }
        }
    }
    for (row, motion) in rigid.iter().enumerate() {
        for (way, column) in motion.iter().zip(&columns) {
            if let Some(column) = *column {
                rows[(tapes.len() + row, column)] = way.x;
                rows[(tapes.len() + row, column + 1)] = way.y;
            }
        }
    }
    let parts = rows.svd(false, true);
    let (least, resistance) = parts.singular_values.argmin();
    if resistance >= FREE_PART {
        return None;
    }
    let directions = parts.v_t?;
    let of = |column: &Option<usize>| {
        column.map_or(Vec2::ZERO, |column| {
            Vec2::new(directions[(least, column)], directions[(least, column + 1)])
        })
    };
    Some(columns.iter().map(of).collect())
}

/// Motions of the whole that no tape can see and no given place forbids, each of unit size.
fn rigid_motions(likeness: &[Point], given: &[bool]) -> Vec<Vec<Vec2>> {
    let fixed: Vec<Point> =
        likeness.iter().zip(given).filter(|(_, given)| **given).map(|(point, _)| *point).collect();
    let size = extent(likeness).max(f64::MIN_POSITIVE);
    let turn = |pivot: Point| -> Vec<Vec2> {
        let arms = likeness.iter().map(|&point| (point - pivot) / size);
        arms.map(|arm| Vec2::new(-arm.y, arm.x)).collect()
    };
    match fixed.as_slice() {
        [] => vec![
            vec![Vec2::new(1.0, 0.0); likeness.len()],
            vec![Vec2::new(0.0, 1.0); likeness.len()],
            turn(centroid(likeness)),
        ],
        [only] => vec![turn(*only)],
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quad() -> Vec<Point> {
        [(0.0, 0.0), (1500.0, 20.0), (1480.0, 900.0), (10.0, 880.0)].map(Point::from).to_vec()
    }

    fn tapes(pairs: &[(usize, usize)]) -> Vec<Tape> {
        pairs.iter().map(|&(from, to)| Tape::new(from, to, 1000.0)).collect()
    }

    #[test]
    fn four_sides_shear_and_one_diagonal_holds_them() {
        let sides = [(0, 1), (1, 2), (2, 3), (3, 0)];
        let error = check_rigid(&quad(), &[false; 4], &tapes(&sides)).unwrap_err();
        let AimError::NotRigid { from, to, .. } = error else {
            panic!("{error}");
        };
        assert!([(0, 2), (1, 3)].contains(&(from, to)), "a diagonal is asked for");
        let mut braced = sides.to_vec();
        braced.push((from, to));
        assert_eq!(check_rigid(&quad(), &[false; 4], &tapes(&braced)), Ok(()));
    }

    #[test]
    fn the_tape_asked_for_goes_to_the_loose_mark() {
        let loose = [(0, 1), (1, 2), (0, 2), (2, 3)];
        let error = check_rigid(&quad(), &[false; 4], &tapes(&loose)).unwrap_err();
        assert!(matches!(error, AimError::NotRigid { mark: 3, to: 3, .. }), "{error}");
    }

    #[test]
    fn two_given_places_hold_a_mark_taped_to_both() {
        let given = [true, true, true, false];
        let held = tapes(&[(0, 3), (2, 3)]);
        assert_eq!(check_rigid(&quad(), &given, &held), Ok(()));
        let error = check_rigid(&quad(), &given, &held[..1]).unwrap_err();
        assert!(matches!(error, AimError::NotRigid { mark: 3, .. }), "{error}");
    }
}
