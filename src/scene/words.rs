//! Words and chevrons on one copy of a piece, clear of its lines and of each other.
//!
//! The whole block (chevrons, TOP, name, note) stands together where there is room. On a narrow piece it is made
//! smaller step by step: lower chevrons, chevrons apart from the name, no note, at last the number alone; the
//! words themselves keep the height that can be read from where she stands.

use super::clear::{Taken, polygon, words_box, words_width};
use super::signs;
use super::{CopyOfPiece, Item, Layer, Meaning, Scene, Shape, Show};
use crate::geometry::{Affine, Line, Point, Rect, Vec2};
use crate::pattern::BalanceLineId;
use kurbo::Shape as _;

/// Height of a piece's name, in mm.
const NAME_HEIGHT_MM: f64 = 16.0;
/// Height of smaller words, in mm: what is read from standing height is at least so high.
const NOTE_HEIGHT_MM: f64 = 12.0;
/// Room that words want around them, in mm.
const MARGIN_MM: f64 = 4.0;

/// Adds the amounts at balance lines, the chevrons, the name and the note of a copy whose lines are in the scene
/// from item `first` on.
pub(super) fn add_words(
    scene: &mut Scene,
    copy: &CopyOfPiece<'_>,
    amounts: &[(BalanceLineId, f64)],
    show: &Show,
    first: usize,
) {
    let outline = (!show.has(Layer::SeamLines)).then(|| copy.surface_from_piece * copy.piece.outline());
    let taken = Taken::of(scene, first, outline.as_ref(), show.reading_angle, show.sign_scale);
    let mut writer = Writer { taken, scene, copy, show };
    if show.has(Layer::BalanceLines) {
        writer.amounts(amounts);
    }
    writer.blocks();
}

/// One line of a block, in the block's frame (the reader's, from the block's middle).
#[derive(Debug, Clone)]
enum BlockLine {
    Chevrons(f64),
    Words(Meaning, String, f64),
}

struct Writer<'a> {
    taken: Taken,
    scene: &'a mut Scene,
    copy: &'a CopyOfPiece<'a>,
    show: &'a Show,
}

