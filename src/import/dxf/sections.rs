//! The sections of a DXF file: header, layers, blocks and entities.

use super::error::{DxfError, Place};
use super::pairs::{Pair, Value};
use std::collections::{BTreeMap, BTreeSet};

/// What a file holds, as far as a pattern asks.
#[derive(Default)]
pub(super) struct Contents<'p, 'a> {
    /// `$INSUNITS`.
    pub(super) insert_units: Option<i64>,
    /// Layers that are off or frozen.
    pub(super) hidden_layers: BTreeSet<&'p str>,
    /// Colour and line type of each layer.
    pub(super) layer_looks: BTreeMap<&'p str, (i64, &'p str)>,
    pub(super) blocks: BTreeMap<&'p str, Block<'p, 'a>>,
    pub(super) entities: Vec<Entity<'p, 'a>>,
    /// Whether the file says that it ends.
    pub(super) ends: bool,
}

#[derive(Default)]
pub(super) struct Block<'p, 'a> {
    pub(super) base: [f64; 2],
    pub(super) entities: Vec<Entity<'p, 'a>>,
}

pub(super) struct Entity<'p, 'a> {
    pub(super) kind: &'p str,
    pub(super) at: Place,
    pairs: &'p [Pair<'a>],
    /// The vertices of a polyline.
    pub(super) vertices: Vec<Self>,
}

impl<'p, 'a> Entity<'p, 'a> {
    pub(super) fn pairs(&self) -> &'p [Pair<'a>] {
        self.pairs
    }

    /// How many group codes it has, those of its vertices counted.
    pub(super) fn weight(&self) -> usize {
        self.pairs.len() + self.vertices.iter().map(|vertex| vertex.pairs.len()).sum::<usize>()
    }

    pub(super) fn text(&self, code: i16) -> Option<&'p str> {
        self.pairs.iter().find(|pair| pair.code == code).map(Pair::text)
    }

    pub(super) fn layer(&self) -> &'p str {
        self.text(8).unwrap_or("0").trim()
    }

    pub(super) fn real(&self, code: i16) -> Option<f64> {
        self.reals(code).next()
    }

    pub(super) fn reals(&self, code: i16) -> impl Iterator<Item = f64> + 'p {
        let pairs = self.pairs.iter().filter(move |pair| pair.code == code);
        pairs.filter_map(|pair| match pair.value {
            Value::Real(number) => Some(number),
            _ => None,
        })
    }

    pub(super) fn whole(&self, code: i16) -> Option<i64> {
        self.pairs.iter().find_map(|pair| match pair.value {
            Value::Whole(number) if pair.code == code => Some(number),
            _ => None,
        })
    }
}

/// Reads the sections.
pub(super) fn contents_of<'p, 'a>(pairs: &'p [Pair<'a>]) -> Result<Contents<'p, 'a>, DxfError> {
    let end = pairs.last().map_or(Place::Line(1), |pair| pair.at);
    let mut contents = Contents::default();
    let mut at = 0;
    let mut drawn = false;
    while let Some(pair) = pairs.get(at) {
        at += 1;
        if pair.is(0, "EOF") {
            contents.ends = true;
            break;
        }
        if !pair.is(0, "SECTION") {
            // Comments, or what stands between sections.
            continue;
        }
        let length = pairs[at..].iter().position(|pair| pair.is(0, "ENDSEC"));
        let Some(length) = length else {
            return Err(DxfError::CutShort { at: end, what: "a section" });
        };
        let section = &pairs[at..at + length];
        at += length + 1;
        let Some((name, body)) = section.split_first().filter(|(name, _)| name.code == 2) else {
            continue;
        };
        match name.text() {
            "HEADER" => contents.insert_units = insert_units(body),
            "TABLES" => read_layers(body, &mut contents),
            "BLOCKS" => {
                drawn = true;
                read_blocks(body, &mut contents)?;
            }
            "ENTITIES" => {
                drawn = true;
                contents.entities.extend(whole_entities(&split(body))?);
            }
            _ => {}
        }
    }
    if drawn { Ok(contents) } else { Err(DxfError::NoDrawing) }
}

