//! Blocks and entities, laid out: a block that is inserted becomes a group with all that it holds.

use super::super::drawing::{Arrows, Drawing, Group, Look, Part, Spot, Stroke, Words};
use super::super::placed::{Unplaced, direction, on_cloth, placed};
use super::by_layer;
use super::error::{DxfError, Place};
use super::layers::{LayerMap, LayerUse};
use super::sections::{Block, Contents, Entity};
use super::shape::{Shape, plane, shape_of};
use super::words::{Told, told};
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Affine, Vec2};
use std::collections::{BTreeMap, BTreeSet};

/// Blocks inside blocks deeper than this hold themselves.
const DEEPEST: usize = 16;

/// Most blocks and entities that are laid out.
const MOST_ENTITIES: usize = 1_000_000;

/// Most group codes of all that is drawn, blocks counted as often as they are inserted; a point has two.
const MOST_PAIRS: usize = 30_000_000;

/// Lines of words stand so many times their height apart (*DXF Reference*, MTEXT, “line spacing”; from memory).
const LINE_HEIGHTS: f64 = 5.0 / 3.0;

/// What was passed over, to be told once.
#[derive(Default)]
pub(super) struct Passed {
    pub(super) hidden: usize,
    /// Kinds of entities that are not read.
    pub(super) unread: BTreeMap<String, usize>,
    /// Layers that the table does not name.
    pub(super) unknown_layers: BTreeSet<String>,
    /// Blocks that are inserted again.
    pub(super) again: BTreeSet<String>,
    /// Blocks that are not there.
    pub(super) missing: BTreeSet<String>,
    /// Splines that are given by points only.
    pub(super) through_points: usize,
}

struct Todo<'c, 'p, 'a> {
    entity: &'c Entity<'p, 'a>,
    mm_from_file: Affine,
    group: usize,
    /// Layer of the insert around it, which entities on layer 0 take.
    layer: &'p str,
    depth: usize,
}

pub(super) struct Laying<'c, 'p, 'a> {
    contents: &'c Contents<'p, 'a>,
    layers: &'c LayerMap,
    /// Layers that are sizes, whatever the table says.
    pub(super) sizes: BTreeSet<&'p str>,
    /// Whether some entity lies on a layer of outlines: then lines on unknown layers are none.
    tells_outlines: bool,
    todo: Vec<Todo<'c, 'p, 'a>>,
    inserted: BTreeSet<&'p str>,
    pub(super) drawing: Drawing,
    pub(super) sample_size: Option<String>,
    pub(super) passed: Passed,
}

/// Lays everything out.
pub(super) fn laid_out<'c, 'p, 'a>(
    contents: &'c Contents<'p, 'a>,
    layers: &'c LayerMap,
    mm_per_unit: f64,
) -> Result<Laying<'c, 'p, 'a>, DxfError> {
    let all = || contents.blocks.values().flat_map(|block| &block.entities).chain(&contents.entities);
    let outline = Some(LayerUse::Holds(Part::Outline));
    let sizes = by_layer::called_for_sizes(contents, layers);
    let holds = |layer: &str| layers.holds(layer).filter(|_| !sizes.contains(layer));
    let mut laying = Laying {
        contents,
        layers,
        tells_outlines: all().any(|entity| holds(entity.layer()) == outline && is_line(entity)),
        sizes,
        todo: Vec::new(),
        inserted: BTreeSet::new(),
        drawing: Drawing { groups: vec![Group::default()], ..Drawing::default() },
        sample_size: None,
        passed: Passed::default(),
    };
    let scale = Affine::scale(mm_per_unit);
    laying.put(&contents.entities, scale, 0, "0", 0);
    if !contents.entities.iter().any(|entity| entity.kind == "INSERT") {
        // Blocks that nothing places stand where they were drawn.
        let within: BTreeSet<&str> =
            all().filter(|entity| entity.kind == "INSERT").filter_map(|entity| entity.text(2)).collect();
        for (name, block) in &contents.blocks {
            if !name.starts_with('*') && !within.contains(name) && block.entities.iter().any(is_line) {
                let group = laying.open_group(name);
                laying.put(&block.entities, scale, group, "0", 1);
            }
        }
    }
    let (mut count, mut pairs) = (0, 0_usize);
    while let Some(todo) = laying.todo.pop() {
        count += 1;
        if count > MOST_ENTITIES {
            return Err(DxfError::TooMany { what: "lines and marks, blocks counted", most: MOST_ENTITIES });
        }
        pairs = pairs.saturating_add(todo.entity.weight());
        if pairs > MOST_PAIRS {
            return Err(DxfError::TooMany { what: "numbers and words, blocks counted", most: MOST_PAIRS });
        }
        laying.entity(&todo)?;
    }
    Ok(laying)
}

