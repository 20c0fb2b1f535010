//! The commands that set text (ISO 32000-1, §9.3 and §9.4).

use super::error::PdfError;
use super::interpret::{Interpreter, numbers};
use super::lex::Operand;
use crate::geometry::Affine;
use hayro_syntax::object::Dict;
use hayro_syntax::page::Resources;

impl Interpreter<'_> {
    pub(super) fn text_command(
        &mut self,
        word: &[u8],
        operands: &[Operand<'_>],
        resources: &Resources<'_>,
    ) -> Option<()> {
        let letters = &mut self.state.letters;
        match word {
            b"BT" => self.setter.begin(),
            b"ET" => {}
            b"Tc" => letters.spacing = numbers::<1>(operands)?[0],
            b"Tw" => letters.word_spacing = numbers::<1>(operands)?[0],
            b"Tz" => letters.stretch = numbers::<1>(operands)?[0] / 100.0,
            b"TL" => letters.leading = numbers::<1>(operands)?[0],
            b"Ts" => letters.rise = numbers::<1>(operands)?[0],
            b"Tr" => letters.shown = !matches!(numbers::<1>(operands)?[0].round(), 3.0 | 7.0),
            b"Tf" => {
                let [.., Operand::Name(name), Operand::Number(size)] = operands else { return None };
                letters.size = *size;
                let font = resources.fonts.get::<Dict<'_>>(&**name);
                letters.font = font.map(|dict| self.shared.font(&dict));
            }
            b"Td" => {
                let [x, y] = numbers(operands)?;
                self.setter.next_line(x, y);
            }
            b"TD" => {
                let [x, y] = numbers(operands)?;
                letters.leading = -y;
                self.setter.next_line(x, y);
            }
            b"Tm" => self.setter.set_matrix(Affine::new(numbers::<6>(operands)?)),
            b"T*" => self.setter.next_line(0.0, -letters.leading),
            _ => return None,
        }
        Some(())
    }

    pub(super) fn show(&mut self, word: &[u8], operands: &[Operand<'_>]) -> Result<Option<()>, PdfError> {
        if matches!(word, b"'" | b"\"") {
            if let (b"\"", [.., Operand::Number(word_spacing), Operand::Number(spacing), _]) =
                (word, operands)
            {
                self.state.letters.word_spacing = *word_spacing;
                self.state.letters.spacing = *spacing;
            }
            self.setter.next_line(0.0, -self.state.letters.leading);
        }
        let Some(font) = self.state.letters.font.clone() else { return Ok(Some(())) };
        let single;
        let parts = match operands.last() {
            Some(Operand::Array(parts)) if word == b"TJ" => &parts[..],
            Some(text @ Operand::Text(_)) => {
                single = [text.clone()];
                &single[..]
            }
            _ => return Ok(None),
        };
        for part in parts {
            match part {
                Operand::Number(back) => self.setter.step(&self.state, *back),
                Operand::Text(text) => {
                    self.shared.budget.letters(text.len())?;
                    let margin = self.state.letters.size.abs() * self.state.scale();
                    let place = self.setter.place(&self.state);
                    if self.state.letters.shown
                        && self.state.clips.hide(place, margin, &mut self.shared.budget)
                    {
                        self.drawn.clipped_words += 1;
                        // What comes after it may show, and goes on with nothing.
                        self.setter.show(&self.state, &font, text, 0, &mut Vec::new());
                        self.setter.break_off();
                    } else if self.state.letters.shown {
                        let layers = self.drawn.layers_here();
                        for layer in layers.iter().take(1) {
                            self.setter.show(&self.state, &font, text, *layer, &mut self.drawn.words);
                        }
                    }
                }
                _ => {}
            }
        }
        Ok(Some(()))
    }
}
