//! The cloth itself on the board: its ground and its bars in their colours, under or over the board's picture.
//!
//! The projector can't light a print, so the scene has only its nodes. On a dark board the print lies dimmed under
//! the picture, which is light added to it, as on the real cloth; in a bright room it tints the paper.

use super::hold::Board;
use crate::cloth::{Bars, Cloth, Ply, Print};
use crate::desk::flaw::sheet_from_table;
use crate::desk::{Look, Session, Stop};
use crate::geometry::{Affine, Point, Rect};
use egui::{Color32, Pos2, Shape, Stroke, Ui};

/// Share of a colour on a dark board: lines are still the brightest on a white cloth.
const DIMMED: f32 = 0.4;
/// How far ground and bars cover what lies under them, on a dark board.
const COVER_DARK: (f32, f32) = (1.0, 0.75);
/// The same over dark lines on paper.
const COVER_BRIGHT: (f32, f32) = (0.08, 0.18);
/// A repeat narrower than this on the screen is a tint, in px.
const LEAST_REPEAT_PX: f64 = 3.0;
/// More bars are not drawn: they are threads.
const MOST_BARS: usize = 3000;

pub(super) fn paint(ui: &Ui, session: &Session, look: &Look, board: &Board) {
    if !matches!(session.desk.stop, Stop::Cloth | Stop::Lay) {
        return;
    }
    let Some(cloth) = session.open.plan().cloth() else { return };
    let surface_from_table = session.open.stand().surface_from_cloth();
    let painter = ui.painter_at(board.rect);
    let bright = session.desk.preferred.bright_room;
    let (ground, over) = if bright { COVER_BRIGHT } else { COVER_DARK };
    let seen = |on_table: Point| board.pos_of(look.px_of(surface_from_table * on_table, board.size));
    let fill = |corners: &[Point], colour: [u8; 3], cover: f32| {
        if corners.len() >= 3 {
            let [red, green, blue] = colour;
            let own = Color32::from_rgb(red, green, blue);
            let own = if bright { own } else { Color32::BLACK.lerp_to_gamma(own, DIMMED) };
            let colour = own.gamma_multiply(cover);
            let corners: Vec<Pos2> = corners.iter().map(|corner| seen(*corner)).collect();
            painter.add(Shape::convex_polygon(corners, colour, Stroke::NONE));
        }
    };
    let extent = cloth.extent();
    fill(&corners(extent), cloth.colour.0, ground);
    let Some(print) = cloth.sound_print() else { return };
    for (area, ply) in seen_areas(cloth) {
        for (bars, along) in [(&print.lengthwise, true), (&print.crosswise, false)] {
            let Some(bars) = bars.as_ref().filter(|bars| bars.is_sound()) else { continue };
            if bars.period_mm() * look.px_per_mm < LEAST_REPEAT_PX {
                continue;
            }
            for (stretch, colour) in stretches(bars, print, &ply, area, along) {
                let table_from_print = (print.print_from_sheet() * ply.sheet_from_table).inverse();
                let on_table: Vec<Point> = corners(stretch).iter().map(|at| table_from_print * *at).collect();
                fill(&within(on_table, area), colour, over);
            }
        }
    }
}

/// The parts of the table with the ply that is seen there.
fn seen_areas(cloth: &Cloth) -> Vec<(Rect, Ply)> {
    let plies = cloth.plies();
    let extent = cloth.extent();
    let Some(double) = cloth.double_area() else {
        return plies.first().map(|ply| (extent, *ply)).into_iter().collect();
    };
    // Beyond what is folded over lies a single ply.
    let single = Rect::new(extent.x0, double.y1, extent.x1, extent.y1);
    let single =
        if double.x1 < extent.x1 { Rect::new(double.x1, extent.y0, extent.x1, extent.y1) } else { single };
    [double, single]
        .into_iter()
        .filter(|area| area.area() > 0.0)
        .filter_map(|area| {
            let ply = sheet_from_table(cloth, area.center());
            plies.iter().find(|known| known.sheet_from_table == ply).map(|known| (area, *known))
        })
        .collect()
}

/// The bars over an area of the table, on the print before it was turned, with their colours.
fn stretches(bars: &Bars, print: &Print, ply: &Ply, area: Rect, along: bool) -> Vec<(Rect, [u8; 3])> {
    let on_print: Affine = print.print_from_sheet() * ply.sheet_from_table;
    let around = on_print.transform_rect_bbox(area);
    let (from, to) = if along { (around.y0, around.y1) } else { (around.x0, around.x1) };
    let period = bars.period_mm();
    let sum = bars.sum_mm();
    let stretch = if sum > 0.0 { period / sum } else { 1.0 };
    let mut start = bars.start_mm + ((from - bars.start_mm) / period).floor() * period;
    let mut all = Vec::new();
    while start < to && all.len() < MOST_BARS {
        let mut at = start;
        for bar in &bars.bars {
            let end = at + stretch * bar.width_mm;
            let lies = if along {
                Rect::new(around.x0, at, around.x1, end)
            } else {
                Rect::new(at, around.y0, end, around.y1)
            };
            all.push((lies, bar.colour.0));
            at = end + stretch * bar.gap_mm;
        }
        start += period;
    }
    all
}

fn corners(rect: Rect) -> [Point; 4] {
    [(rect.x0, rect.y0), (rect.x1, rect.y0), (rect.x1, rect.y1), (rect.x0, rect.y1)].map(Point::from)
}

/// What of a convex outline lies in a rectangle (after Sutherland and Hodgman, *Reentrant polygon clipping*,
/// Communications of the ACM 17, 1974).
fn within(outline: Vec<Point>, area: Rect) -> Vec<Point> {
    type Off = fn(Point, Rect) -> f64;
    let sides: [Off; 4] = [
        |at, area| at.x - area.x0,
        |at, area| area.x1 - at.x,
        |at, area| at.y - area.y0,
        |at, area| area.y1 - at.y,
    ];
    sides.into_iter().fold(outline, |outline, off| {
        let next = outline.iter().cycle().skip(1);
        let pairs = outline.iter().zip(next);
        let kept = pairs.flat_map(|(&from, &to)| {
            let (a, b) = (off(from, area), off(to, area));
            let here = (a >= 0.0).then_some(from);
            let crossed = ((a < 0.0) != (b < 0.0)).then(|| from.lerp(to, a / (a - b)));
            here.into_iter().chain(crossed)
        });
        kept.collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slanting_bar_ends_at_the_edges_of_the_cloth() {
        let area = Rect::new(0.0, 0.0, 100.0, 50.0);
        let slanting =
            [(-50.0, -10.0), (150.0, 40.0), (150.0, 60.0), (-50.0, 10.0)].map(Point::from).to_vec();
        let kept = within(slanting, area);
        assert!(kept.len() >= 4);
        assert!(kept.iter().all(|at| area.inflate(1e-9, 1e-9).contains(*at)), "{kept:?}");
        assert!(within(vec![Point::new(200.0, 0.0); 3], area).is_empty());
    }
}