impl Writer<'_> {
    fn push(&mut self, meaning: Meaning, shape: Shape) {
        let piece = Some(self.copy.piece.id.clone());
        self.scene.items.push(Item { meaning, piece, shape });
    }

    fn label(&mut self, meaning: Meaning, words: String, at: Point, height_mm: f64) {
        self.taken.add_box(words_box(&words, at, height_mm));
        let shape = Shape::Label {
            words,
            at: self.taken.reader_from_surface().inverse() * at,
            height_mm,
            angle: self.show.reading_angle,
        };
        self.push(meaning, shape);
    }

    /// The amount stands beside its balance line, where along it there is room.
    fn amounts(&mut self, amounts: &[(BalanceLineId, f64)]) {
        let height = NOTE_HEIGHT_MM * self.show.sign_scale;
        let reader_from_piece = self.taken.reader_from_surface() * self.copy.surface_from_piece;
        for balance in &self.copy.piece.balance_lines {
            let Some((_, amount)) = amounts.iter().find(|(id, _)| id == &balance.id) else {
                continue;
            };
            let words = format!("{amount:+.0} mm").replace('-', "−");
            let size = Vec2::new(words_width(&words, height), 1.4 * height);
            let line = reader_from_piece * balance.line;
            if let Some((place, _)) = self.taken.clearest(size, beside(line, size, 0.5 * height), MARGIN_MM) {
                self.label(Meaning::Amount, words, place - Vec2::new(0.0, 0.4 * height), height);
            }
        }
    }

    /// The first arrangement that finds room; the last one in any case.
    fn blocks(&mut self) {
        let arrangements = self.arrangements();
        let last = arrangements.len().saturating_sub(1);
        let reader_from_surface = self.taken.reader_from_surface();
        let room = polygon(&self.copy.piece.outline(), reader_from_surface * self.copy.surface_from_piece);
        let lit = self.copy.lit.map(|corners| corners.map(|corner| reader_from_surface * corner));
        for (number, blocks) in arrangements.into_iter().enumerate() {
            let mut taken = self.taken.clone();
            let mut placed = Vec::new();
            let mut has_room = true;
            for block in &blocks {
                let size = self.size_of(block);
                let Some((place, clear)) = taken.inside(&room, size, lit.as_ref()) else {
                    return;
                };
                has_room &= clear >= MARGIN_MM * self.show.sign_scale;
                taken.add_box(Rect::from_center_size(place, size.to_size()));
                placed.push(place);
            }
            if has_room || number == last {
                for (block, place) in blocks.into_iter().zip(placed) {
                    self.draw(block, place);
                }
                return;
            }
        }
    }

    /// From the fullest to the sparest. All words of a piece that has room for little are a number.
    fn arrangements(&self) -> Vec<Vec<Vec<BlockLine>>> {
        let scale = self.show.sign_scale;
        let piece = self.copy.piece;
        let has_words = self.show.has(Layer::Words);
        let arrow = |share: f64| -> Vec<BlockLine> {
            if self.copy.print_top.is_none() || !self.show.has(Layer::PrintTop) {
                return Vec::new();
            }
            vec![BlockLine::Chevrons(share * signs::HAND_MM * scale)]
        };
        let top = |share: f64| -> Vec<BlockLine> {
            let mut lines = arrow(share);
            if has_words && !lines.is_empty() {
                let word = BlockLine::Words(Meaning::PrintTop, "TOP".to_owned(), NOTE_HEIGHT_MM * scale);
                lines.push(word);
            }
            lines
        };
        let words = |name: String, height: f64, note: &str| -> Vec<BlockLine> {
            if !has_words {
                return Vec::new();
            }
            let mut lines = vec![BlockLine::Words(Meaning::PieceName, name, height * scale)];
            if !note.is_empty() {
                lines.push(BlockLine::Words(Meaning::Note, note.to_owned(), NOTE_HEIGHT_MM * scale));
            }
            lines
        };
        let name = || format!("{} {}", piece.number, piece.id);
        let whole = |share: f64| vec![[top(share), words(name(), NAME_HEIGHT_MM, self.copy.note)].concat()];
        let apart = |share: f64, below: Vec<BlockLine>| vec![top(share), below];
        let mut arrangements = vec![
            whole(1.0),
            whole(0.6),
            apart(0.6, words(name(), NAME_HEIGHT_MM, self.copy.note)),
            apart(0.4, words(name(), NOTE_HEIGHT_MM, self.copy.note)),
            apart(0.4, words(name(), NOTE_HEIGHT_MM, "")),
            apart(0.25, words(name(), NOTE_HEIGHT_MM, "")),
            apart(0.25, words(piece.number.to_string(), NOTE_HEIGHT_MM, "")),
            // A word across a line that is cut is worse than none; the arrow says it too, if need be no larger than
            // where signs are not enlarged.
            vec![arrow(0.25), words(piece.number.to_string(), NOTE_HEIGHT_MM, "")],
            vec![arrow(0.25 / scale), words(piece.number.to_string(), NOTE_HEIGHT_MM / scale, "")],
        ];
        for blocks in &mut arrangements {
            blocks.retain(|block| !block.is_empty());
        }
        arrangements
    }

    /// Width and height of a block in the reader's frame.
    fn size_of(&self, block: &[BlockLine]) -> Vec2 {
        let sizes = block.iter().map(|line| self.line_size(line));
        sizes.fold(Vec2::ZERO, |all, size| Vec2::new(all.x.max(size.x), all.y + size.y))
    }

    fn line_size(&self, line: &BlockLine) -> Vec2 {
        match line {
            BlockLine::Chevrons(height) => {
                let bounds = signs::chevrons(Point::ORIGIN, self.top(), *height).bounding_box();
                Vec2::new(bounds.width(), bounds.height() + 0.1 * height)
            }
            BlockLine::Words(_, words, height) => Vec2::new(words_width(words, *height), 1.7 * height),
        }
    }

    /// Direction of the print's top in the reader's frame.
    fn top(&self) -> Vec2 {
        let top = self.copy.print_top.unwrap_or(Vec2::new(1.0, 0.0));
        let origin = self.taken.reader_from_surface() * Point::ORIGIN;
        self.taken.reader_from_surface() * top.to_point() - origin
    }

    fn draw(&mut self, block: Vec<BlockLine>, middle: Point) {
        let mut upper = middle.y + 0.5 * self.size_of(&block).y;
        for line in block {
            let height = self.line_size(&line).y;
            match line {
                BlockLine::Chevrons(high) => {
                    let at = Point::new(middle.x, upper - 0.5 * height);
                    let path = signs::chevrons(at, self.top(), high);
                    // Chevrons are drawn about the middle of their lowest and highest points.
                    let off = at - path.bounding_box().center();
                    let surface_from_reader = self.taken.reader_from_surface().inverse();
                    let path = surface_from_reader * (Affine::translate(off) * path);
                    self.push(Meaning::PrintTop, Shape::Fill(path));
                }
                BlockLine::Words(meaning, words, high) => {
                    let at = Point::new(middle.x, upper - 1.3 * high);
                    self.label(meaning, words, at, high);
                }
            }
            upper -= height;
        }
    }
}

/// Places beside a line for the middle of a box: along it from the middle to both ends, on both sides, `gap` off.
pub(super) fn beside(line: Line, size: Vec2, gap: f64) -> Vec<Point> {
    let along = line.p1 - line.p0;
    let off = Vec2::new(along.y, -along.x) / along.hypot().max(f64::MIN_POSITIVE);
    let clear = 0.5 * (off.x.abs() * size.x + off.y.abs() * size.y) + gap;
    let shares = [0.5, 0.38, 0.62, 0.26, 0.74, 0.14, 0.86];
    shares
        .into_iter()
        .flat_map(|share| [off, -off].map(|side| line.p0.lerp(line.p1, share) + clear * side))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_beside_a_line_does_not_touch_it() {
        let line = Line::new((0.0, 0.0), (0.0, 200.0));
        for place in beside(line, Vec2::new(60.0, 16.0), 6.0) {
            assert!((place.x.abs() - 36.0).abs() < 1e-9);
        }
    }
}