pub(super) fn is_line(entity: &Entity<'_, '_>) -> bool {
    matches!(entity.kind, "LINE" | "LWPOLYLINE" | "POLYLINE" | "ARC" | "CIRCLE" | "ELLIPSE" | "SPLINE")
}

impl<'c, 'p, 'a> Laying<'c, 'p, 'a> {
    fn put(
        &mut self,
        entities: &'c [Entity<'p, 'a>],
        mm_from_file: Affine,
        group: usize,
        layer: &'p str,
        depth: usize,
    ) {
        self.todo.extend(entities.iter().rev().map(|entity| Todo {
            entity,
            mm_from_file,
            group,
            layer,
            depth,
        }));
    }

    fn open_group(&mut self, name: &str) -> usize {
        self.drawing.groups.push(Group {
            name: Some(name.to_owned()),
            tags: String::new(),
            parent: Some(0),
            ..Group::default()
        });
        self.drawing.groups.len() - 1
    }

    fn entity(&mut self, todo: &Todo<'c, 'p, 'a>) -> Result<(), DxfError> {
        let entity = todo.entity;
        let layer = if entity.layer() == "0" { todo.layer } else { entity.layer() };
        if self.contents.hidden_layers.contains(layer) || entity.whole(60) == Some(1) {
            self.passed.hidden += 1;
            return Ok(());
        }
        let Some(plane) = plane(entity) else {
            return self.unread(entity);
        };
        // The points of lines are in the world's plane whatever the entity says (*DXF Reference*, “Object
        // Coordinate Systems”).
        let plane = if matches!(entity.kind, "LINE" | "POINT" | "SPLINE" | "ELLIPSE" | "MTEXT") {
            Affine::IDENTITY
        } else {
            plane
        };
        let mm_from_file = todo.mm_from_file * plane;
        if entity.kind == "INSERT" {
            return self.insert(todo, layer, mm_from_file);
        }
        let too_far = || DxfError::TooFar { at: entity.at, kind: entity.kind.to_owned() };
        match shape_of(entity)? {
            Shape::Nothing => {}
            Shape::Unread => return self.unread(entity),
            Shape::Spot(at) => {
                let at = mm_from_file * at;
                if !on_cloth(at) {
                    return Err(too_far());
                }
                let holds = self.holds(layer);
                let group = &mut self.drawing.groups[todo.group];
                match holds {
                    Some(LayerUse::Turns) => group.turns.push(at),
                    Some(LayerUse::Holds(part @ (Part::Notch | Part::Drill))) => {
                        group.spots.push(Spot { part, tags: String::new(), at })
                    }
                    _ => {}
                }
            }
            Shape::Words(words, at, height, turn) => {
                let own = Vec2::from_angle(if turn.is_finite() { turn } else { 0.0 });
                let along = direction(mm_from_file, own);
                let height_mm = height * mm_from_file.determinant().abs().sqrt();
                let mut down = at;
                for line in words.lines() {
                    let at = mm_from_file * down;
                    if !on_cloth(at) {
                        return Err(too_far());
                    }
                    self.words(todo.group, Words { words: line.trim().to_owned(), at, height_mm, along });
                    down += LINE_HEIGHTS * height * Vec2::new(own.y, -own.x);
                }
            }
            Shape::Line(segments, closed, lay) => {
                if entity.kind == "SPLINE" && entity.real(10).is_none() {
                    self.passed.through_points += 1;
                }
                let Some(part) = self.part_of(layer) else {
                    return Ok(());
                };
                let curve = placed(&segments, mm_from_file * lay).map_err(|unplaced| match unplaced {
                    Unplaced::TooFar => too_far(),
                    Unplaced::NoCurve(error) => DxfError::BadShape {
                        at: entity.at,
                        kind: entity.kind.to_owned(),
                        what: format!("makes no line ({error})"),
                    },
                })?;
                let Some(curve) = curve else { return Ok(()) };
                let closed = closed || curve.start().distance(curve.end()) <= JOIN_MM && segments.len() > 2;
                let look = self.look_of(entity, layer);
                self.drawing.groups[todo.group].strokes.push(Stroke {
                    name: None,
                    tags: if part.is_some() { String::new() } else { layer.to_owned() },
                    part,
                    curve,
                    closed,
                    look,
                    arrows: Arrows::default(),
                });
            }
        }
        Ok(())
    }

