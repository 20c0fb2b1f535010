//! Pages on their way from the process that reads to the one that asked.
//!
//! Every message is a byte that says what it is, its length in four bytes and its content; numbers are little-endian,
//! lists and texts begin with their length. The reader trusts nothing: a damaged file may have damaged the sender.

use super::super::drawing::{Arrows, Look, Stroke, Words};
use super::error::PdfError;
use super::page::{Page, PageLayer, PageLine};
use crate::finding::{Finding, Severity};
use crate::geometry::{Curve, Point, Rect, Segment};
use kurbo::{CubicBez, Line};
use std::io::{Read, Write};

/// Longest message, in bytes: the most lines that a file may have fit into it.
const LONGEST: u32 = 1024 * 1024 * 1024;

/// What is sent.
#[derive(Debug, PartialEq)]
pub(super) enum Message {
    Page(Box<Page>),
    Failed(PdfError),
    Done,
}

/// Sends a message.
pub(super) fn send(to: &mut impl Write, message: &Message) -> std::io::Result<()> {
    let mut content = Vec::new();
    let kind = match message {
        Message::Page(page) => {
            put_page(&mut content, page);
            1
        }
        Message::Failed(error) => {
            content.push(match error {
                PdfError::Empty => 1,
                PdfError::TooLarge => 2,
                PdfError::Locked => 3,
                PdfError::UnknownLock => 4,
                PdfError::NoPages => 5,
                _ => 0,
            });
            put_text(&mut content, &error.to_string());
            2
        }
        Message::Done => 3,
    };
    let length = u32::try_from(content.len()).ok().filter(|length| *length <= LONGEST);
    let length = length.ok_or_else(|| std::io::Error::other("a page is too large to be handed over"))?;
    to.write_all(&[kind])?;
    to.write_all(&length.to_le_bytes())?;
    to.write_all(&content)
}

/// Receives a message; none at the end of what comes.
pub(super) fn receive(from: &mut impl Read) -> Result<Option<Message>, PdfError> {
    let mut head = [0; 5];
    match from.read_exact(&mut head) {
        Ok(()) => {}
        Err(_) => return Ok(None),
    }
    let length = u32::from_le_bytes([head[1], head[2], head[3], head[4]]);
    if length > LONGEST {
        return Err(PdfError::Garbled("a message is too long"));
    }
    let mut content = Vec::new();
    let read = from.take(u64::from(length)).read_to_end(&mut content);
    if read.ok() != usize::try_from(length).ok() {
        return Ok(None);
    }
    let mut content = Content { bytes: &content };
    let message = match head[0] {
        1 => content.page().map(|page| Message::Page(Box::new(page))),
        2 => content.error().map(Message::Failed),
        3 => Some(Message::Done),
        _ => None,
    };
    message.map(Some).ok_or(PdfError::Garbled("a message is cut short"))
}

fn put_count(to: &mut Vec<u8>, count: usize) {
    to.extend(u32::try_from(count).unwrap_or(u32::MAX).to_le_bytes());
}

fn put_text(to: &mut Vec<u8>, text: &str) {
    put_count(to, text.len());
    to.extend(text.as_bytes());
}

fn put_numbers(to: &mut Vec<u8>, numbers: &[f64]) {
    for number in numbers {
        to.extend(number.to_le_bytes());
    }
}

fn put_points(to: &mut Vec<u8>, points: &[Point]) {
    for point in points {
        put_numbers(to, &[point.x, point.y]);
    }
}

fn put_rect(to: &mut Vec<u8>, rect: Rect) {
    put_numbers(to, &[rect.x0, rect.y0, rect.x1, rect.y1]);
}

fn put_page(to: &mut Vec<u8>, page: &Page) {
    put_count(to, page.number);
    put_rect(to, page.frame);
    put_count(to, page.layers.len());
    for layer in &page.layers {
        to.extend(layer.object.to_le_bytes());
        put_count(to, layer.parent.map_or(0, |parent| parent + 1));
        to.push(u8::from(layer.hidden) + 2 * u8::from(layer.name.is_some()));
        put_text(to, layer.name.as_deref().unwrap_or_default());
    }
    put_count(to, page.lines.len());
    for line in &page.lines {
        put_count(to, line.layer);
        to.push(u8::from(line.window.is_some()) + 2 * u8::from(line.stroke.closed));
        if let Some(window) = line.window {
            put_rect(to, window);
        }
        put_look(to, &line.stroke.look);
        put_curve(to, &line.stroke.curve);
    }
    put_count(to, page.words.len());
    for (layer, words) in &page.words {
        put_count(to, *layer);
        put_text(to, &words.words);
        put_numbers(to, &[words.at.x, words.at.y, words.height_mm, words.along.x, words.along.y]);
    }
    put_count(to, page.findings.len());
    for finding in &page.findings {
        to.push(match finding.severity {
            Severity::Note => 0,
            Severity::Warning => 1,
            Severity::Stop => 2,
        });
        put_text(to, &finding.what);
        put_text(to, &finding.remedy);
    }
}

