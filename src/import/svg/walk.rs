//! The document from the outermost element inwards, without recursion.

use super::super::Options;
use super::super::drawing::{Drawing, Group, Stroke};
use super::super::placed::{Unplaced, on_cloth, placed};
use super::document::{is_wrapping, name_of, parse, place_of, svg_name, tags_of};
use super::error::SvgError;
use super::flood::Cloned;
use super::look::{Look, Sheets, property};
use super::path::Run;
use super::scale::{Sheet, aspect, bad_value, sheet_of, view_box, viewport};
use super::shape::Measures;
use super::text::words_of;
use crate::finding::{Finding, Severity};
use crate::geometry::tolerance::FIT_MM;
use crate::geometry::{Affine, Curve, Vec2};
use roxmltree::Node;
use std::collections::BTreeMap;
use std::str::FromStr as _;

/// Most clones that a drawing may have.
const MOST_CLONES: usize = 100_000;

/// Most shapes, words and groups that a drawing may have, clones counted.
const MOST_ELEMENTS: usize = 1_000_000;

/// Most segments of lines, clones counted, and most letters of one path; memory for them stays below 800 MB.
const MOST_SEGMENTS: usize = 4_000_000;
const LONGEST_PATH: usize = 16 * 1024 * 1024;

/// Clones of clones deeper than this hold themselves.
const DEEPEST_CLONE: usize = 32;

/// What is still to be read: an element, and what it inherits.
struct Todo<'a, 'input> {
    node: Node<'a, 'input>,
    mm_from_user: Affine,
    look: Look,
    group: usize,
    clones: usize,
    /// Size that a clone gives to the symbol or drawing that it shows.
    size: [Option<f64>; 2],
    /// Where the clone stands, for its own name and style.
    clone_of: Option<Node<'a, 'input>>,
}

/// What was passed over, to be told once.
#[derive(Default)]
struct Passed {
    hidden: usize,
    clips: usize,
    others: BTreeMap<&'static str, usize>,
}

struct Walk<'a, 'input> {
    drawing: Drawing,
    sheets: Sheets,
    measures: Measures,
    by_id: BTreeMap<&'a str, Node<'a, 'input>>,
    todo: Vec<Todo<'a, 'input>>,
    passed: Passed,
    clones: usize,
    cloned: Cloned,
    elements: usize,
    segments: usize,
}

/// The drawing of an SVG text.
pub(super) fn drawing_of(
    text: &str,
    options: &Options,
    findings: &mut Vec<Finding>,
) -> Result<Drawing, SvgError> {
    let document = parse(text)?;
    let root = document.root_element();
    let Sheet { mm_from_user, page, extent } = sheet_of(root, options, findings)?;
    let scale = mm_from_user.determinant().abs().sqrt();
    let mut by_id = BTreeMap::new();
    for node in document.descendants() {
        if let Some(id) = node.attribute("id") {
            by_id.entry(id).or_insert(node);
        }
    }
    let title = root.children().find(|child| svg_name(*child) == Some("title"));
    let mut walk = Walk {
        drawing: Drawing {
            title: title.and_then(|title| title.text()).map(|title| title.trim().to_owned()),
            page,
            groups: vec![Group::default()],
            ..Drawing::default()
        },
        sheets: Sheets::of(&document),
        measures: Measures { extent, accuracy: FIT_MM / scale.max(f64::MIN_POSITIVE) },
        by_id,
        todo: Vec::new(),
        passed: Passed::default(),
        clones: 0,
        cloned: Cloned::default(),
        elements: 0,
        segments: 0,
    };
    let look = Look::default().inside(root, &walk.sheets);
    walk.children(root, mm_from_user, look, 0, 0);
    while let Some(todo) = walk.todo.pop() {
        walk.element(todo)?;
    }
    walk.tell(findings);
    Ok(walk.drawing)
}

impl<'a, 'input> Walk<'a, 'input> {
    /// Puts the children of an element on the list, the first on top.
    fn children(
        &mut self,
        node: Node<'a, 'input>,
        mm_from_user: Affine,
        look: Look,
        group: usize,
        clones: usize,
    ) {
        let from = self.todo.len();
        self.todo.extend(node.children().filter(Node::is_element).map(|node| Todo {
            node,
            mm_from_user,
            look,
            group,
            clones,
            size: [None, None],
            clone_of: None,
        }));
        self.todo[from..].reverse();
    }