fn insert_units(header: &[Pair<'_>]) -> Option<i64> {
    let name = header.iter().position(|pair| pair.is(9, "$INSUNITS"))?;
    match header.get(name + 1)?.value {
        Value::Whole(unit) => Some(unit),
        _ => None,
    }
}

fn read_layers<'p, 'a>(tables: &'p [Pair<'a>], contents: &mut Contents<'p, 'a>) {
    for entry in split(tables).into_iter().filter(|entry| entry.kind == "LAYER") {
        let Some(name) = entry.text(2) else { continue };
        let colour = entry.whole(62).unwrap_or(7);
        let frozen = entry.whole(70).is_some_and(|flags| flags & 1 == 1);
        if colour < 0 || frozen {
            contents.hidden_layers.insert(name);
        }
        let line_type = entry.text(6).unwrap_or_default();
        contents.layer_looks.insert(name, (colour.abs(), line_type));
    }
}

/// Pairs cut before each group 0.
fn split<'p, 'a>(pairs: &'p [Pair<'a>]) -> Vec<Entity<'p, 'a>> {
    let starts: Vec<usize> = (0..pairs.len()).filter(|at| pairs[*at].code == 0).collect();
    let ends = starts.iter().skip(1).copied().chain([pairs.len()]);
    let entity = |(start, end): (&usize, usize)| Entity {
        kind: pairs[*start].text(),
        at: pairs[*start].at,
        pairs: &pairs[start + 1..end],
        vertices: Vec::new(),
    };
    starts.iter().zip(ends).map(entity).collect()
}

fn read_blocks<'p, 'a>(body: &'p [Pair<'a>], contents: &mut Contents<'p, 'a>) -> Result<(), DxfError> {
    let all = split(body);
    let mut rest = &all[..];
    while let Some((head, after)) = rest.split_first() {
        rest = after;
        if head.kind != "BLOCK" {
            continue;
        }
        let Some(end) = rest.iter().position(|entity| entity.kind == "ENDBLK") else {
            return Err(DxfError::CutShort { at: head.at, what: "a block" });
        };
        let block = Block {
            base: [head.real(10).unwrap_or(0.0), head.real(20).unwrap_or(0.0)],
            entities: whole_entities(&rest[..end])?,
        };
        rest = &rest[end + 1..];
        contents.blocks.insert(head.text(2).unwrap_or_default(), block);
    }
    Ok(())
}

/// Entities with their vertices inside them.
fn whole_entities<'p, 'a>(all: &[Entity<'p, 'a>]) -> Result<Vec<Entity<'p, 'a>>, DxfError> {
    let copy = |entity: &Entity<'p, 'a>| Entity {
        kind: entity.kind,
        at: entity.at,
        pairs: entity.pairs,
        vertices: Vec::new(),
    };
    let mut whole: Vec<Entity<'p, 'a>> = Vec::new();
    let mut open = false;
    for entity in all {
        match entity.kind {
            "VERTEX" => match whole.last_mut().filter(|_| open) {
                Some(polyline) => polyline.vertices.push(copy(entity)),
                None => {
                    return Err(DxfError::Astray {
                        at: entity.at,
                        what: "a VERTEX stands outside of a POLYLINE; a line would lose its points"
                            .to_owned(),
                    });
                }
            },
            "SEQEND" => open = false,
            other => {
                if open {
                    return Err(DxfError::Astray {
                        at: entity.at,
                        what: format!("a POLYLINE is not ended (SEQEND) before this {}", brief(other)),
                    });
                }
                open = other == "POLYLINE";
                whole.push(copy(entity));
            }
        }
    }
    match whole.last().filter(|_| open) {
        Some(polyline) => Err(DxfError::CutShort { at: polyline.at, what: "a POLYLINE" }),
        None => Ok(whole),
    }
}

fn brief(kind: &str) -> String {
    kind.chars().take(30).collect()
}