    fn unread(&mut self, entity: &Entity<'_, '_>) -> Result<(), DxfError> {
        let kind: String = entity.kind.chars().take(30).collect();
        *self.passed.unread.entry(kind).or_default() += 1;
        Ok(())
    }

    /// What a layer holds: nothing of its own where it is a size.
    fn holds(&self, layer: &str) -> Option<LayerUse> {
        self.layers.holds(layer).filter(|_| !self.sizes.contains(layer))
    }

    /// What a line on a layer is; `None` when nothing of it is needed.
    fn part_of(&mut self, layer: &str) -> Option<Option<Part>> {
        match self.holds(layer) {
            Some(LayerUse::Holds(part)) => Some(Some(part)),
            Some(LayerUse::Turns | LayerUse::Words | LayerUse::Unused) => None,
            None if self.tells_outlines => {
                self.passed.unknown_layers.insert(layer.to_owned());
                Some(Some(Part::Inner))
            }
            None => Some(None),
        }
    }

    /// Colour by the first seven of the colour index, other colours by their number; by layer where the entity
    /// does not tell.
    fn look_of(&self, entity: &Entity<'_, '_>, layer: &str) -> Look {
        let (layer_colour, layer_type) = self.contents.layer_looks.get(layer).copied().unwrap_or((7, ""));
        let colour = entity.whole(62).filter(|colour| (1..=255).contains(colour)).unwrap_or(layer_colour);
        let line_type =
            entity.text(6).filter(|name| !name.eq_ignore_ascii_case("BYLAYER")).unwrap_or(layer_type);
        let whole = line_type.is_empty()
            || line_type.eq_ignore_ascii_case("CONTINUOUS")
            || line_type.eq_ignore_ascii_case("BYBLOCK");
        let index = u8::try_from(colour).unwrap_or(u8::MAX);
        // A name tells line types apart as well as their dashes would.
        let sum = line_type.bytes().fold(1_u32, |sum, byte| sum.wrapping_mul(31).wrapping_add(byte.into()));
        Look {
            colour: Some(match index {
                1 => [255, 0, 0],
                2 => [255, 255, 0],
                3 => [0, 255, 0],
                4 => [0, 255, 255],
                5 => [0, 0, 255],
                6 => [255, 0, 255],
                0 | 7 => [0, 0, 0],
                other => [other; 3],
            }),
            width: 0,
            dashes: if whole { Vec::new() } else { vec![sum.max(1)] },
            fill: None,
        }
    }