    fn element(&mut self, todo: Todo<'a, 'input>) -> Result<(), SvgError> {
        let node = todo.node;
        let Some(name) = svg_name(node) else { return Ok(()) };
        match name {
            "g" | "a" | "switch" | "svg" | "use" | "path" | "line" | "polyline" | "polygon" | "rect"
            | "circle" | "ellipse" | "text" => {}
            "symbol" if todo.clone_of.is_some() => {}
            "image" => return self.pass("picture(s)"),
            "foreignObject" => return self.pass("foreign object(s)"),
            // Definitions, descriptions and what is not drawn by itself.
            _ => return Ok(()),
        }
        self.elements += 1;
        if self.elements > MOST_ELEMENTS {
            return Err(SvgError::TooMany { what: "shapes and groups", most: MOST_ELEMENTS });
        }
        if todo.clones > 0 {
            self.cloned.count(node)?;
        }
        if property(node, &self.sheets, "display").is_some_and(|display| display == "none") {
            self.passed.hidden += 1;
            return Ok(());
        }
        let clipped = |name| property(node, &self.sheets, name).is_some_and(|value| value != "none");
        if clipped("clip-path") || clipped("mask") {
            self.passed.clips += 1;
        }
        let look = todo.look.inside(node, &self.sheets);
        let mm_from_user = todo.mm_from_user * self.transform(node)?;
        match name {
            "g" if is_wrapping(node) => self.children(node, mm_from_user, look, todo.group, todo.clones),
            "g" | "a" | "switch" => {
                let group = self.open_group(node, todo.clone_of, todo.group);
                self.children(node, mm_from_user, look, group, todo.clones);
            }
            "svg" | "symbol" => {
                let inner = mm_from_user * self.nested(node, todo.size)?;
                let group = self.open_group(node, todo.clone_of, todo.group);
                self.children(node, inner, look, group, todo.clones);
            }
            "use" => self.clone_named(&todo, mm_from_user, look)?,
            "text" => {
                let words = words_of(node, look, mm_from_user, &self.sheets);
                for words in words {
                    if !on_cloth(words.at) {
                        return Err(too_far(node));
                    }
                    self.drawing.groups[todo.group].words.push(words);
                }
            }
            _ => self.shape(name, &todo, look, mm_from_user)?,
        }
        Ok(())
    }

    fn pass(&mut self, what: &'static str) -> Result<(), SvgError> {
        *self.passed.others.entry(what).or_default() += 1;
        Ok(())
    }

    fn open_group(&mut self, node: Node<'_, '_>, clone: Option<Node<'_, '_>>, parent: usize) -> usize {
        let name = clone.and_then(name_of).or_else(|| name_of(node));
        let tags = tags_of(node, name.as_ref());
        self.drawing.groups.push(Group { name, tags, parent: Some(parent), ..Group::default() });
        self.drawing.groups.len() - 1
    }

    fn transform(&self, node: Node<'_, '_>) -> Result<Affine, SvgError> {
        let Some(text) = property(node, &self.sheets, "transform").filter(|text| text != "none") else {
            return Ok(Affine::IDENTITY);
        };
        // CSS writes its units; a pixel is a unit, and angles are degrees in both.
        let plain = text.replace("px", "").replace("deg", "");
        match svgtypes::Transform::from_str(&plain) {
            Ok(t) if [t.a, t.b, t.c, t.d, t.e, t.f].iter().all(|x| x.is_finite()) => {
                Ok(Affine::new([t.a, t.b, t.c, t.d, t.e, t.f]))
            }
            _ => Err(bad_value(node, "transform", &text, "is no transform that can be followed")),
        }
    }

    /// Where a drawing inside the drawing lies (SVG 2, §8.2 and §5.5).
    fn nested(&self, node: Node<'_, '_>, given: [Option<f64>; 2]) -> Result<Affine, SvgError> {
        let place = if svg_name(node) == Some("svg") { self.measures.place(node)? } else { Vec2::ZERO };
        let at = Affine::translate(place);
        let Some(view) = view_box(node)? else {
            return Ok(at);
        };
        let own = self.measures.size(node)?;
        let whole = self.measures.extent;
        let width = given[0].or(own[0]).unwrap_or(whole.x);
        let height = given[1].or(own[1]).unwrap_or(whole.y);
        Ok(at * viewport(view, Vec2::new(width, height), aspect(node)?))
    }

