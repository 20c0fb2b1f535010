//! What is lit beside the pieces while cutting: the crosses to be chalked, which stand this is, and what has to be
//! known before the next cut.

use super::FloorView;
use super::notice::{Notice, Place};
use super::work::sentence;
use crate::aim::Aim;
use crate::finding::Severity;
use crate::garment::{OpenGarment, StandWork};
use crate::geometry::Point;
use crate::scene::{Scene, add_crosses};

/// So many of the pieces that were changed after they were cut are named on the cloth; the desk names all.
const OUTDATED_MOST: usize = 2;

/// Adds the crosses of the stand and words where they hide least; `lit` are the corners of
/// the light.
pub(super) fn add_standing(
    scene: &mut Scene,
    open: &OpenGarment,
    aim: &Aim,
    view: &FloorView,
    lit: &[Point; 4],
) {
    let mut notice = Notice::new(Vec::new(), Place::Free);
    if aim.is_provisional() {
        notice.warn("Provisional aim: not to cut by. Aim again (I) with four marks.".to_owned());
    }
    if let Some(moved) = &view.moved {
        let what = if view.lets_move_pass { "Cut all the same" } else { "Stop" };
        notice.warn(format!("{what}: {moved}"));
    } else if view.unlooked {
        notice.warn("Another aim is in use: look whether it holds (V) before the next cut.".to_owned());
    }
    let outdated = open.outdated().into_iter().filter(|finding| finding.severity == Severity::Stop);
    for finding in outdated.take(OUTDATED_MOST) {
        notice.warn(sentence(&finding.what));
    }
    if let Some(passed) = &view.let_pass {
        notice.warn(sentence(passed));
    }
    if let Some(stands) = open.stands() {
        let surface_from_cloth = stands.stand().surface_from_cloth();
        let crosses = stands.crosses_to_chalk().into_iter();
        let places: Vec<_> = crosses.map(|(number, at)| (number, surface_from_cloth * at)).collect();
        add_crosses(scene, &places, &view.show);
        for words in stand_words(stands) {
            notice.say(words);
        }
    }
    notice.add_to(scene, lit, &view.show);
}

/// Which stand this is, how sure it is, and what comes next.
#[must_use]
pub fn stand_words(stands: &StandWork) -> Vec<String> {
    let (at, count) = (stands.at + 1, stands.stands.len());
    let mut words = format!("Stand {at} of {count}.");
    if let Some((last, all)) = stands.drift_mm() {
        words += &format!(" This move ±{last:.1} mm, all so far ±{all:.1} mm.");
    }
    let next = if stands.is_last() {
        "This is the last: X ends the stands.".to_owned()
    } else {
        let crosses = stands.crosses_to_chalk().len();
        let way = stands.way_to_next().map_or_else(String::new, |way| {
            let cm = 0.1 * way.hypot();
            let whither = match (way.x.abs() >= way.y.abs(), way.x >= 0.0, way.y >= 0.0) {
                (true, true, _) => "to the right",
                (true, false, _) => "to the left",
                (false, _, true) => "up",
                (false, _, false) => "down",
            };
            format!("move the cloth {cm:.0} cm {whither}, ")
        });
        if crosses == 0 {
            format!("When all is cut, {way}then press X.")
        } else {
            format!("Chalk the {crosses} crosses. When all is cut, {way}then press X.")
        }
    };
    vec![words, next]
}
