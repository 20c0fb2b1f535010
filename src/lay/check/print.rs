//! The print on one piece: the chosen bar on its centre, and both halves alike.

use super::{Breach, Only};
use crate::cloth::{FoldWay, MirrorLines};
use crate::finding::{Finding, Severity};
use crate::geometry::{Point, Vec2};
use crate::lay::laid::{CopyOnSheet, Spot, Table, Under, name};
use crate::lay::matching::{PRINT_TOLERANCE_MM, centre_bands};
use crate::lay::{CentreOn, Grain, Rule};

pub(super) fn check(table: &Table<'_>, only: Only, found: &mut Vec<Breach>) {
    let Some(print) = table.laid.cloth.sound_print() else {
        return;
    };
    let bands = centre_bands(print, table.laid.rules.centre);
    if only.is_none()
        && let (Err(number), Some(bars)) = (&bands, &print.lengthwise)
    {
        let what = format!(
            "the centre is to lie on number {number} of the bars along the cloth, but there are {}",
            bars.bars.len()
        );
        let finding = Finding::new(Severity::Warning, what, "choose another bar or gap");
        found.push(Breach::new(Rule::Centre, finding));
    }
    let mirror = table.laid.cloth.mirror_lines(FoldWay::Lengthwise);
    let mut unlike_said = only.is_some();
    let print_from_sheet = print.print_from_sheet();
    for spot in table.spots.iter().filter(|spot| only.is_none_or(|only| only == spot.index)) {
        if table.laid.rules.grain_of(spot.id()) != Grain::Warp || spot.part.is_facing() {
            continue;
        }
        let Some(centre) = spot.part.centre() else {
            continue;
        };
        let middle = centre.p0.midpoint(centre.p1);
        for copy in &spot.copies {
            let Some(half) = copy.halves.first() else { continue };
            let on_sheet = half.sheet_from_piece * middle;
            let mut centred = true;
            if let Ok(Some(bands)) = &bands {
                let error = bands.error(print_from_sheet * on_sheet);
                let off = error.abs() > PRINT_TOLERANCE_MM;
                // Said once: as the bar's, unless that is let pass.
                centred = !off || table.laid.rules.lets_pass_on(Rule::Centre, spot.id());
                if off {
                    let breach = off_centre(table, spot, copy, middle, error);
                    let on_print = Point::new(0.0, -error);
                    let by = (print_from_sheet.inverse() * on_print).to_vec2();
                    let words = format!("move it by {:.1} mm across the cloth", error.abs());
                    // On two plies the fold decides, and one copy can't be moved without the other.
                    found.push(if spot.under == Under::Double {
                        breach
                    } else {
                        breach.mended(words, spot.moved(by))
                    });
                }
            }
            // On two plies the fold itself was looked at; on one, the piece is its own fold.
            if copy.halves.len() < 2 || spot.under == Under::Double {
                continue;
            }
            match mirror.phase_error(on_sheet.y) {
                Some(error) if error.abs() > PRINT_TOLERANCE_MM && centred => {
                    let what = format!(
                        "the halves of {} do not agree: the print of one lies {:.1} mm off the other's mirror image",
                        name(spot.id(), copy.number),
                        error.abs()
                    );
                    let remedy = format!("move it by {:.1} mm across the cloth", 0.5 * error.abs());
                    let finding = Finding::new(Severity::Warning, what, remedy).at(middle).by_mm(error.abs());
                    let by = Vec2::new(0.0, -0.5 * error);
                    let words = format!("move it by {:.1} mm across the cloth", by.y.abs());
                    let breach = Breach::new(Rule::FoldPrint, finding).of(spot.id(), copy.number);
                    found.push(breach.mended(words, spot.moved(by)));
                }
                None if !unlike_said => {
                    unlike_said = true;
                    if let MirrorLines::Nowhere(unlike) = &mirror {
                        let what = format!(
                            "left and right of the garment can't mirror each other in print: {unlike}. The order goes \
                             round the body one way"
                        );
                        let remedy = "choose which bar or gap lies on the centre; nothing else can be done";
                        let finding = Finding::new(Severity::Note, what, remedy);
                        found.push(Breach::new(Rule::FoldPrint, finding).of(spot.id(), copy.number));
                    }
                }
                _ => {}
            }
        }
    }
}

fn off_centre(table: &Table<'_>, spot: &Spot<'_>, copy: &CopyOnSheet, middle: Point, error: f64) -> Breach {
    let on = match table.laid.rules.centre {
        CentreOn::WidestBar => "the widest bar".to_owned(),
        CentreOn::Bar(number) => format!("bar {number}"),
        CentreOn::WidestGap => "the widest gap".to_owned(),
        CentreOn::Gap(number) => format!("the gap after bar {number}"),
        CentreOn::Anything => "nothing".to_owned(),
    };
    let what = format!(
        "the centre of {} lies {:.1} mm off the middle of {on}",
        name(spot.id(), copy.number),
        error.abs()
    );
    let remedy = format!("move it by {:.1} mm across the cloth", error.abs());
    let finding = Finding::new(Severity::Warning, what, remedy).at(middle).by_mm(error.abs());
    Breach::new(Rule::Centre, finding).of(spot.id(), copy.number)
}