fn put_look(to: &mut Vec<u8>, look: &Look) {
    to.push(u8::from(look.colour.is_some()) + 2 * u8::from(look.fill.is_some()));
    to.extend(look.colour.unwrap_or_default());
    to.extend(look.fill.unwrap_or_default());
    to.extend(look.width.to_le_bytes());
    put_count(to, look.dashes.len());
    for dash in &look.dashes {
        to.extend(dash.to_le_bytes());
    }
}

/// The start, then each segment without it. (A page has no arcs.)
fn put_curve(to: &mut Vec<u8>, curve: &Curve) {
    put_count(to, curve.segments().len());
    put_points(to, &[curve.start()]);
    for segment in curve.segments() {
        match segment {
            Segment::Line(line) => {
                to.push(0);
                put_points(to, &[line.p1]);
            }
            Segment::Cubic(cubic) => {
                to.push(1);
                put_points(to, &[cubic.p1, cubic.p2, cubic.p3]);
            }
            Segment::Arc(_) => {
                to.push(0);
                put_points(to, &[segment.end()]);
            }
        }
    }
}

/// What is left of a message; everything answers none when it is cut short or makes no sense.
struct Content<'a> {
    bytes: &'a [u8],
}

impl Content<'_> {
    fn take(&mut self, count: usize) -> Option<&[u8]> {
        let (taken, rest) = self.bytes.split_at_checked(count)?;
        self.bytes = rest;
        Some(taken)
    }

    fn byte(&mut self) -> Option<u8> {
        self.take(1).map(|taken| taken[0])
    }

    fn whole(&mut self) -> Option<u32> {
        self.take(4)?.try_into().ok().map(u32::from_le_bytes)
    }

    fn index(&mut self) -> Option<usize> {
        usize::try_from(self.whole()?).ok()
    }

    /// How many things come; each takes at least `size` bytes, so that no lie asks for memory.
    fn count(&mut self, size: usize) -> Option<usize> {
        self.index().filter(|count| count.checked_mul(size).is_some_and(|bytes| bytes <= self.bytes.len()))
    }

    fn number(&mut self) -> Option<f64> {
        let number = f64::from_le_bytes(self.take(8)?.try_into().ok()?);
        number.is_finite().then_some(number)
    }

    fn point(&mut self) -> Option<Point> {
        Some(Point::new(self.number()?, self.number()?))
    }

    fn rect(&mut self) -> Option<Rect> {
        Some(Rect::new(self.number()?, self.number()?, self.number()?, self.number()?))
    }

    fn text(&mut self) -> Option<String> {
        let length = self.count(1)?;
        String::from_utf8(self.take(length)?.to_vec()).ok()
    }

    fn colour(&mut self) -> Option<[u8; 3]> {
        self.take(3)?.try_into().ok()
    }

    fn list<T>(&mut self, size: usize, mut one: impl FnMut(&mut Self) -> Option<T>) -> Option<Vec<T>> {
        let count = self.count(size)?;
        let mut all = Vec::with_capacity(count);
        for _ in 0..count {
            all.push(one(self)?);
        }
        Some(all)
    }

    fn page(&mut self) -> Option<Page> {
        let number = self.index()?;
        let frame = self.rect()?;
        let mut known = 0;
        let layers = self.list(13, |content| {
            known += 1;
            content.layer(known)
        })?;
        let lines = self.list(26, |content| content.line(layers.len()))?;
        let words = self.list(48, |content| {
            let layer = content.index().filter(|layer| *layer < layers.len())?;
            let words = content.text()?;
            let (at, height_mm) = (content.point()?, content.number()?);
            Some((layer, Words { words, at, height_mm, along: content.point()?.to_vec2() }))
        })?;
        let findings = self.list(9, |content| {
            let severity = match content.byte()? {
                0 => Severity::Note,
                1 => Severity::Warning,
                _ => Severity::Stop,
            };
            Some(Finding::new(severity, content.text()?, content.text()?))
        })?;
        Some(Page { number, frame, layers, lines, words, findings })
    }

    fn layer(&mut self, known: usize) -> Option<PageLayer> {
        let object = self.whole()?;
        let parent = self.index()?.checked_sub(1);
        let marks = self.byte()?;
        let name = self.text()?;
        // Parents stand before their children.
        if parent.is_some_and(|parent| parent + 1 >= known) {
            return None;
        }
        Some(PageLayer { object, name: (marks & 2 != 0).then_some(name), parent, hidden: marks & 1 != 0 })
    }

    fn line(&mut self, layers: usize) -> Option<PageLine> {
        let layer = self.index().filter(|layer| *layer < layers)?;
        let marks = self.byte()?;
        let window = if marks & 1 == 0 { None } else { Some(self.rect()?) };
        let look = self.look()?;
        let curve = self.curve()?;
        let (name, tags, part, closed) = (None, String::new(), None, marks & 2 != 0);
        let stroke = Stroke { name, tags, part, curve, closed, look, arrows: Arrows::default() };
        Some(PageLine { layer, stroke, window })
    }

    fn look(&mut self) -> Option<Look> {
        let marks = self.byte()?;
        let (colour, fill) = (self.colour()?, self.colour()?);
        Some(Look {
            colour: (marks & 1 != 0).then_some(colour),
            fill: (marks & 2 != 0).then_some(fill),
            width: self.whole()?,
            dashes: self.list(4, Self::whole)?,
        })
    }

    fn curve(&mut self) -> Option<Curve> {
        let count = self.count(17)?;
        let mut at = self.point()?;
        let mut segments = Vec::with_capacity(count);
        for _ in 0..count {
            // The point itself, not the segment at 1: that differs in the last digit.
            let (segment, to) = match self.byte()? {
                0 => {
                    let to = self.point()?;
                    (Segment::Line(Line::new(at, to)), to)
                }
                1 => {
                    let (first, second, to) = (self.point()?, self.point()?, self.point()?);
                    (Segment::Cubic(CubicBez::new(at, first, second, to)), to)
                }
                _ => return None,
            };
            at = to;
            segments.push(segment);
        }
        Curve::new(segments).ok()
    }

    fn error(&mut self) -> Option<PdfError> {
        let kind = self.byte()?;
        let text = self.text()?;
        Some(match kind {
            1 => PdfError::Empty,
            2 => PdfError::TooLarge,
            3 => PdfError::Locked,
            4 => PdfError::UnknownLock,
            5 => PdfError::NoPages,
            _ => PdfError::Said(text),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Vec2;
    use proptest::prelude::*;

    fn page() -> Page {
        let curve = Curve::new(vec![
            Segment::line(Point::new(1.0, 2.0), Point::new(3.0, 4.0)),
            Segment::Cubic(CubicBez::new((3.0, 4.0), (5.0, 6.0), (7.0, 8.0), (9.0, 1.0))),
        ]);
        let look = Look { colour: Some([1, 2, 3]), width: 50, dashes: vec![30, 10], fill: None };
        let (name, tags, part) = (None, String::new(), None);
        let curve = curve.unwrap();
        let stroke = Stroke { name, tags, part, curve, closed: true, look, arrows: Arrows::default() };
        let (words, at, along) = ("back".to_owned(), Point::new(1.0, 1.0), Vec2::new(0.6, 0.8));
        let back = Words { words, at, height_mm: 4.0, along };
        let inside =
            PageLayer { object: 7, name: Some("Größe 38".to_owned()), parent: Some(0), hidden: true };
        Page {
            number: 3,
            frame: Rect::new(0.0, 0.0, 210.0, 297.0),
            layers: vec![PageLayer::default(), inside],
            lines: vec![
                PageLine { layer: 1, stroke: stroke.clone(), window: None },
                PageLine { layer: 0, stroke, window: Some(Rect::new(0.0, 0.0, 5.0, 5.0)) },
            ],
            words: vec![(1, back)],
            findings: vec![Finding::new(Severity::Warning, "what", "remedy")],
        }
    }

    fn sent(message: &Message) -> Vec<u8> {
        let mut bytes = Vec::new();
        send(&mut bytes, message).unwrap();
        bytes
    }

    #[test]
    fn what_is_sent_is_received() {
        for message in [
            Message::Page(Box::new(page())),
            Message::Failed(PdfError::Locked),
            Message::Failed(PdfError::Said("a".to_owned())),
            Message::Done,
        ] {
            assert_eq!(receive(&mut &sent(&message)[..]), Ok(Some(message)));
        }
        assert_eq!(receive(&mut &[][..]), Ok(None));
    }

    proptest! {
        #[test]
        fn a_damaged_message_is_refused_or_read_and_harms_nobody(
            at in any::<prop::sample::Index>(), value in any::<u8>(), length in any::<prop::sample::Index>()
        ) {
            let mut bytes = sent(&Message::Page(Box::new(page())));
            let place = at.index(bytes.len());
            bytes[place] = value;
            bytes.truncate(length.index(bytes.len()) + 1);
            if let Ok(Some(Message::Page(page))) = receive(&mut &bytes[..]) {
                prop_assert!(page.lines.iter().all(|line| line.layer < page.layers.len()));
                prop_assert!(page.words.iter().all(|(layer, _)| *layer < page.layers.len()));
            }
        }
    }
}
