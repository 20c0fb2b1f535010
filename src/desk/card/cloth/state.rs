//! What a metre costs, how much the cloth shrinks and whether it has, and how far its weft runs off square.

use super::field;
use crate::cloth::{Cloth, Cost, MOST_SHEAR_PERCENT, Shear};
use crate::desk::{Typing, say, theme};
use crate::geometry::Length;
use crate::pattern::ClothKind;
use egui::{Grid, Ui};

/// Numbers beyond this are slips of the hand, whatever they count.
const LARGEST_NUMBER: f64 = 1e6;

fn number(text: &str) -> Option<f64> {
    let plain = text.trim().replace('−', "-").replace(',', ".");
    plain.parse().ok().filter(|number: &f64| number.abs() <= LARGEST_NUMBER)
}

/// “4 %”
fn percent(text: &str) -> Result<f64, String> {
    let bare = text.trim().trim_end_matches('%');
    number(bare).ok_or_else(|| format!("“{}” is no percentage. Write it as 4 or 2.5 %", text.trim()))
}

/// “18.50 EUR”, a number and what it counts; nothing for no cost.
fn money(text: &str, currency: &str) -> Result<Option<Cost>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let is_digit = |letter: char| letter.is_ascii_digit() || matches!(letter, '.' | ',' | '-' | '−');
    let amount: String = text.chars().filter(|letter| is_digit(*letter)).collect();
    let counts: String = text.chars().filter(|letter| !is_digit(*letter)).collect();
    let amount =
        number(&amount).ok_or_else(|| format!("“{text}” is no cost. Write it as 18.50 and the currency"))?;
    let counts = counts.trim();
    let currency = if counts.is_empty() { currency } else { counts };
    Ok(Some(Cost { amount, currency: currency.to_owned() }))
}

pub(super) fn cost(ui: &mut Ui, typing: &mut Typing, kind: ClothKind, cloth: &mut Cloth) {
    let label = ui.label("a metre costs").id;
    let known = cloth.cost_per_metre.clone();
    let shown = known.as_ref().map(ToString::to_string).unwrap_or_default();
    let currency = known.map(|cost| cost.currency).unwrap_or_default();
    let read = |text: &str| money(text, &currency);
    if let Some(cost) = typing.reading(ui, &field(kind, "cost"), label, &shown, read) {
        cloth.cost_per_metre = cost;
    }
}

pub(super) fn ui(ui: &mut Ui, typing: &mut Typing, kind: ClothKind, cloth: &mut Cloth) {
    let mut shrinkage = cloth.shrinkage;
    Grid::new("shrinkage").num_columns(3).show(ui, |ui| {
        let both = [
            ("shrinks along it by", &mut shrinkage.along_percent),
            ("shrinks across it by", &mut shrinkage.across_percent),
        ];
        for (words, value) in both {
            let label = say::label(ui, words).id;
            let shown = format!("{value} %");
            *value = typing.reading(ui, &field(kind, words), label, &shown, percent).unwrap_or(*value);
            ui.end_row();
        }
    });
    ui.checkbox(&mut shrinkage.pre_shrunk, "pre-shrunk, as it will be laundered");
    cloth.shrinkage = shrinkage;
    let Some(mut shear) = cloth.shear.clone() else {
        if ui.button("measure whether its weft is square").clicked() {
            cloth.shear = Some(Shear { off: Length::from_mm(0.0), over: cloth.width.clone() });
        }
        return;
    };
    ui.label("Follow a pulled thread, or a woven bar, from selvedge to selvedge; never a printed line.");
    Grid::new("shear").num_columns(3).show(ui, |ui| {
        let label = ui.label("it arrives off square by").id;
        let off = typing.length(ui, &field(kind, "shear off"), label, &shear.off);
        shear.off = off.unwrap_or_else(|| shear.off.clone());
        ui.end_row();
        let label = ui.label("followed over").id;
        let over = typing.size(ui, &field(kind, "shear over"), label, &shear.over);
        shear.over = over.unwrap_or_else(|| shear.over.clone());
        ui.end_row();
    });
    match shear.percent().map(f64::abs) {
        Some(percent) if percent > MOST_SHEAR_PERCENT => {
            let words = format!("{percent:.1} % off square: straighten it before it is cut.");
            ui.colored_label(theme::warning(ui), words);
        }
        Some(percent) => drop(say::label(ui, format!("{percent:.1} % off square, and up to 1 % is let be."))),
        None => {}
    }
    let strike = ui.button("not measured").clicked();
    cloth.shear = (!strike).then_some(shear);
    if strike {
        typing.forget_all(&field(kind, "shear"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cost_is_a_number_and_what_it_counts() {
        let cost = |text| money(text, "EUR");
        let said = |amount, currency: &str| Ok(Some(Cost { amount, currency: currency.to_owned() }));
        assert_eq!(cost("18.50"), said(18.5, "EUR"));
        assert_eq!(cost("£ 12,30"), said(12.3, "£"));
        assert_eq!(cost("7 kroner"), said(7.0, "kroner"));
        assert_eq!(cost(" "), Ok(None));
        assert!(cost("dear").is_err() && cost("1.2.3").is_err());
        assert_eq!((percent("2,5 %"), percent("-1")), (Ok(2.5), Ok(-1.0)));
        assert!(percent("much").is_err() && percent("1e300").is_err() && percent("NaN").is_err());
    }
}
