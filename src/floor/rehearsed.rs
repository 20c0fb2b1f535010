//! The rehearsal on the cloth: which copy is lit, how it is cut, and whether it must wait.

use super::FloorView;
use super::notice::{Notice, Place};
use crate::garment::{OpenGarment, rehearsal};
use crate::geometry::Point;
use crate::scene::Scene;

/// Adds what is to be said of the copy that is shown alone while the cutting is walked through; with none, how the
/// rehearsal ended. `lit` are the corners of the light on the surface, in mm.
pub(super) fn add_rehearsed(scene: &mut Scene, open: &OpenGarment, view: &FloorView, lit: &[Point; 4]) {
    if !view.rehearsing {
        return;
    }
    let steps = rehearsal(open);
    let mut notice = Notice::new([], Place::Free);
    match view.only.and_then(|only| steps.iter().find(|step| step.place == only)) {
        Some(step) => {
            notice.say(format!("Rehearsal, {}.", step.title));
            step.words.iter().for_each(|words| notice.say(words.clone()));
            if let Some(why) = &step.waits {
                notice.warn(format!("Do not cut it yet: {why}."));
            }
        }
        None => {
            let waiting = steps.iter().filter(|step| step.waits.is_some()).count();
            notice.say("That is the whole of it. Nothing was cut, and nothing ticked.".to_owned());
            if waiting > 0 {
                notice.warn(format!("{waiting} of {} must not be cut yet.", steps.len()));
            }
        }
    }
    notice.add_to(scene, lit, &view.show);
}
