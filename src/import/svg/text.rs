//! Words on the drawing.

use super::document::svg_name;
use super::look::{Look, Sheets};
use crate::geometry::{Affine, Point, Vec2};
use crate::import::Words;
use crate::import::placed::direction;
use roxmltree::Node;

/// Height of a capital as part of the letters' size: about 0.7 in most faces (from memory).
const CAPITAL: f64 = 0.7;

/// The words of a text element; spans that begin at a place of their own are words of their own.
pub(super) fn words_of(node: Node<'_, '_>, look: Look, mm_from_user: Affine, sheets: &Sheets) -> Vec<Words> {
    let mut found: Vec<Words> = Vec::new();
    let first = |node: Node<'_, '_>, name: &str| -> Option<f64> {
        let text = node.attribute(name)?;
        let number = text.split([' ', ',']).find(|part| !part.is_empty())?;
        let number: f64 = number.trim_end_matches("px").parse().ok()?;
        number.is_finite().then_some(number)
    };
    let start = Point::new(first(node, "x").unwrap_or(0.0), first(node, "y").unwrap_or(0.0));
    let mut at = start;
    let mut fresh = true;
    for part in node.descendants() {
        if part != node && matches!(svg_name(part), Some("tspan")) {
            let moved = ["x", "y", "dy"].iter().any(|name| part.attribute(*name).is_some());
            if moved {
                at = Point::new(
                    first(part, "x").unwrap_or(at.x),
                    first(part, "y").unwrap_or(at.y) + first(part, "dy").unwrap_or(0.0),
                );
                fresh = true;
            }
            continue;
        }
        let inside_title =
            part.parent().is_some_and(|parent| matches!(svg_name(parent), Some("title" | "desc")));
        let Some(text) = part.text().filter(|_| part.is_text() && !inside_title) else {
            continue;
        };
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        if text.is_empty() {
            continue;
        }
        let look =
            part.parent().filter(|parent| *parent != node).map_or(look, |span| look.inside(span, sheets));
        if !look.visible {
            continue;
        }
        match found.last_mut().filter(|_| !fresh) {
            Some(words) => {
                words.words.push(' ');
                words.words.push_str(&text);
            }
            None => found.push(Words {
                words: text,
                at: mm_from_user * at,
                height_mm: CAPITAL * look.font_size * mm_from_user.determinant().abs().sqrt(),
                along: direction(mm_from_user, Vec2::new(1.0, 0.0)),
            }),
        }
        fresh = false;
    }
    found
}
