//! The marks of an aim: where they are picked, how well they fit, one more, one less.

use crate::aim::{Measured, MeasuredMark};
use crate::desk::{Session, Wish, say};
use crate::floor::Action;
use crate::garment::Command;
use crate::geometry::Point;
use egui::{Grid, Ui};

/// Where further marks are lit, as parts of the picture's width and height: off the diagonals of the first four, so that
/// a wrong tape can be told, and then where the error is largest.
const FURTHER: [(f64, f64); 5] = [(0.5, 0.06), (0.5, 0.94), (0.05, 0.5), (0.95, 0.5), (0.5, 0.5)];
/// Marks from which what they are off by may be smoothed out.
const MANY: usize = 25;
/// Least marks of an aim.
const LEAST: usize = 4;

pub(super) fn ui(ui: &mut Ui, session: &mut Session, measured: &Measured, wishes: &mut Vec<Wish>) {
    let solved = session.open.aim().good.as_ref().map(|aim| aim.marks().to_vec()).unwrap_or_default();
    Grid::new("marks").num_columns(4).striped(true).show(ui, |ui| {
        for (index, mark) in measured.marks.iter().enumerate() {
            let active = session.floor.active_mark == index;
            if ui.selectable_label(active, format!("mark {}", index + 1)).clicked() {
                session.floor.active_mark = index;
            }
            say::label(ui, format!("{:.1}, {:.1} px", mark.picture.0, mark.picture.1));
            match solved.get(index) {
                Some(_) if mark.is_predicted => ui.label("guessed, not found"),
                Some(solved) => say::label(ui, format!("off {:.2} mm", solved.residual_mm)),
                None => ui.label(""),
            };
            if measured.marks.len() > LEAST
                && ui.button("out").on_hover_text("takes the mark and its tapes out").clicked()
            {
                wishes.push(Wish::of(Command::TakeAim(Box::new(without(measured, index)))));
            }
            ui.end_row();
        }
    });
    if measured.marks.len() >= MANY {
        let mut grid = measured.residual_grid;
        let words = "smooth out what the marks are off by (a table that is not quite flat)";
        if ui.checkbox(&mut grid, words).changed() {
            let measured = Measured { residual_grid: grid, ..measured.clone() };
            wishes.push(Wish::of(Command::TakeAim(Box::new(measured))));
        }
    }
    ui.horizontal_wrapped(|ui| {
        let more = further(session, measured);
        let words = "one mark more";
        let button = ui.add_enabled(more.is_some(), egui::Button::new(words));
        let hover = "it is lit where it tells most; lay its cross under the light, and tape it from two or three others";
        if button.on_hover_text(hover).clicked()
            && let Some(more) = more
        {
            wishes.push(Wish::of(Command::TakeAim(Box::new(more))));
            if !session.marks_are_lit() {
                wishes.push(Wish::Act(Action::Aiming));
            }
        }
    });
}

/// The measurement with one mark more, lit at the first of the further places that is free; its cross lies where it is
/// lit until tapes say better.
fn further(session: &Session, measured: &Measured) -> Option<Measured> {
    let aim = session.open.aim().good.as_ref()?;
    let (width, height) = (f64::from(measured.picture_size.0), f64::from(measured.picture_size.1));
    let free = |place: &Point| {
        let gaps = measured.marks.iter().map(|mark| Point::from(mark.picture).distance(*place));
        gaps.fold(f64::INFINITY, f64::min) > 0.1 * height
    };
    let places = FURTHER.iter().map(|(x, y)| Point::new(x * width, y * height));
    let place = places.into_iter().find(free)?;
    let surface = aim.surface_of(place)?;
    let mut more = measured.clone();
    for (mark, solved) in more.marks.iter_mut().zip(aim.marks()) {
        if mark.surface.is_none() {
            mark.surface = Some(solved.surface.into());
            mark.from_tapes = true;
        }
    }
    more.marks
        .push(MeasuredMark { from_tapes: true, ..MeasuredMark::new(place.into(), Some(surface.into())) });
    Some(more)
}

/// The measurement without a mark and its tapes; the others keep their order.
fn without(measured: &Measured, mark: usize) -> Measured {
    let mut less = measured.clone();
    less.marks.remove(mark);
    less.tapes.retain(|tape| tape.from != mark && tape.to != mark);
    for tape in &mut less.tapes {
        tape.from -= usize::from(tape.from > mark);
        tape.to -= usize::from(tape.to > mark);
    }
    less
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::aim::Tape;

    #[test]
    fn a_mark_goes_with_its_tapes_and_the_others_keep_theirs() {
        let marks = (0..5_u8).map(|x| MeasuredMark::new((f64::from(x), 0.0), None)).collect();
        let tapes = vec![Tape::new(0, 1, 10.0), Tape::new(1, 2, 20.0), Tape::new(4, 2, 30.0)];
        let less = without(&Measured::new((1920, 1080), marks, tapes), 1);
        assert_eq!(less.marks.iter().map(|mark| mark.picture.0).collect::<Vec<_>>(), [0.0, 2.0, 3.0, 4.0]);
        assert_eq!(less.tapes, [Tape::new(3, 1, 30.0)]);
    }
}