    fn clone_named(
        &mut self,
        todo: &Todo<'a, 'input>,
        mm_from_user: Affine,
        look: Look,
    ) -> Result<(), SvgError> {
        let node = todo.node;
        let link = node.attribute("href").or_else(|| {
            let linked = node.attributes().find(|attribute| attribute.name() == "href");
            linked.map(|attribute| attribute.value())
        });
        let Some(id) = link.and_then(|link| link.trim().strip_prefix('#')) else {
            return self.pass("clone(s) of another file");
        };
        let Some(&target) = self.by_id.get(id) else {
            return self.pass("clone(s) of what is not there");
        };
        self.clones += 1;
        if self.clones > MOST_CLONES {
            return Err(SvgError::TooMany { what: "clones", most: MOST_CLONES });
        }
        if todo.clones >= DEEPEST_CLONE || node.ancestors().take(DEEPEST_CLONE).any(|around| around == target)
        {
            return Err(SvgError::UseLoop { at: place_of(node), id: id.to_owned() });
        }
        let place = self.measures.place(node)?;
        self.todo.push(Todo {
            node: target,
            mm_from_user: mm_from_user * Affine::translate(place),
            look,
            group: todo.group,
            clones: todo.clones + 1,
            size: self.measures.size(node)?,
            clone_of: Some(todo.clone_of.unwrap_or(node)),
        });
        Ok(())
    }

    fn shape(
        &mut self,
        name: &str,
        todo: &Todo<'a, 'input>,
        look: Look,
        mm_from_user: Affine,
    ) -> Result<(), SvgError> {
        let node = todo.node;
        let points = ["d", "points"].iter().filter_map(|name| node.attribute(*name));
        if points.map(str::len).any(|letters| letters > LONGEST_PATH) {
            return Err(SvgError::TooMany { what: "letters in one path", most: LONGEST_PATH });
        }
        let Some(runs) = self.measures.runs(name, node)? else {
            return Ok(());
        };
        self.segments += runs.iter().map(|run| run.segments.len()).sum::<usize>();
        if self.segments > MOST_SEGMENTS {
            return Err(SvgError::TooMany { what: "parts of lines", most: MOST_SEGMENTS });
        }
        if !look.visible || !(look.stroked || look.filled) {
            self.passed.hidden += 1;
            return Ok(());
        }
        let called = todo.clone_of.and_then(name_of).or_else(|| name_of(node));
        let tags = tags_of(node, called.as_ref());
        for run in runs {
            let closed = run.closed;
            let Some(curve) = curve_of(node, &run, mm_from_user)? else {
                continue;
            };
            self.drawing.groups[todo.group].strokes.push(Stroke {
                name: called.clone(),
                tags: tags.clone(),
                curve,
                closed,
                part: None,
                look: look.drawn(),
                arrows: if matches!(name, "path" | "line" | "polyline") && !closed {
                    look.arrows
                } else {
                    super::super::Arrows::default()
                },
            });
        }
        Ok(())
    }

    fn tell(&self, findings: &mut Vec<Finding>) {
        let mut note = |severity, what: String, remedy: &str| {
            findings.push(Finding::new(severity, what, remedy));
        };
        if self.passed.hidden > 0 {
            note(
                Severity::Note,
                format!("{} hidden part(s) of the drawing were left out", self.passed.hidden),
                "If a size or a piece is missing, show it in the drawing and import again",
            );
        }
        if self.passed.clips > 0 {
            note(
                Severity::Warning,
                format!("{} clip(s) or mask(s) were not followed: lines show whole", self.passed.clips),
                "If a line is longer than on the drawing, cut it there and import again",
            );
        }
        for (what, count) in &self.passed.others {
            note(
                Severity::Warning,
                format!("{count} {what} were left out"),
                "If they show a piece, trace it or turn it into lines in the drawing",
            );
        }
        if self.sheets.passed_over > 0 {
            note(
                Severity::Note,
                format!("{} rule(s) of style were not understood", self.sheets.passed_over),
                "If hidden lines show, hide them by layer or delete them",
            );
        }
    }
}

/// A run on the table: in mm, y up. `None` when nothing of it is left.
fn curve_of(node: Node<'_, '_>, run: &Run, mm_from_user: Affine) -> Result<Option<Curve>, SvgError> {
    placed(&run.segments, mm_from_user).map_err(|unplaced| match unplaced {
        Unplaced::TooFar => too_far(node),
        Unplaced::NoCurve(error) => {
            bad_value(node, "d", node.attribute("d").unwrap_or_default(), &format!("makes no line ({error})"))
        }
    })
}

fn too_far(node: Node<'_, '_>) -> SvgError {
    SvgError::TooFar { at: place_of(node), element: node.tag_name().name().to_owned() }
}