    fn insert(
        &mut self,
        todo: &Todo<'c, 'p, 'a>,
        layer: &'p str,
        mm_from_file: Affine,
    ) -> Result<(), DxfError> {
        let entity = todo.entity;
        let name = entity.text(2).unwrap_or_default();
        let Some(block) = self.contents.blocks.get(name) else {
            self.passed.missing.insert(name.to_owned());
            return Ok(());
        };
        if todo.depth >= DEEPEST {
            return Err(DxfError::BlockLoop { at: entity.at, block: name.to_owned() });
        }
        let mut group = todo.group;
        if group == 0 && self.is_piece(block) {
            if !self.inserted.insert(name) {
                self.passed.again.insert(name.to_owned());
                return Ok(());
            }
            group = self.open_group(name);
        }
        let number = |code, without| entity.real(code).unwrap_or(without);
        let at = Vec2::new(number(10, 0.0), number(20, 0.0));
        let turn = Affine::rotate(number(50, 0.0).to_radians());
        let own = turn
            * Affine::scale_non_uniform(number(41, 1.0), number(42, 1.0))
            * Affine::translate(-Vec2::from((block.base[0], block.base[1])));
        let count = |code| entity.whole(code).unwrap_or(1).clamp(1, 1000);
        let (columns, rows) = (count(70), count(71));
        if columns * rows > 1000 {
            return Err(DxfError::TooMany { what: "copies of one block in rows and columns", most: 1000 });
        }
        #[expect(clippy::cast_precision_loss, reason = "at most a thousand copies")]
        for copy in 0..columns * rows {
            let step = Vec2::new(
                number(44, 0.0) * (copy % columns) as f64,
                number(45, 0.0) * (copy / columns) as f64,
            );
            let placed = Affine::translate(at) * (turn * Affine::translate(step)) * turn.inverse() * own;
            self.put(&block.entities, mm_from_file * placed, group, layer, todo.depth + 1);
            if self.todo.len() > MOST_ENTITIES {
                return Err(DxfError::TooMany {
                    what: "lines and marks, blocks counted",
                    most: MOST_ENTITIES,
                });
            }
        }
        Ok(())
    }

    /// Whether a block is drawn, and not only a sheet of other blocks.
    fn is_piece(&self, block: &Block<'_, '_>) -> bool {
        block.entities.iter().any(is_line)
    }

    fn words(&mut self, group: usize, words: Words) {
        let told = told(&words.words);
        let place = &mut self.drawing.groups[group];
        match told {
            Some(Told::Style(style)) if group == 0 || self.drawing.title.is_none() => {
                self.drawing.title = Some(style);
            }
            Some(Told::SampleSize(size)) => self.sample_size = Some(size),
            Some(Told::Name(name)) if group != 0 => place.name = Some(name),
            Some(Told::Size(size)) if group != 0 => place.size = Some(size),
            Some(Told::Quantity(cutting)) if group != 0 => {
                let cloth = place.cutting.as_ref().map_or(cutting.cloth, |known| known.cloth);
                place.cutting = Some(crate::pattern::Cutting { cloth, ..cutting });
            }
            Some(Told::Material(cloth)) if group != 0 => match &mut place.cutting {
                Some(known) => known.cloth = cloth,
                None => {
                    place.cutting = Some(crate::pattern::Cutting {
                        cloth,
                        count: 1,
                        how: crate::pattern::HowCut::Single,
                    });
                }
            },
            Some(Told::Words(text)) => place.words.push(Words { words: text, ..words }),
            None if !words.words.is_empty() => place.words.push(words),
            _ => {}
        }
    }
}

/// The unit that the words of a file name: millimetres in it, the word, and whether words disagree.
pub(super) fn unit_in_words(contents: &Contents<'_, '_>) -> (Option<(f64, String)>, Option<Place>) {
    let all = contents.blocks.values().flat_map(|block| &block.entities).chain(&contents.entities);
    let mut unit: Option<(f64, String)> = None;
    for entity in all.filter(|entity| matches!(entity.kind, "TEXT" | "MTEXT" | "ATTRIB")) {
        let Ok(Shape::Words(words, ..)) = shape_of(entity) else { continue };
        for line in words.lines() {
            let Some(Told::Unit(mm, word)) = told(line) else { continue };
            match &unit {
                Some((known, _)) if (known - mm).abs() > 1e-9 => return (unit, Some(entity.at)),
                _ => unit = Some((mm, word)),
            }
        }
    }
    (unit, None)
}
