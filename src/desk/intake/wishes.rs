//! What is wished for at a drawing that is becoming a pattern.

use super::Intake;
use crate::desk::session::DeskView;
use crate::desk::{LayFinder, Session, Stop, Wish};
use crate::geometry::Vec2;

impl Session {
    /// Does a wish about a drawing.
    ///
    /// # Errors
    /// In words.
    pub(in crate::desk) fn drawing_wish(&mut self, wish: &Wish) -> Result<(), String> {
        if let Wish::OpenDrawing(paths) = wish {
            self.desk.intake = Some(Intake::open(paths.clone(), self.desk.pdf_reader.clone()));
            self.desk.looks.fit(Stop::Pattern);
            return Ok(());
        }
        let Some(intake) = &mut self.desk.intake else {
            return Err("there is no drawing; open one at the stop Pattern".to_owned());
        };
        let kept = match wish {
            Wish::Correct(correction) => intake.correct(correction.as_ref().clone()),
            Wish::NudgePage(right_mm, up_mm) => intake.nudge(Vec2::new(*right_mm, *up_mm)),
            Wish::TakeBack => intake.take_back(),
            Wish::TakePieces => return self.take_pieces(),
            Wish::StopReading => {
                intake.stop();
                Ok(())
            }
            _ => {
                intake.stop();
                self.desk.intake = None;
                self.desk.looks.fit(Stop::Pattern);
                Ok(())
            }
        };
        kept.map_err(|error| error.to_string())
    }

    /// Whether the arrows move a page of the drawing at the desk.
    #[must_use]
    pub fn moves_a_page(&self) -> bool {
        let picked = self.desk.intake.as_ref().and_then(Intake::picked_page);
        self.desk.stop == Stop::Pattern && picked.is_some()
    }

    /// Opens a garment with the pieces of the drawing, once what is open is safe.
    fn take_pieces(&mut self) -> Result<(), String> {
        let unsaved = self.open.revision() > 0 && !self.open.is_saved();
        if unsaved {
            if self.open.path().is_none() {
                return Err("the garment that is open is in no file; keep a copy of it first".to_owned());
            }
            self.save().map_err(|error| error.to_string())?;
        }
        let Some(intake) = &self.desk.intake else { return Ok(()) };
        // The aims go with the projector, and the measurements with the person: neither changes with the pattern.
        let aims = self.open.garment().aims.clone();
        let wearer = self.open.plan().wearer.clone();
        self.open = intake.take_pieces(aims, wearer)?;
        // What was sought for the other garment fits this one in nothing; dropped, the search ends.
        self.lay_finder = LayFinder::default();
        let DeskView { stop, preferred, pdf_reader, .. } = self.desk.clone();
        self.desk = DeskView { stop, preferred, pdf_reader, ..DeskView::new() };
        self.floor.only = None;
        self.floor.rehearsing = false;
        self.floor.pointed = None;
        self.saved_at = Some(jiff::Zoned::now());
        Ok(())
    }
}
