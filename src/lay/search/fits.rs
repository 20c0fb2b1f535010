//! Whether each piece can lie on the cloth at all, and if not, which, by how much, and what would help.

use super::model::Model;
use super::outcome::Outcome;
use super::problem::{Item, Pose, Problem, SearchError};
use super::relief::SEAM_ALLOWANCE_MM;
use crate::geometry::tolerance::JOIN_MM;

/// Refuses a problem with an item that lies between the selvedges in no legal way.
pub(super) fn check_fit(problem: &Problem, model: &Model) -> Result<(), SearchError> {
    for (item, kind) in problem.items.iter().zip(&model.kinds) {
        if item.pinned.is_some() || item.copies == 0 {
            continue;
        }
        if kind.shapes.iter().all(|shape| model.inside(shape, f64::MAX).is_none()) {
            return Err(too_wide(problem, item));
        }
    }
    Ok(())
}

/// Needed across the cloth in one pose: on the fold, only what lies above it.
fn needs(item: &Item, pose: Pose) -> f64 {
    match item.fold_level {
        None => Outcome::extent(&item.outline, pose).y,
        Some(level) => {
            let fold = pose.apply(crate::geometry::Vec2::new(0.0, level)).y;
            let above = item.outline.iter().map(|p| pose.apply(p.to_vec2()).y - fold);
            above.fold(0.0, f64::max)
        }
    }
}

fn too_wide(problem: &Problem, item: &Item) -> SearchError {
    let least = |poses: &[Pose]| {
        let needs = poses.iter().map(|pose| needs(item, *pose));
        needs.fold(f64::INFINITY, f64::min)
    };
    let needs_mm = least(&item.poses);
    let width = item.band.map_or(problem.width, |[low, high]| (high - low).min(problem.width));
    let mut remedies = Vec::new();
    let joined = (needs_mm - width + 2.0 * SEAM_ALLOWANCE_MM).ceil();
    if item.fold_level.is_some() {
        // Opened out, the piece is twice as wide and so is the cloth: single ply helps only others.
        remedies.push(format!("cloth {:.0} mm wide or more when opened out", (2.0 * needs_mm).ceil()));
        remedies
            .push(format!("a strip {joined:.0} mm wide joined to each selvedge, seam allowances included"));
    } else {
        remedies.push(format!("{:.0} mm of usable width or more", needs_mm.ceil()));
        let single = problem.items.iter().any(|item| item.fold_level.is_some());
        if single && needs_mm <= 2.0 * problem.width {
            remedies.push(format!(
                "cutting it from a single ply, which has {:.0} mm between the selvedges",
                2.0 * problem.width
            ));
        }
        let turned: Vec<Pose> = item.poses.iter().map(|pose| quarter_turned(*pose)).collect();
        let across = least(&turned);
        if across <= width + JOIN_MM && item.repeat.is_none() {
            remedies.push(format!(
                "laying it across the grain, where it needs {across:.1} mm, if the cloth may be cut so"
            ));
        }
        remedies
            .push(format!("a strip {joined:.0} mm wide joined to the selvedge, seam allowances included"));
    }
    let parts = (needs_mm / width).ceil().max(2.0);
    let part = needs_mm / parts + 2.0 * SEAM_ALLOWANCE_MM;
    let (parts, part) = if part > width {
        let parts = (needs_mm / (width - 2.0 * SEAM_ALLOWANCE_MM).max(1.0)).ceil();
        (parts, needs_mm / parts + 2.0 * SEAM_ALLOWANCE_MM)
    } else {
        (parts, part)
    };
    if part <= width && parts <= MOST_PARTS {
        remedies.push(format!(
            "a seam along it, in {parts:.0} parts of {:.0} mm or less with allowances of {SEAM_ALLOWANCE_MM:.0} mm",
            part.ceil()
        ));
    }
    SearchError::TooWide { item: item.name.clone(), needs_mm, width_mm: width, remedies }
}

/// A piece in more parts than this is another pattern.
const MOST_PARTS: f64 = 4.0;

fn quarter_turned(pose: Pose) -> Pose {
    Pose { turn: pose.turn + std::f64::consts::FRAC_PI_2, ..pose }
}

/// A piece that fits by its width and still found no place.
pub(super) fn no_place(problem: &Problem, model: &Model, piece: usize) -> SearchError {
    let item = model.pieces.get(piece).and_then(|kind| problem.items.get(*kind));
    let name = item.map_or_else(String::new, |item| item.name.clone());
    let why = match item.and_then(|item| item.repeat) {
        Some(_) => {
            "the print leaves it no place between the selvedges where it matches; cut it from a single \
                    ply, from wider cloth, or without matching"
        }
        None => {
            "no place between the selvedges is free of flaws and pinned pieces; free some of them, or use \
                 longer cloth"
        }
    };
    SearchError::NoPlace { item: name, why: why.to_owned() }
}
